use super::design::limit_rows;
use super::{Document, Record, Value, Verdict};
use crate::quantity::Unit;
use crate::report::document::Number;
use crate::study::{Allowance, CheckedBoard, Finding, Moved};

/// The report on boards as built.
#[must_use]
pub fn check(boards: &[CheckedBoard]) -> Document {
    let met = boards.iter().all(|board| board.met);
    let mut body = Record::new();
    body.flag("met", "", met).for_data();
    body.sections("boards", boards, board);
    let bad = boards.iter().filter(|board| !board.met).count();
    let words = match (boards, bad) {
        ([_], 0) => "The board is what it should be.".to_owned(),
        ([_], _) => "The board is not what it should be.".to_owned(),
        (all, 0) => format!("All {} boards are what they should be.", all.len()),
        (all, bad) => format!("{bad} of {} boards are not what they should be.", all.len()),
    };
    Document::new("evenkeel.check.v1", if met { Verdict::good(words) } else { Verdict::bad(words) }, body)
}

/// What people call a board: its title, else its file and channel.
pub(super) fn name(board: &CheckedBoard) -> String {
    match (&board.channel, board.title.is_empty()) {
        (Some(channel), _) => format!("{} ({})", channel, board.file),
        (None, false) => format!("{} ({})", board.title, board.file),
        (None, true) => board.file.clone(),
    }
}

fn board(board: &CheckedBoard) -> (String, Record) {
    let mut part = Record::new();
    part.text("file", "", &board.file).for_data();
    part.push("channel", "", Value::Text(board.channel.clone())).for_data();
    part.text("title", "", &board.title).for_data();
    part.push("met", "verdict", Value::Flag(Some(board.met), ["as it should be", "not as it should be", ""]));
    limit_rows(&board.limits, &mut part);
    part.entries("findings", "Findings", &board.findings, finding);
    part.table("moved", "", &board.moved, moved).for_data();
    (name(board), part)
}

fn finding(one: &Finding) -> Record {
    let mut entry = Record::new();
    entry.text("code", "code", one.code);
    entry.push("designator", "", Value::Text(one.designator.map(|name| name.name().to_owned()))).for_data();
    entry.text("message", "message", &one.message);
    entry
}

fn moved(one: &Moved) -> Record {
    let mut row = Record::new();
    let number = |si: Option<f64>, unit: Unit| Value::Number(Number { si, unit, digits: 6, none: "unbounded" });
    row.text("figure", "", one.figure);
    row.push("before", "", number(one.before.flatten(), one.unit));
    row.push("now", "", number(one.now.flatten(), one.unit));
    let (absolute, relative) = match one.allowed {
        Some(Allowance::Absolute(by)) => (Some(by), None),
        Some(Allowance::Relative(by)) => (None, Some(by)),
        None => (None, None),
    };
    row.push("allowed", "", number(absolute, one.unit));
    row.push("allowed_fraction", "", number(relative, Unit::Fraction));
    row.flag("beyond", "", one.beyond);
    row
}
