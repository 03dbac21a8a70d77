use crate::quantity::Unit;
use crate::report::{Record, Value};
use crate::study::{Design, PickKind, ResistorLine};

pub(super) fn push(design: &Design, body: &mut Record) {
    body.table("resistors", "Resistors", &design.resistors, row);
}

fn row(line: &ResistorLine) -> Record {
    let mut row = Record::new();
    row.text("name", "name", line.name.name());
    row.text("kind", "kind", line.kind.name()).for_data();
    row.number("ohm", "value", line.ohm, Unit::Ohm).or_say("open").digits(6);
    let parts = Value::Numbers(line.parts_ohm.clone(), Unit::Ohm, joint(line.kind));
    let parts = row.push("parts_ohm", "made of", parts);
    if line.parts_ohm.len() < 2 {
        parts.for_data();
    }
    row.push("marking", "marking", Value::Text(line.marking.clone()));
    row.number("tolerance", "tolerance", line.tolerance, Unit::Fraction);
    row.number("tempco_per_k", "tempco", line.tempco_per_k, Unit::PerKelvin);
    row.push("chosen", "", Value::Flag(Some(line.chosen), ["chosen", "given", ""])).for_data();
    row.text("", "", if line.chosen { "chosen" } else { "given" }).for_people();
    row
}

/// What stands between the parts of a pair.
pub(in crate::report) const fn joint(kind: PickKind) -> &'static str {
    match kind {
        PickKind::Parallel => " ∥ ",
        PickKind::Single | PickKind::Series | PickKind::Open => " + ",
    }
}
