//! docs/theory.md, the working, the textbook room and the reference cases hold together by numbers.
use evenkeel::study::explain::LAWS;
use std::collections::BTreeSet;
use std::path::Path;

fn page() -> &'static str {
    include_str!("../../docs/theory.md")
}

/// The laws of the page: number, and what stands under it up to the next one.
fn laws() -> Vec<(u16, &'static str)> {
    let mut found = Vec::new();
    for part in page().split("\n**(").skip(1) {
        let (number, rest) = part.split_once(")**").unwrap();
        found.push((number.parse().unwrap(), rest.split("\n## ").next().unwrap()));
    }
    found
}

#[test]
fn the_page_and_the_working_have_the_same_laws_and_sources() {
    let on_page: BTreeSet<u16> = laws().iter().map(|law| law.0).collect();
    assert_eq!(on_page.len(), laws().len(), "a number stands twice");
    let cited: BTreeSet<u16> = LAWS.iter().map(|law| law.number).collect();
    assert_eq!(cited.len(), LAWS.len(), "a number is given twice");
    assert_eq!(on_page, cited);
    for law in LAWS {
        let text = laws().iter().find(|one| one.0 == law.number).unwrap().1;
        assert!(text.contains(&format!("\nSource: {}", law.from)), "({}): {} is not its source", law.number, law.from);
    }
}

fn files(folder: &Path, found: &mut Vec<(String, String)>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files(&path, found);
        } else if let Ok(text) = std::fs::read_to_string(&path) {
            found.push((path.display().to_string(), text));
        }
    }
}

/// `docs/theory.md (3), (4)` in code and reference cases: the numbers after it.
fn cited(text: &str) -> Vec<u16> {
    let mut found = Vec::new();
    for part in text.split("theory.md (").skip(1) {
        let mut rest = part;
        while let Some((number, after)) = rest.split_once(')') {
            let Ok(number) = number.parse() else { break };
            found.push(number);
            match after.strip_prefix(", (") {
                Some(more) => rest = more,
                None => break,
            }
        }
    }
    found
}

#[test]
fn numbers_cited_in_code_and_cases_exist() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut texts = Vec::new();
    for folder in ["src", "tests/data"] {
        files(&root.join(folder), &mut texts);
    }
    let on_page: BTreeSet<u16> = laws().iter().map(|law| law.0).collect();
    let (mut in_code, mut in_cases) = (BTreeSet::new(), BTreeSet::new());
    for (name, text) in &texts {
        for number in cited(text) {
            assert!(on_page.contains(&number), "{name} cites ({number})");
            if name.ends_with(".rs") { &mut in_code } else { &mut in_cases }.insert(number);
        }
    }
    assert!(in_code.len() > 15 && in_cases.len() >= 3, "{in_code:?} {in_cases:?}");
}

/// Every law is written down by some working: its name is used outside the list.
#[test]
fn every_law_is_used() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/study/explain");
    let list = std::fs::read_to_string(root.join("law.rs")).unwrap();
    let mut texts = Vec::new();
    files(&root, &mut texts);
    let names = list.lines().filter_map(|line| line.strip_prefix("pub(super) const ")?.split(':').next());
    let mut count = 0;
    for name in names {
        let used = format!("law::{name}");
        assert!(
            texts.iter().any(|(path, text)| !path.ends_with("law.rs") && text.contains(&used)),
            "{name} is not used"
        );
        count += 1;
    }
    assert_eq!(count, LAWS.len());
}
