use super::limits::sentence;
use crate::quantity::{Unit, rounded};
use crate::report::{Number, Record, Value};
use crate::study::{CandidateLine, Design, PickKind, ResistorLine};

pub(super) fn push(design: &Design, body: &mut Record) {
    body.table("resistors", "Resistors", &design.resistors, row);
    let opamps: Vec<_> = design.opamps.iter().collect();
    body.table("opamps", "", &opamps, |(amp, title)| {
        let mut row = Record::new();
        row.text("name", "", amp.to_string());
        row.text("title", "", title.as_str());
        row
    })
    .for_data();
    search(design, body);
    runners_up(design, body);
    if !design.candidates.is_empty() {
        body.table("candidates", "Op amps tried", &design.candidates, candidate);
    }
    let Some(bought) = &design.purchase else { return };
    body.section("purchase", "Purchase", |part| {
        part.number("total", "in all", bought.total, Unit::Plain);
        if let Some(price) = bought.resistors {
            part.number("resistors", "resistors", price, Unit::Plain);
        }
        if let Some(price) = bought.opamps {
            part.number("opamps", "op amps", price, Unit::Plain);
        }
        part.flag("proven", "nothing cheaper holds every limit", bought.proven).for_data();
        part.text("note", "", &bought.note).for_data();
        part.note(sentence(&format!("{}.", bought.note)));
    });
}

/// What is proven of the values, told to people where something is left open or out of reach.
fn search(design: &Design, body: &mut Record) {
    let searched = &design.search;
    let keys: Vec<String> = searched.out_of_reach.iter().map(|&key| key.to_owned()).collect();
    body.section("search", "", |part| {
        part.flag("proven", "", searched.proven);
        part.texts("out_of_reach", "", &keys);
        part.text("note", "", &searched.note);
    })
    .for_data();
    let limits: Vec<String> = keys.iter().map(|key| key.replace('_', " ")).collect();
    if !limits.is_empty() {
        body.note(format!("No set of values in the ranges allowed holds the limit on {}.", limits.join(" and on ")));
    }
    if !searched.note.is_empty() {
        body.note(searched.note.clone());
    }
}

fn runners_up(design: &Design, body: &mut Record) {
    body.table("runners_up", "Runners-up", &design.runners_up, |one| {
        let mut row = Record::new();
        let values = |record: &mut Record| {
            for (name, ohm) in &one.ohms {
                record.push(
                    name.name(),
                    name.name(),
                    Value::Number(Number { si: *ohm, unit: Unit::Ohm, digits: 4, none: "open" }),
                );
            }
        };
        row.section("ohms", "", values).for_data();
        row.number("gain", "gain", one.gain, Unit::Plain).digits(6).for_data();
        row.number("error", "error", one.error, Unit::Fraction).digits(3).for_data();
        row.push("parts", "parts", Value::Count(one.parts as u64)).for_data();
        row.number("noise_v_per_rthz", "noise", one.noise_v_per_rthz, Unit::VoltPerRootHertz).for_data();
        row.text("trades", "", &one.trades).for_data();
        row
    })
    .for_data();
    for one in &design.runners_up {
        let other = |name, ohm| design.resistors.iter().any(|held| held.name == name && held.ohm != ohm);
        // resistors of one value are told as one
        let mut values: Vec<(Option<f64>, Vec<&str>)> = Vec::new();
        for &(name, ohm) in one.ohms.iter().filter(|(name, ohm)| other(*name, *ohm)) {
            match values.iter_mut().find(|(held, _)| *held == ohm) {
                Some((_, names)) => names.push(name.name()),
                None => values.push((ohm, vec![name.name()])),
            }
        }
        let show = |ohm: Option<f64>| ohm.map_or_else(|| "open".to_owned(), |ohm| rounded(ohm, Unit::Ohm, 4));
        let values: Vec<String> =
            values.into_iter().map(|(ohm, names)| format!("{} = {}", names.join(" = "), show(ohm))).collect();
        body.note(format!("Runner-up {}: {}.", values.join(", "), one.trades));
    }
}

fn candidate(line: &CandidateLine) -> Record {
    let mut row = Record::new();
    row.text("opamp", "op amp", &line.opamp);
    row.number("price", "price", line.price, Unit::Plain).or_say("not stated");
    row.texts("ruled_out_by", "ruled out by", &line.ruled_out_by).for_data();
    let words = if line.ruled_out_by.is_empty() { "taken".to_owned() } else { line.ruled_out_by.join(", ") };
    row.text("", "ruled out by", words).for_people();
    row
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
    if let Some(power) = line.power_w {
        row.number("power_w", "power", power, Unit::Watt).digits(2);
    }
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
