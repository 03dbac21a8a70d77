use super::{Document, Record, Value, Verdict};
use crate::quantity::{Unit, rounded};
use crate::study::SwitchedAnswer;

/// The report on switched gains.
#[must_use]
pub fn switched(answer: &SwitchedAnswer) -> Document {
    let mut body = Record::new();
    body.text("title", "title", &answer.title).for_data();
    body.text("topology", "circuit", answer.topology.name());
    body.text("form", "form", answer.form.name());
    body.table("resistors", "Resistors", &answer.resistors, |one| {
        let mut row = Record::new();
        row.text("name", "name", &one.name);
        row.number("ohm", "value", one.ohm, Unit::Ohm).or_say("open").digits(6);
        row.push("count", "count", Value::Count(one.count as u64));
        row
    });
    body.table("gains", "Gains", &answer.gains, |one| {
        let mut row = Record::new();
        row.number("target", "wanted", one.target, Unit::Plain).digits(6);
        row.number("gain", "nominal", one.gain, Unit::Plain).digits(6);
        row.number("error_low", "lowest", one.error_low, Unit::Fraction).digits(3);
        row.number("error_high", "highest", one.error_high, Unit::Fraction).digits(3);
        row.number("rejection", "rejection", one.rejection_db, Unit::Decibel);
        row.number("headroom", "headroom", one.headroom_v, Unit::Volt).or_say("not predicted").digits(3);
        row.flag("met", "limits", one.met).for_data();
        row
    });
    let worst = answer.gains.iter().map(|one| one.error_low.abs().max(one.error_high.abs())).fold(0.0, f64::max);
    let words = format!("{} gains; none is off by more than {}", answer.gains.len(), rounded(worst, Unit::Fraction, 3));
    let verdict = if answer.met() { Verdict::plain(words + ".") } else { Verdict::bad(words + "; a limit is missed.") };
    Document::new("evenkeel.gains.v1", verdict, body).titled(&answer.title)
}
