//! Golden files guard layout only: what the figures are is tested where they are computed.
//!
//! `EVENKEEL_GOLDEN=write cargo test --test cli` writes them anew; read the difference before it is kept.
use crate::{fixture, proof};
use evenkeel::report::{self, Document, Paint, Proof};
use std::path::Path;

fn hold_against(name: &str, made: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden").join(name);
    if std::env::var_os("EVENKEEL_GOLDEN").is_some_and(|wish| wish == "write") {
        std::fs::write(&path, made).expect("the golden folder takes files");
    }
    let kept = std::fs::read_to_string(&path).expect("the golden file is there");
    assert!(kept == made, "{name} differs; kept:\n{kept}\nmade:\n{made}");
}

fn in_every_format(name: &str, document: &Document) {
    hold_against(&format!("{name}.txt"), &document.to_text(Paint::Plain));
    hold_against(&format!("{name}.md"), &document.to_markdown(None));
    hold_against(&format!("{name}.html"), &document.to_html());
    hold_against(&format!("{name}.json"), &document.to_json());
}

#[test]
fn a_design_in_every_format() {
    let spec = "title = \"Hook-load channel\" # <&>\n\n[target]\ngain = 100\n";
    let (plan, lesson) = (proof::plan(), proof::lesson());
    let shown = Proof { plan: Some(&plan), working: Some(&lesson) };
    let document = report::proven(&fixture::design("Hook-load channel"), shown).answering(spec);
    in_every_format("design", &document);
    assert_eq!(document.to_json(), report::design(&fixture::design("Hook-load channel")).to_json());
}

#[test]
fn a_size_in_every_format() {
    in_every_format("size", &report::size(&fixture::size(true)));
    in_every_format("size-none", &report::size(&fixture::size(false)));
}

#[test]
fn a_rejection_in_every_format() {
    in_every_format("reject", &report::reject(&fixture::reject(None)));
    in_every_format("reject-need", &report::reject(&fixture::reject(Some(false))));
}
