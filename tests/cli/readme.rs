//! Every session on a page for people is run, and prints what stands there.
//!
//! A line `…` in a block stands for any lines; `…22` keeps the first 22 when the pages are written anew
//! with `EVENKEEL_GOLDEN=write`.
use crate::asked::ask;
use evenkeel::cli::Desk;
use std::fmt::Write as _;
use std::path::Path;

const README: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/README.md");

struct Session {
    command: String,
    printed: Vec<String>,
}

fn sessions(block: &str) -> Vec<Session> {
    let mut all: Vec<Session> = Vec::new();
    for line in block.lines() {
        match line.strip_prefix("$ ") {
            Some(command) => all.push(Session { command: command.to_owned(), printed: Vec::new() }),
            None => all.last_mut().expect("a block begins with a command").printed.push(line.to_owned()),
        }
    }
    all
}

fn run(command: &str, status: &mut u8) -> String {
    if command == "echo $?" {
        return format!("{status}\n");
    }
    let words = command.strip_prefix("evenkeel ").expect("blocks run this program");
    let told = ask(words).desk(Desk::default()).run();
    *status = told.status;
    told.stdout + &told.stderr
}

fn agrees(printed: &[String], got: &[&str]) -> bool {
    match printed.iter().position(|line| line.starts_with('…')) {
        None => printed.iter().map(String::as_str).eq(got.iter().copied()),
        Some(cut) => {
            let (head, tail) = (&printed[..cut], &printed[cut + 1..]);
            got.len() >= head.len() + tail.len()
                && head.iter().zip(got).all(|(a, b)| a == b)
                && tail.iter().rev().zip(got.iter().rev()).all(|(a, b)| a == b)
        }
    }
}

/// Pages with sessions, and how many they have at least.
const PAGES: [(&str, usize); 4] =
    [("README.md", 6), ("docs/tutorial.md", 12), ("docs/topologies.md", 3), ("docs/limits.md", 5)];

#[test]
fn every_session_prints_what_its_page_says() {
    for (name, least) in PAGES {
        hold(&Path::new(env!("CARGO_MANIFEST_DIR")).join(name), least);
    }
}

#[test]
fn no_page_has_sessions_that_are_not_run() {
    let home = Path::new(env!("CARGO_MANIFEST_DIR"));
    for page in std::fs::read_dir(home.join("docs")).expect("listed") {
        let path = page.expect("an entry").path();
        let text = if path.is_file() { std::fs::read_to_string(&path).expect("text") } else { String::new() };
        let run = PAGES.iter().any(|(name, _)| home.join(name) == path);
        assert!(run || !text.contains("```console"), "{} is not among the pages that are run", path.display());
    }
}

fn hold(path: &Path, least: usize) {
    let page = std::fs::read_to_string(path).expect("the page is there");
    let mut parts = page.split("```console\n");
    let mut again = parts.next().unwrap_or_default().to_owned();
    let mut count = 0;
    for part in parts {
        let (block, rest) = part.split_once("```\n").expect("a block ends");
        again.push_str("```console\n");
        let mut status = 0;
        for session in sessions(block) {
            count += 1;
            let out = run(&session.command, &mut status);
            let got: Vec<&str> = out.lines().collect();
            let writing = std::env::var_os("EVENKEEL_GOLDEN").is_some_and(|wish| wish == "write");
            assert!(writing || agrees(&session.printed, &got), "$ {}\n{out}", session.command);
            let cut = session.printed.iter().find(|line| line.starts_with('…'));
            let kept = cut.and_then(|cut| cut.trim_start_matches('…').parse().ok()).unwrap_or(usize::MAX);
            let kept = if cut.is_some() && kept == usize::MAX { session.printed.len() - 1 } else { kept };
            writeln!(again, "$ {}", session.command).expect("text grows");
            got.iter().take(kept).for_each(|line| writeln!(again, "{line}").expect("text grows"));
            if cut.is_some() {
                again.push_str("…\n");
            }
        }
        again.push_str("```\n");
        again.push_str(rest);
    }
    assert!(count >= least, "sessions are missing");
    if std::env::var_os("EVENKEEL_GOLDEN").is_some_and(|wish| wish == "write") {
        std::fs::write(path, again).expect("the page takes text");
    }
}

#[test]
fn the_set_up_commands_are_what_ci_runs() {
    let page = std::fs::read_to_string(README).expect("the README is there");
    let (_, after) = page.split_once("```sh\n").expect("the set-up block");
    let (block, _) = after.split_once("```").expect("it ends");
    let [main_job, tests] = block.lines().collect::<Vec<_>>()[..] else { panic!("two commands: {block}") };
    let ci = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(".ci/run")).expect("CI is there");
    assert!(ci.contains(main_job) && ci.contains(tests), "CI runs both commands of the README");
}

