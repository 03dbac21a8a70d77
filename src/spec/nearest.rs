use super::key::{Kind, ROOT};

/// The known name that is most like what was read, where one is like it.
pub(crate) fn nearest<'a>(read: &str, known: &[&'a str]) -> Option<&'a str> {
    let lower = read.to_lowercase();
    known
        .iter()
        .map(|name| (strsim::normalized_damerau_levenshtein(&lower, &name.to_lowercase()), *name))
        .filter(|(likeness, _)| *likeness >= 0.6)
        .fold(None, |best: Option<(f64, &str)>, one| if best.is_some_and(|b| b.0 >= one.0) { best } else { Some(one) })
        .map(|(_, name)| name)
}

/// Help for a name that isn't known in a table: the nearest that is, or where it belongs, or what there is.
pub(crate) fn help(read: &str, known: &[&str]) -> String {
    if let Some(name) = nearest(read, known) {
        return format!("did you mean `{name}`?");
    }
    let elsewhere: Vec<String> = ROOT
        .iter()
        .filter(|section| matches!(section.kind, Kind::Table(rows) if rows.iter().any(|key| key.name == read)))
        .map(|section| format!("[{}]", section.name))
        .collect();
    match (elsewhere.is_empty(), known.is_empty()) {
        (false, _) => format!("`{read}` belongs in {}", elsewhere.join(" or ")),
        (true, false) => format!("known here: {}", known.join(", ")),
        (true, true) => "nothing may stand here".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_name_or_none() {
        assert_eq!(nearest("tolerence", &["tempco", "tolerance"]), Some("tolerance"));
        assert_eq!(nearest("r1", &["R1", "R2"]), Some("R1"));
        assert_eq!(nearest("spoon", &["tempco", "tolerance"]), None);
        assert_eq!(help("imbalance", &["gain"]), "`imbalance` belongs in [source]");
    }
}
