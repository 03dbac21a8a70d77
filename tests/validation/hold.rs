//! Every case holds, every case can fail, and the page says what they come to.
use crate::row::{Kind, Row, read};
use crate::{asked, gains, networks, page, rejections, series, statics};
use std::path::Path;

pub(crate) fn all() -> Vec<Row> {
    let rooms: [fn() -> Vec<Row>; 6] =
        [series::rows, networks::rows, rejections::rows, gains::rows, statics::rows, asked::rows];
    rooms.iter().flat_map(|rows| rows()).collect()
}

/// What is wrong with a case.
fn fault(row: &Row) -> Option<String> {
    // A bound as wide as the figure would hold for nothing.
    let size = row.want.abs();
    let narrow = row.allowed <= size / 5.0 || (size == 0.0 && row.allowed < 1e-6);
    // What the source ought to print is not what it prints.
    let at_odds = row.ought.as_ref().is_none_or(|ought| {
        let (printed, half) = read(&row.printed);
        (printed - read(ought).0).abs() > half / 10.0
    });
    let told = [&row.source, &row.printed, &row.reason].iter().all(|text| !text.is_empty());
    let why = match (row.holds(), narrow && at_odds && told) {
        (false, _) => "does not hold",
        (_, false) => "proves nothing",
        _ => return None,
    };
    Some(format!("{}: {why}: {row:?}", row.entry))
}

#[test]
fn every_case_holds_and_the_page_says_so() {
    let rows = all();
    assert!(rows.len() > 450, "{} cases", rows.len());
    let faults: Vec<String> = rows.iter().filter_map(fault).collect();
    assert!(faults.is_empty(), "{} of {} cases:\n{}", faults.len(), rows.len(), faults.join("\n"));
    let page = page::written(&rows);
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/validation.md");
    if std::env::var_os("EVENKEEL_GOLDEN").is_some_and(|wish| wish == "write") {
        std::fs::write(&path, &page).expect("the folder takes files");
    }
    let kept = std::fs::read_to_string(&path).expect("the page is there");
    assert!(kept == page, "docs/validation.md differs: EVENKEEL_GOLDEN=write cargo test --test validation");
}

#[test]
fn kinds_are_read_from_the_words_of_the_data() {
    for (status, kind) in [
        ("SEEN", Kind::Seen),
        ("SEEN (part)", Kind::Seen),
        ("SEEN (problem; answers recomputed)", Kind::Recomputed),
        ("MEMORY", Kind::Memory),
        ("MEMORY (recomputed only)", Kind::Recomputed),
    ] {
        assert_eq!(Kind::of_status(status), kind);
    }
}
