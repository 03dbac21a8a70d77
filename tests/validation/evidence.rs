//! tests/data/evidence.toml: what holds a figure beside published numbers, and what has no answer here.
use crate::row::Kind;
use serde::Deserialize;
use std::path::Path;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Evidence {
    pub(crate) test: Vec<Test>,
    pub(crate) unanswered: Vec<Unanswered>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Test {
    pub(crate) figure: String,
    pub(crate) kind: Kind,
    pub(crate) file: String,
    pub(crate) name: String,
    pub(crate) says: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Unanswered {
    pub(crate) entry: String,
    pub(crate) why: String,
}

pub(crate) fn evidence() -> Evidence {
    toml::from_str(include_str!("../data/evidence.toml")).unwrap_or_else(|fault| panic!("{fault}"))
}

#[test]
fn every_test_that_is_named_is_there() {
    for one in evidence().test {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(&one.file);
        let text = std::fs::read_to_string(&path).unwrap_or_else(|fault| panic!("{}: {fault}", one.file));
        let before = text.split_once(&format!(" fn {}(", one.name)).map(|(before, _)| before);
        let before = before.or_else(|| text.split_once(&format!("\nfn {}(", one.name)).map(|(before, _)| before));
        let named = before.and_then(|before| before.trim_end().lines().next_back());
        assert_eq!(named.map(str::trim), Some("#[test]"), "{}: no test {}", one.file, one.name);
        assert!(matches!(one.kind, Kind::Witness | Kind::Law), "{}", one.name);
    }
}
