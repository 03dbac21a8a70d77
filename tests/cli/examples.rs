//! The reports under docs/reports are what the program writes, byte for byte.
//!
//! `EVENKEEL_GOLDEN=write cargo test --test cli examples` writes them anew; look at them before they are kept.
use crate::asked::ask;
use evenkeel::cli::Desk;
use evenkeel::cli::{Streams, run};
use std::fs;
use std::path::{Path, PathBuf};

/// The folder of a spec, its name, and the status its report ends with: all limits met, some missed, a single chip.
const REPORTS: [(&str, &str, u8); 3] =
    [("examples", "hook-load", 0), ("docs/reports", "mixer-torque", 1), ("docs/reports", "kiln-wall", 0)];

fn made(folder: &str, name: &str, into: &Path) -> u8 {
    let mut worst = 0;
    let spec = format!("{}/{folder}/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    let page = into.join(format!("{name}.html")).display().to_string();
    let markdown = into.join(format!("{name}.md")).display().to_string();
    let folder = into.join(name).display().to_string();
    for args in
        [vec!["design", &spec, "--out", &page], vec!["design", &spec, "--out", &markdown, "--pictures", &folder]]
    {
        let (mut out, mut err) = (Vec::new(), Vec::new());
        let mut streams = Streams::new(std::io::empty(), &mut out, &mut err);
        let status = run(std::iter::once("evenkeel").chain(args).map(Into::into), &mut streams);
        drop(streams);
        assert_eq!(String::from_utf8_lossy(&err), "", "{name}");
        worst = worst.max(status);
    }
    worst
}

fn files(folder: &Path, below: &Path) -> Vec<PathBuf> {
    let mut all = Vec::new();
    for entry in fs::read_dir(folder).expect("listed") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            all.extend(files(&path, below))
        } else {
            all.push(path.strip_prefix(below).expect("below").to_owned())
        }
    }
    all.sort();
    all
}

#[test]
fn the_example_reports_are_what_the_program_writes() {
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/reports");
    let fresh = tempfile::tempdir().expect("a folder");
    let write = std::env::var_os("EVENKEEL_GOLDEN").is_some_and(|wish| wish == "write");
    let into = if write { kept.as_path() } else { fresh.path() };
    fs::create_dir_all(into).expect("made");
    for (folder, name, status) in REPORTS {
        assert_eq!(made(folder, name, into), status, "{name}");
    }
    let is_made = |file: &PathBuf| file.extension().is_some_and(|end| end != "toml");
    let held: Vec<PathBuf> = files(&kept, &kept).into_iter().filter(is_made).collect();
    assert_eq!(files(into, into).into_iter().filter(is_made).collect::<Vec<_>>(), held, "no other reports");
    for file in files(into, into) {
        let (made, kept) = (fs::read(into.join(&file)).expect("read"), fs::read(kept.join(&file)).expect("read"));
        assert!(made == kept, "{} is not what the program writes", file.display());
    }
}

/// 42 V to 58 V of common mode on ±12 V of supply, with 1 V of pick-up: what fits lies inside the window that is shown.
#[test]
fn a_window_reaches_as_far_as_the_signals_that_fit() {
    let told = ask("design").arg("examples/battery-shunt.toml").desk(Desk::default());
    let told = told.answers_json(0, "evenkeel.design.v1");
    assert_eq!(told["headroom"]["fits"], true);
    let corners = told["headroom"]["window"].as_array().expect("a list");
    let greatest = corners.iter().filter_map(|one| one["common_mode_v"].as_f64()).fold(f64::MIN, f64::max);
    assert!(greatest > 59.0, "{greatest}");
}
