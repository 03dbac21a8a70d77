use super::{Document, Record, Value, Verdict};
use crate::quantity::{Unit, rounded};
use crate::study::{TrimAnswer, Trimmed};

/// The report on trimming.
#[must_use]
pub fn trim(answer: &TrimAnswer) -> Document {
    let mut body = Record::new();
    body.text("title", "title", &answer.title).for_data();
    body.text("topology", "circuit", answer.topology.name());
    body.number("untrimmed_error", "gain error, untrimmed", answer.untrimmed_error, Unit::Fraction).digits(3);
    body.number("untrimmed_db", "rejection, untrimmed", answer.untrimmed_db, Unit::Decibel);
    section(answer.gain.as_ref(), "gain", "Gain trim", Unit::Fraction, &mut body);
    section(answer.rejection.as_ref(), "rejection", "Rejection trim", Unit::Decibel, &mut body);
    for note in &answer.notes {
        body.note(format!("{note}."));
    }
    body.texts("notes", "", &answer.notes).for_data();
    body.texts("steps", "", &answer.steps).for_data();
    for (at, step) in answer.steps.iter().enumerate() {
        body.note(format!("{}. {step}", at + 1));
    }
    Document::new("evenkeel.trim.v1", verdict(answer), body).titled(&answer.title)
}

fn section(one: Option<&Trimmed>, key: &'static str, label: &'static str, unit: Unit, body: &mut Record) {
    let Some(one) = one else {
        body.push(key, label, Value::Text(None)).for_data();
        return;
    };
    let part = &one.part;
    body.section(key, label, |record| {
        record.text("name", "in the place of", part.name.name());
        record.number("fixed_ohm", "fixed resistor", part.fixed_ohm, Unit::Ohm);
        record.number("trimmer_ohm", "trimmer", part.trimmer_ohm, Unit::Ohm);
        record.number("needed_low_ohm", "corners need from", part.needed_low_ohm, Unit::Ohm);
        record.number("needed_high_ohm", "corners need up to", part.needed_high_ohm, Unit::Ohm);
        record.number("least_ohm", "every board reaches from", part.least_ohm, Unit::Ohm);
        record.number("greatest_ohm", "every board reaches up to", part.greatest_ohm, Unit::Ohm);
        record.number("range_low", "range, lowest", one.range_low, Unit::Fraction).digits(3);
        record.number("range_high", "range, highest", one.range_high, Unit::Fraction).digits(3);
        record.number("spare", "to spare, of the range needed", part.spare, Unit::Fraction).digits(3);
        record.number("resolution", "left by the smallest step", one.resolution, unit).digits(3);
        record.number("after", "after trimming, over temperature", one.after, unit).digits(3);
        record.flag("worthwhile", "", one.worthwhile).for_data();
    });
}

fn verdict(answer: &TrimAnswer) -> Verdict {
    let show = |one: &Trimmed, unit, digits| {
        one.after.map_or_else(|| "unbounded".to_owned(), |after| rounded(after, unit, digits))
    };
    let gain = answer.gain.as_ref().filter(|one| one.worthwhile);
    let gain = gain.map(|one| format!("gain error {}", show(one, Unit::Fraction, 3)));
    let rejection = answer.rejection.as_ref().filter(|one| one.worthwhile);
    let rejection = rejection.map(|one| format!("rejection {}", show(one, Unit::Decibel, 3)));
    let words: Vec<String> = gain.into_iter().chain(rejection).collect();
    let against: Vec<&str> = [(&answer.gain, "gain"), (&answer.rejection, "rejection")]
        .into_iter()
        .filter(|(one, _)| one.as_ref().is_some_and(|one| !one.worthwhile))
        .map(|(_, name)| name)
        .collect();
    let left = if against.is_empty() {
        String::new()
    } else {
        format!(" Trimming makes the {} no better: leave it untrimmed.", against.join(" and the "))
    };
    match (words.is_empty(), against.is_empty()) {
        (true, true) => Verdict::bad("Nothing can be trimmed here."),
        (true, false) => Verdict::bad(left.trim_start().to_owned()),
        _ => Verdict::plain(format!("After trimming: {}.{left}", words.join(", "))),
    }
}
