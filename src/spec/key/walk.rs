use super::{Key, Kind, Names, ROOT};
use crate::designator::Topology;

/// A row that holds a value, with where it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Leaf {
    /// Dotted path, `[]` after a list of tables: `resistors.network[].match`.
    pub path: String,
    /// The row.
    pub key: &'static Key,
    /// The topologies that can use it, those of the tables around it included.
    pub uses: Vec<Topology>,
}

/// All rows that hold a value, in the order of the page. Channels repeat the sections and are left out.
#[must_use]
pub fn leaves(rows: &'static [Key]) -> Vec<Leaf> {
    let mut out = Vec::new();
    collect(rows, "", &Topology::ALL, &mut out);
    out
}

fn collect(rows: &'static [Key], before: &str, uses: &[Topology], out: &mut Vec<Leaf>) {
    for key in rows {
        let path = join(before, key.name);
        let uses: Vec<_> = uses.iter().copied().filter(|t| key.usable_by(*t)).collect();
        match key.kind {
            Kind::Tables(_) if key.name == "channel" => {}
            Kind::Table(inner) => collect(inner, &path, &uses, out),
            Kind::Tables(inner) => collect(inner, &format!("{path}[]"), &uses, out),
            Kind::Each(_, Key { kind: Kind::Table(inner), name, .. }) => {
                collect(inner, &format!("{path}.{name}"), &uses, out)
            }
            _ => out.push(Leaf { path, key, uses }),
        }
    }
}

/// The row of a path as the spec writes it, `opamp.all.offset` or `resistors.fixed.RG`.
#[must_use]
pub fn find(path: &str) -> Option<&'static Key> {
    let mut level = Level::Rows(ROOT);
    let mut found = None;
    for name in path.split('.') {
        let row = level.row(name.split('[').next().unwrap_or(name))?;
        level = Level::below(row);
        found = Some(row);
    }
    found
}

/// What may stand in one table.
#[derive(Clone, Copy, Debug)]
pub enum Level {
    /// These keys.
    Rows(&'static [Key]),
    /// These names, each with a value of this row.
    Each(Names, &'static Key),
}

impl Level {
    /// What may stand in the table behind a key; nothing, where there is none.
    #[must_use]
    pub const fn below(key: &Key) -> Self {
        match key.kind {
            Kind::Table(rows) | Kind::Tables(rows) => Self::Rows(rows),
            Kind::Each(names, row) => Self::Each(names, row),
            _ => Self::Rows(&[]),
        }
    }

    /// The row of a name.
    #[must_use]
    pub fn row(self, name: &str) -> Option<&'static Key> {
        match self {
            Self::Rows(rows) => rows.iter().find(|key| key.name == name),
            Self::Each(names, row) => names.known().contains(&name).then_some(row),
        }
    }

    /// The names that are known, in the order they are listed to people.
    #[must_use]
    pub fn known(self) -> Vec<&'static str> {
        match self {
            Self::Rows(rows) => rows.iter().map(|key| key.name).collect(),
            Self::Each(names, _) => names.known(),
        }
    }
}

/// `a.b`, or `b` where there is no `a`.
pub(crate) fn join(before: &str, name: &str) -> String {
    if before.is_empty() { name.to_owned() } else { format!("{before}.{name}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_lead_to_their_rows() {
        assert_eq!(find("signal.differential").map(|k| k.name), Some("differential"));
        assert_eq!(find("opamp.A1.output_swing.from_positive").map(|k| k.name), Some("from_positive"));
        assert_eq!(find("resistors.fixed.RG").map(|k| k.name), Some("<resistor>"));
        assert_eq!(find("resistors.network[0].match").map(|k| k.name), Some("match"));
        assert_eq!(find("opamp.A9.offset"), None);
        assert_eq!(find("signal.nothing"), None);
    }

    #[test]
    fn every_row_has_a_sentence_and_no_two_of_a_table_share_a_name() {
        let leaves = leaves(ROOT);
        assert!(leaves.len() > 100, "{}", leaves.len());
        for (i, leaf) in leaves.iter().enumerate() {
            assert!(leaf.key.sentence.ends_with('.'), "{}", leaf.path);
            assert!(!leaf.key.sample.is_empty(), "{}", leaf.path);
            assert!(leaves[..i].iter().all(|other| other.path != leaf.path), "{}", leaf.path);
        }
    }
}
