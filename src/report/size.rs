use super::design::{joint, listed};
use super::{Document, Record, Value, Verdict};
use crate::designator::Topology;
use crate::quantity::{Unit, rounded};
use crate::study::{Choice, PickKind, SizeAnswer};

/// The report on a gain-set resistor.
#[must_use]
pub fn size(answer: &SizeAnswer) -> Document {
    let mut body = Record::new();
    body.text("topology", "circuit", answer.topology.name());
    body.text("series", "values from", &answer.series);
    body.number("target_gain", "gain wanted", answer.target_gain, Unit::Plain).digits(6);
    if let Some(reason) = &answer.reason {
        body.text("reason", "", reason).for_data();
    } else {
        body.number("exact_ohm", "exact value", answer.exact_ohm, Unit::Ohm).or_say("open").digits(6);
    }
    let names = names(answer.topology);
    body.table("choices", "Choices, best first", &answer.choices, |choice| row(choice, names));
    body.table("neighbours", "One step down and up", &answer.neighbours, |choice| row(choice, names));
    listed(&answer.warnings, &mut body);
    Document::new("evenkeel.size.v1", verdict(answer), body)
}

fn verdict(answer: &SizeAnswer) -> Verdict {
    let Some(best) = answer.choices.first() else {
        return Verdict::bad(answer.reason.clone().unwrap_or_else(|| "No value can do it.".to_owned()));
    };
    let (set, feedback) = names(answer.topology);
    let mut resistors = match best.ohm {
        Some(ohm) => format!("{set} = {}", rounded(ohm, Unit::Ohm, 6)),
        None => format!("{set} left open"),
    };
    if let Some(ohm) = best.feedback_ohm {
        resistors += &format!(", {feedback} = {}", rounded(ohm, Unit::Ohm, 6));
    }
    let gain = rounded(best.gain, Unit::Plain, 6);
    let error = rounded(best.error, Unit::Fraction, 3);
    if !answer.made {
        return Verdict::bad(format!(
            "No value there is makes the gain; nearest {resistors}: gain {gain}, error {error}."
        ));
    }
    Verdict::good(format!("{resistors}: gain {gain}, error {error}."))
}

/// The resistors that set the gain, and the feedback resistors, as they stand on the drawing.
const fn names(topology: Topology) -> (&'static str, &'static str) {
    match topology {
        Topology::Difference | Topology::BufferedDifference => ("R1 and R3", "R2 and R4"),
        Topology::ThreeOpAmp => ("RG", "RF1 and RF2"),
        Topology::TwoOpAmp => ("RG", "R1 and R4"),
        Topology::SingleChip => ("RG", ""),
    }
}

fn row(choice: &Choice, (set, feedback): (&'static str, &'static str)) -> Record {
    let mut row = Record::new();
    row.text("kind", "kind", choice.kind.name()).for_data();
    row.number("ohm", set, choice.ohm, Unit::Ohm).or_say("open").digits(6);
    let parts = Value::Numbers(choice.parts_ohm.clone(), Unit::Ohm, joint(choice.kind));
    let parts = row.push("parts_ohm", "made of", parts);
    if !matches!(choice.kind, PickKind::Series | PickKind::Parallel) {
        parts.for_data();
    }
    if choice.feedback_ohm.is_some() {
        row.number("feedback_ohm", feedback, choice.feedback_ohm, Unit::Ohm);
    }
    row.number("exact_ohm", "exact", choice.exact_ohm, Unit::Ohm).for_data();
    row.number("gain", "gain", choice.gain, Unit::Plain).digits(6);
    row.number("error", "error", choice.error, Unit::Fraction).digits(3);
    row.number("error_low", "lowest", choice.error_low, Unit::Fraction).digits(3);
    row.number("error_high", "highest", choice.error_high, Unit::Fraction).digits(3);
    row
}
