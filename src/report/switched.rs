use super::design::limit_row;
use super::{Document, Record, Value, Verdict};
use crate::quantity::{Unit, rounded};
use crate::study::{LimitLine, SwitchedAnswer, SwitchedGain};

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
        row.flag("met", "limits", one.met()).for_data();
        row.table("limits", "", &one.limits, limit_row).for_data();
        row
    });
    missed(answer, &mut body);
    Document::new("evenkeel.gains.v1", verdict(answer), body).titled(&answer.title)
}

/// What is not met, gain by gain.
fn missed(answer: &SwitchedAnswer, body: &mut Record) {
    let open = |gain: &SwitchedGain| gain.limits.clone().into_iter().filter(|line| line.met != Some(true));
    let lines: Vec<(f64, LimitLine)> =
        answer.gains.iter().flat_map(|gain| open(gain).map(|line| (gain.target, line))).collect();
    if lines.is_empty() {
        return;
    }
    body.table("", "Limits not met", &lines, |(target, line)| {
        let mut row = Record::new();
        row.number("", "at gain", *target, Unit::Plain).digits(6);
        row.fields.extend(limit_row(line).fields);
        row
    })
    .for_people();
}

fn verdict(answer: &SwitchedAnswer) -> Verdict {
    let worst = answer.gains.iter().map(|one| one.error_low.abs().max(one.error_high.abs())).fold(0.0, f64::max);
    let words = format!("{} gains; none is off by more than {}", answer.gains.len(), rounded(worst, Unit::Fraction, 3));
    let missed = answer.gains.iter().filter(|gain| !gain.met()).map(|gain| rounded(gain.target, Unit::Plain, 6));
    match missed.collect::<Vec<_>>().as_slice() {
        [] if answer.gains.iter().all(|gain| gain.limits.is_empty()) => Verdict::plain(words + "."),
        [] => Verdict::good(words + "; every limit is met at each."),
        gains => Verdict::bad(format!("{words}; limits are missed at gain {}.", gains.join(", "))),
    }
}
