//! The report that build servers read: a suite a board, a case a limit, and one for each grave finding.
//!
//! The shape is the common one, written down from memory: `testsuites` > `testsuite` (`name`, `tests`,
//! `failures`, `errors`, `skipped`, `time`) > `testcase` (`name`, `classname`, `time`), in a case at
//! most one `failure` (`message`, `type`), and `system-out` after the cases of a suite.
use super::check::name;
use super::design::limit_words;
use super::page::steers;
use crate::quantity::rounded;
use crate::study::{CheckedBoard, Finding, LimitLine};
use std::fmt::Write as _;

/// Boards as JUnit XML.
#[must_use]
pub fn junit(boards: &[CheckedBoard]) -> String {
    let suites: Vec<Suite> = boards.iter().map(suite).collect();
    let (tests, failures) = suites.iter().fold((0, 0), |sum, one| (sum.0 + one.cases.len(), sum.1 + one.failures()));
    let mut out = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n".to_owned();
    // Writing to a string can't fail.
    let _ = writeln!(
        out,
        "<testsuites name=\"evenkeel check\" tests=\"{tests}\" failures=\"{failures}\" errors=\"0\" time=\"0\">"
    );
    for suite in &suites {
        suite.write(&mut out);
    }
    out.push_str("</testsuites>\n");
    out
}

struct Suite {
    name: String,
    class: String,
    cases: Vec<Case>,
    notes: Vec<String>,
}

struct Case {
    name: String,
    failure: Option<(&'static str, String)>,
}

impl Suite {
    fn failures(&self) -> usize {
        self.cases.iter().filter(|case| case.failure.is_some()).count()
    }

    fn write(&self, out: &mut String) {
        let (tests, failures) = (self.cases.len(), self.failures());
        let _ = writeln!(
            out,
            "  <testsuite name=\"{}\" tests=\"{tests}\" failures=\"{failures}\" errors=\"0\" skipped=\"0\" time=\"0\">",
            attribute(&self.name)
        );
        for case in &self.cases {
            let (name, class) = (attribute(&case.name), attribute(&self.class));
            let _ = write!(out, "    <testcase name=\"{name}\" classname=\"{class}\" time=\"0\"");
            let _ = match &case.failure {
                None => writeln!(out, "/>"),
                Some((kind, message)) => {
                    let message = attribute(message);
                    writeln!(out, ">\n      <failure message=\"{message}\" type=\"{kind}\"/>\n    </testcase>")
                }
            };
        }
        if !self.notes.is_empty() {
            let _ = writeln!(out, "    <system-out>{}</system-out>", attribute(&self.notes.join("; ")));
        }
        out.push_str("  </testsuite>\n");
    }
}

fn suite(board: &CheckedBoard) -> Suite {
    let mut cases: Vec<Case> = board.limits.iter().map(limit).collect();
    cases.extend(board.findings.iter().filter(|finding| finding.grave).map(grave));
    if cases.is_empty() {
        // A suite without a case counts as an error to many readers.
        cases.push(Case { name: "as built".to_owned(), failure: None });
    }
    let notes = board.findings.iter().filter(|finding| !finding.grave).map(|finding| finding.message.clone()).collect();
    Suite { name: name(board), class: board.file.clone(), cases, notes }
}

fn limit(line: &LimitLine) -> Case {
    let said = |si: Option<f64>| si.map_or_else(|| "unbounded".to_owned(), |si| rounded(si, line.unit, 4));
    let required = said(Some(line.required));
    let failure = match line.met {
        Some(true) => None,
        Some(false) => Some(("missed", format!("required {required}, predicted {}", said(line.predicted)))),
        None => Some(("not-predicted", format!("required {required}, not predicted"))),
    };
    Case { name: limit_words(line.limit), failure }
}

fn grave(finding: &Finding) -> Case {
    let name = match finding.designator {
        Some(name) => format!("{name} {}", finding.code),
        None => format!("{}: {}", finding.code, finding.message),
    };
    Case { name, failure: Some((finding.code, finding.message.clone())) }
}

/// Words that mean themselves in an attribute and in text; what XML can't hold is made visible.
fn attribute(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for c in words.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&apos;"),
            '\n' | '\r' | '\t' => out.push(' '),
            c if steers(c) || matches!(c, '\u{fffe}' | '\u{ffff}') => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}