/// What the pages under docs link to, relative to themselves.
#[test]
fn every_link_of_the_docs_leads_somewhere() {
    let docs = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs");
    for name in ["tutorial.md", "topologies.md", "data-sheets.md", "limits.md", "reports/hook-load.md"] {
        let path = docs.join(name);
        let page = std::fs::read_to_string(&path).expect("the page is there");
        for link in page.split("](").skip(1).filter_map(|after| after.split(')').next()) {
            let target = path.with_file_name(link.trim_matches(['<', '>']));
            assert!(target.exists(), "{name}: {link}");
        }
    }
}

/// The fenced block of the pipeline section that begins so.
fn block(opening: &str) -> String {
    let page = std::fs::read_to_string(README).expect("the README is there");
    let (_, section) = page.split_once("## In a pipeline\n").expect("the section");
    let (_, after) = section.split_once(opening).unwrap_or_else(|| panic!("no {opening}"));
    let (block, _) = after.split_once("```\n").expect("it ends");
    block.to_owned()
}

/// A shell in a folder where `boards` stands, with the program on the path.
#[cfg(unix)]
fn shell(folder: &Path, script: &str) -> i32 {
    let program = Path::new(env!("CARGO_BIN_EXE_evenkeel")).parent().expect("a folder");
    let path = std::env::var("PATH").unwrap_or_default();
    let told = std::process::Command::new("sh")
        .args(["-c", script])
        .current_dir(folder)
        .env("PATH", format!("{}:{path}", program.display()))
        .output()
        .expect("a shell");
    assert_eq!(String::from_utf8_lossy(&told.stderr), "", "{script}");
    told.status.code().unwrap_or(-1)
}

/// The script and the job of the pipeline section, run as they stand there, and what they leave behind.
#[cfg(unix)]
#[test]
fn the_script_and_the_job_run_as_they_stand() {
    let place = tempfile::tempdir().expect("a folder");
    let boards = place.path().join("boards");
    std::fs::create_dir(&boards).expect("made");
    for file in ["crane.toml", "bom.csv", "readings.csv"] {
        let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/boards").join(file);
        std::fs::copy(from, boards.join(file)).expect("copied");
    }
    let read =
        |name: &str| std::fs::read_to_string(place.path().join(name)).unwrap_or_else(|_| panic!("{name} is there"));
    assert_eq!(shell(place.path(), &block("```sh\n#!/bin/sh\n")), 0);
    assert_eq!(read("family.csv").lines().count(), 7, "two channels at three tolerances");
    assert!(
        read("reports/crane-1-Hook.md").starts_with("# Hook") && read("reports/crane-2-Boom.md").starts_with("# Boom")
    );
    assert!(
        read("baseline.json").contains("evenkeel.design.v1") && read("sheet.csv").starts_with("step,for,positive [V],")
    );

    let job = block("```text\njob ");
    let of = |word: &str| -> Vec<String> {
        job.lines().filter_map(|line| line.strip_prefix(word)).map(|rest| rest.trim().to_owned()).collect()
    };
    let runs = of("run ");
    assert!(runs.len() == 3 && ["check", "verify"].iter().all(|one| job.contains(&format!("evenkeel {one} "))));
    runs.iter().for_each(|line| assert_eq!(shell(place.path(), line), 0, "{line}"));
    for kept in of("keep ") {
        assert!(!read(kept.split(',').next().unwrap_or_default()).is_empty(), "{kept}");
    }
    roxmltree::Document::parse(&read("checks.xml")).expect("XML");
    // and it stops a board that was changed: a resistor of the bill, then one of the spec
    let bill = read("boards/bom.csv").replace("499R 0.1%", "510R 0.1%");
    std::fs::write(boards.join("bom.csv"), &bill).expect("written");
    assert_eq!(shell(place.path(), &runs[0]), 1);
    std::fs::write(boards.join("bom.csv"), bill.replace("510R", "499R")).expect("written");
    let spec = read("boards/crane.toml").replace("offset         = \"30 µV\"", "offset         = \"300 µV\"");
    std::fs::write(boards.join("crane.toml"), spec).expect("written");
    assert_eq!(shell(place.path(), &runs[0]), 0);
    assert_eq!(shell(place.path(), &runs[1]), 1, "the offset moved against the baseline");
}
