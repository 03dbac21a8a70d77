//! Part files: `from`, `candidates`, and what is wrong in them.
use super::{Shelf, fault};
use crate::designator::Amp;
use crate::spec::{Fault, Spec, read};
use std::collections::BTreeMap;

fn shelf() -> Shelf {
    Shelf(BTreeMap::from([
        ("parts/b.toml", "title = \"B\"\noffset = \"20 µV\"\nslew_rate = \"1 V/µs\"\nprice = 2\n"),
        ("parts/a.toml", "offset = \"10 µV\"\nprice = 3\n"),
        ("parts/notes.txt", "not a part"),
        ("bad/one.toml", "ofset = \"1 mV\"\noffset = \"1 spoon\"\n"),
    ]))
}

fn with(rest: &str) -> Result<Spec, Vec<Fault>> {
    read("specs/a.toml", &format!("[target]\ngain = 10\n{rest}"), &shelf()).map_err(|faults| faults.0)
}

#[test]
fn keys_of_the_spec_win_over_the_part_file() {
    let q = with(
        "[opamp.all]\nfrom = \"parts/b.toml\"\noffset = \"5 µV\"\n[opamp.A3]\nfrom = \"parts/a.toml\"\nprice = 9\n",
    )
    .expect("good")
    .channels[0]
        .question
        .clone();
    let a1 = &q.opamps[&Amp::A1];
    assert_eq!(
        (a1.title.as_deref(), a1.offset_v, a1.slew_rate_v_per_s, a1.price),
        (Some("B"), Some(5e-6), Some(1e6), Some(2.0))
    );
    // A3 names another file: nothing of `b` is mixed in; without a title it is called as its file.
    let a3 = &q.opamps[&Amp::A3];
    assert_eq!(
        (a3.title.as_deref(), a3.offset_v, a3.slew_rate_v_per_s, a3.price),
        (Some("a"), Some(5e-6), None, Some(9.0))
    );
}

#[test]
fn candidates_by_name_each_with_the_specs_own_keys() {
    let q = with("[opamp.all]\ncandidates = \"parts/\"\nslew_rate = \"7 V/µs\"\n[opamp.A3]\nfrom = \"parts/b.toml\"\n")
        .expect("good")
        .channels[0]
        .question
        .clone();
    assert_eq!(q.candidates.iter().map(|c| c.title.as_str()).collect::<Vec<_>>(), ["a", "B"]);
    let a = &q.candidates[0].opamps;
    assert_eq!(
        (a[&Amp::A1].offset_v, a[&Amp::A1].slew_rate_v_per_s, a[&Amp::A1].price),
        (Some(10e-6), Some(7e6), Some(3.0))
    );
    assert_eq!((a[&Amp::A3].title.as_deref(), a[&Amp::A3].offset_v), (Some("B"), Some(20e-6)));
    assert_eq!(q.opamps[&Amp::A1].offset_v, None);
}

#[test]
fn faults_inside_a_part_file_are_told_there() {
    let faults = with("[opamp.all]\nfrom = \"bad/one.toml\"\n").expect_err("bad");
    let told: Vec<_> = faults.iter().map(|f| (f.file.as_str(), f.line(), f.column(), f.code)).collect();
    assert_eq!(told, [("specs/bad/one.toml", 1, 1, "unknown-key"), ("specs/bad/one.toml", 2, 13, "bad-quantity")]);
    assert_eq!(faults[0].help.as_deref(), Some("did you mean `offset`?"));
}

#[test]
fn a_file_or_folder_that_is_not_there() {
    for (text, message) in [
        ("from = \"parts/c.toml\"", "can't read `parts/c.toml`: no such file"),
        ("candidates = \"none/\"", "can't list `none/`: no such folder"),
    ] {
        let faults = with(&format!("[opamp.all]\n{text}\n")).expect_err("missing");
        assert_eq!(faults.len(), 1);
        assert_eq!((faults[0].code, faults[0].line(), faults[0].message.as_str()), ("part-file", 4, message));
        assert_eq!(faults[0].file, "specs/a.toml");
    }
}

#[test]
fn a_spec_reads_nothing_outside_its_folder() {
    for path in [
        "/etc/part.toml",
        "../part.toml",
        "a/../../part.toml",
        "a\\\\..\\\\..\\\\part.toml",
        "C:/part.toml",
        "\\\\part.toml",
        "~/part.toml",
    ] {
        let faults = with(&format!("[opamp.all]\nfrom = \"{path}\"\n")).expect_err("outside");
        assert_eq!((faults.len(), faults[0].code), (1, "path-outside"), "{path}");
    }
    fault(
        "[target]\ngain = 1\n[board]\nbom = \"../bom.csv\"\n",
        "path-outside",
        4,
        7,
        "\"../bom.csv\"",
        "`board.bom` leads out of the spec's folder: `../bom.csv`",
        "name a file below the spec's own folder, as `parts/one.toml`",
    );
}

#[test]
fn candidates_stand_in_all_only_and_not_beside_from() {
    let faults = with("[opamp.A1]\ncandidates = \"parts/\"\n").expect_err("misplaced");
    assert_eq!((faults[0].code, faults[0].line(), faults[0].column()), ("misplaced-key", 4, 1));
    let faults = with("[opamp.all]\ncandidates = \"parts/\"\nfrom = \"parts/a.toml\"\n").expect_err("both");
    assert_eq!((faults[0].code, faults[0].line()), ("conflict", 5));
}
