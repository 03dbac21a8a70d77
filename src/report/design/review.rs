use crate::report::Record;
use crate::study::{Design, Warning};

pub(super) fn warnings(design: &Design, body: &mut Record) {
    listed(&design.warnings, body);
}

/// Warnings with their advice.
pub(in crate::report) fn listed(warnings: &[Warning], body: &mut Record) {
    body.entries("warnings", "Review notes", warnings, |warning| {
        let mut entry = Record::new();
        entry.text("code", "code", warning.code);
        entry.text("message", "message", &warning.message);
        entry.text("advice", "advice", &warning.advice);
        entry
    });
}

pub(super) fn cautions(design: &Design, body: &mut Record) {
    body.texts("cautions", "Cautions", &design.cautions);
}

pub(super) fn assumed_ideal(design: &Design, body: &mut Record) {
    body.texts("assumed_ideal", "", &design.assumed_ideal).for_data();
    body.texts("", "Not given, counted as ideal", &by_part(&design.assumed_ideal)).for_people();
}

pub(super) fn not_predicted(design: &Design, body: &mut Record) {
    body.table("not_predicted", "Not predicted", &design.not_predicted, |line| {
        let mut row = Record::new();
        row.text("figure", "figure", &line.figure);
        row.text("needs", "needs", &line.needs);
        row
    });
}

/// Keys of the spec by the parts that lack them: `opamp.A1.offset`, `opamp.A2.offset`,
/// `opamp.A1.input_range`, `opamp.A2.input_range` as `A1, A2: offset, input range`; in the order of first sight.
fn by_part(keys: &[String]) -> Vec<String> {
    let mut properties: Vec<(String, Vec<&str>)> = Vec::new();
    for key in keys {
        let (part, property) = part_of(key);
        let property = property.replace('_', " ");
        match properties.iter_mut().find(|(known, _)| *known == property) {
            Some((_, parts)) => parts.push(part),
            None => properties.push((property, vec![part])),
        }
    }
    let mut groups: Vec<(Vec<&str>, Vec<String>)> = Vec::new();
    for (property, parts) in properties {
        match groups.iter_mut().find(|(known, _)| *known == parts) {
            Some((_, all)) => all.push(property),
            None => groups.push((parts, vec![property])),
        }
    }
    groups.into_iter().map(|(parts, all)| format!("{}: {}", parts.join(", "), all.join(", "))).collect()
}

/// What a key is about, and the property.
fn part_of(key: &str) -> (&str, &str) {
    let mut words = key.splitn(3, '.');
    match (words.next(), words.next(), words.next()) {
        (Some("opamp"), Some("all"), Some(property)) => ("Every op amp", property),
        (Some("opamp"), Some(amp), Some(property)) => (amp, property),
        (Some("chip"), Some(property), None) => ("The chip", property),
        _ => ("The spec", key),
    }
}

#[cfg(test)]
mod tests {
    use super::by_part;

    #[test]
    fn one_line_for_the_parts_that_lack_the_same() {
        let keys = [
            "opamp.all.open_loop_gain",
            "opamp.A1.offset",
            "opamp.A2.offset",
            "opamp.A1.input_range",
            "opamp.A2.input_range",
            "opamp.A3.slew_rate",
            "opamp.all.bias_current",
            "chip.rejection_corner",
        ];
        let lines = by_part(&keys.map(str::to_owned));
        let right = [
            "Every op amp: open loop gain, bias current",
            "A1, A2: offset, input range",
            "A3: slew rate",
            "The chip: rejection corner",
        ];
        assert_eq!(lines, right);
    }
}
