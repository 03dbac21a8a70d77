use crate::quantity::Unit;
use crate::report::{Number, Record, Value};
use crate::study::{Design, LimitLine};

pub(super) fn push(design: &Design, body: &mut Record) {
    rows(&design.limits, body);
}

/// Limits as a table, and under it what would meet those that are missed.
pub(in crate::report) fn rows(limits: &[LimitLine], body: &mut Record) {
    body.table("limits", "Limits", limits, row);
    for line in limits.iter().filter(|line| !line.would_meet.is_empty()) {
        let limit = sentence(&words(line.limit));
        body.note(format!("{limit} would be met by: {}.", line.would_meet.join("; or ")));
    }
}

/// One limit.
pub(in crate::report) fn row(line: &LimitLine) -> Record {
    let none = if line.met.is_none() { "not predicted" } else { "unbounded" };
    let number = |si| Value::Number(Number { si, unit: line.unit, digits: 4, none });
    let mut row = Record::new();
    row.text("limit", "", line.limit).for_data();
    row.text("", "limit", words(line.limit)).for_people();
    row.text("unit", "", unit(line.unit)).for_data();
    row.push("required", "required", number(Some(line.required)));
    row.push("predicted", "predicted", number(line.predicted));
    row.push("margin", "margin", if line.met.is_none() { Value::Text(None) } else { number(line.margin) });
    row.push("met", "verdict", Value::Flag(line.met, ["met", "missed", "not predicted"]));
    row.texts("would_meet", "", &line.would_meet);
    row
}

/// The SI unit of the numbers in JSON.
const fn unit(unit: Unit) -> &'static str {
    match unit {
        Unit::Fraction => "fraction",
        Unit::Decibel | Unit::Rejection => "dB",
        Unit::Hertz => "Hz",
        Unit::Ohm => "Ω",
        _ => "V",
    }
}

/// Words with the capital that begins a sentence.
pub(super) fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A key of `[limits]` as people say it.
pub(in crate::report) fn words(limit: &str) -> String {
    limit.replace('_', " ")
}
