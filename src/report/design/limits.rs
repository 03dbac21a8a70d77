use crate::report::{Number, Record, Value};
use crate::study::{Design, LimitLine};

pub(super) fn push(design: &Design, body: &mut Record) {
    rows(&design.limits, body);
}

/// Limits as a table, and under it what would meet those that are missed.
pub(in crate::report) fn rows(limits: &[LimitLine], body: &mut Record) {
    body.table("limits", "Limits", limits, row);
    for line in limits.iter().filter(|line| !line.would_meet.is_empty()) {
        body.note(format!("{} would be met by: {}.", words(line.limit), line.would_meet.join("; or ")));
    }
}

fn row(line: &LimitLine) -> Record {
    let none = if line.met.is_none() { "not predicted" } else { "unbounded" };
    let number = |si| Value::Number(Number { si, unit: line.unit, digits: 4, none });
    let mut row = Record::new();
    row.text("limit", "", line.limit).for_data();
    row.text("", "limit", words(line.limit)).for_people();
    row.push("required", "required", number(Some(line.required)));
    row.push("predicted", "predicted", number(line.predicted));
    row.push("margin", "margin", if line.met.is_none() { Value::Text(None) } else { number(line.margin) });
    row.push("met", "verdict", Value::Flag(line.met, ["met", "missed", "not predicted"]));
    row.texts("would_meet", "", &line.would_meet);
    row
}

/// A key of `[limits]` as people say it.
pub(in crate::report) fn words(limit: &str) -> String {
    limit.replace('_', " ")
}
