use super::design::COMPARED;
use super::{Document, Number, Record, Value, Verdict};
use crate::designator::Designator;
use crate::part::Fixed;
use crate::quantity::{Unit, exact, rounded};
use crate::study::{CompareOption, Comparison, Design};

/// The report on a comparison.
#[must_use]
pub fn compare(answer: &Comparison) -> Document {
    let mut body = Record::new();
    body.text("title", "title", &answer.title).for_data();
    body.table("set_aside", "", &answer.set_aside, |(name, value)| {
        let mut row = Record::new();
        row.text("name", "", name.name());
        row.number("ohm", "", ohm(value), Unit::Ohm);
        row
    })
    .for_data();
    body.table("options", "Options", &answer.options, data).for_data();
    body.table("", "Circuits", &answer.options, worth).for_people();
    body.table("", "Parts", &answer.options, parts).for_people();
    for option in &answer.options {
        if let Some(missing) = &option.missing {
            body.note(format!("{}: no design; {missing}.", name(option)));
        } else if let Some(line) = limits(option) {
            body.note(line);
        }
    }
    if !answer.set_aside.is_empty() {
        let told = |(name, value): &(_, _)| match ohm(value) {
            Some(ohm) => format!("{} of {}", Designator::name(*name), exact(ohm, Unit::Ohm)),
            None => format!("{} open", Designator::name(*name)),
        };
        let all: Vec<String> = answer.set_aside.iter().map(told).collect();
        body.note(format!(
            "Fixed in the spec and set aside, since each circuit gets its own best values: {}.",
            all.join(", ")
        ));
    }
    let mut told = Vec::new();
    for option in &answer.options {
        if !told.contains(&option.topology) {
            told.push(option.topology);
            body.note(format!("{}: {}", option.topology.name(), option.when));
        }
    }
    Document::new("evenkeel.compare.v1", verdict(answer), body).titled(&answer.title)
}

fn ohm(value: &Fixed) -> Option<f64> {
    match *value {
        Fixed::Ohm(ohm) => Some(ohm),
        Fixed::Open => None,
    }
}

fn verdict(answer: &Comparison) -> Verdict {
    let all = answer.options.iter().filter(|option| option.design.is_some()).count();
    let met: Vec<&CompareOption> =
        answer.options.iter().filter(|one| one.design.as_ref().is_some_and(|design| design.met)).collect();
    let fitting: Vec<String> = met.iter().copied().filter(|one| fits(one)).map(name).collect();
    if fitting.len() < met.len() {
        let held = match fitting.as_slice() {
            [] => "the signal stays inside the op amps' limits in none of them".to_owned(),
            some => format!("the signal stays inside the op amps' limits in {}", some.join(", ")),
        };
        let words = format!("{} of {all} designs meet every limit; {held}.", met.len());
        return if fitting.is_empty() { Verdict::bad(words) } else { Verdict::good(words) };
    }
    match fitting.as_slice() {
        [] => Verdict::bad(format!("None of {all} designs meets every limit.")),
        [only] => Verdict::good(format!("One of {all} designs meets every limit: {only}.")),
        some => Verdict::good(format!("{} of {all} designs meet every limit.", some.len())),
    }
}

/// False where the signal is known to go beyond the op amps' limits.
fn fits(option: &CompareOption) -> bool {
    let figure = option.design.as_ref().and_then(|design| design.headroom.as_ref());
    figure.is_none_or(|figure| figure.fits)
}

fn name(option: &CompareOption) -> String {
    match &option.opamp {
        Some(opamp) => format!("{} with {opamp}", option.topology.name()),
        None => option.topology.name().to_owned(),
    }
}

fn limits(option: &CompareOption) -> Option<String> {
    let list = |keys: &[&str]| keys.iter().map(|key| key.replace('_', " ")).collect::<Vec<_>>().join(", ");
    let missed = (!option.limits_missed.is_empty()).then(|| format!("misses {}", list(&option.limits_missed)));
    let open = (!option.limits_open.is_empty()).then(|| format!("can't tell {}", list(&option.limits_open)));
    let room = (!fits(option) && !option.limits_missed.contains(&"headroom"))
        .then(|| "the signal goes beyond the op amps' limits".to_owned());
    let words: Vec<String> = missed.into_iter().chain(open).chain(room).collect();
    (!words.is_empty()).then(|| format!("{}: {}.", name(option), words.join("; ")))
}

fn data(option: &CompareOption) -> Record {
    let mut row = Record::new();
    row.text("topology", "circuit", option.topology.name());
    row.push("opamp", "op amp", Value::Text(option.opamp.clone()));
    if let Some(design) = &option.design {
        for figure in COMPARED {
            figure(design, &mut row);
        }
        row.push("parts", "parts", Value::Count(option.parts as u64));
        row.number("price", "price", option.price, Unit::Plain);
        row.flag("adjustable_by_one", "", option.adjustable_by_one);
        row.flag("limits_met", "", design.met);
        let missed: Vec<String> = option.limits_missed.iter().map(|&key| key.to_owned()).collect();
        row.texts("limits_missed", "", &missed);
        row.table("resistors", "", &design.resistors, |line| {
            let mut one = Record::new();
            one.text("name", "", line.name.name());
            one.number("ohm", "", line.ohm, Unit::Ohm);
            one
        });
    } else {
        row.push("missing", "missing", Value::Text(option.missing.clone()));
    }
    row.text("when", "when", option.when);
    row
}

fn worth(option: &CompareOption) -> Record {
    let mut row = Record::new();
    row.text("", "circuit", option.topology.name());
    if let Some(opamp) = &option.opamp {
        row.text("", "op amp", opamp);
    }
    let design = option.design.as_ref();
    let number = |si: Option<Option<f64>>, unit, digits| match si {
        None => Value::Text(None),
        Some(si) => Value::Number(Number { si, unit, digits, none: "unbounded" }),
    };
    let error = |design: &Design| Some(design.gain.error_low.abs().max(design.gain.error_high.abs()));
    row.push("", "rejection", number(design.map(|one| one.rejection.worst_db), Unit::Decibel, 3));
    row.push("", "gain error", number(design.map(error), Unit::Fraction, 2));
    let input = design.and_then(|one| one.impedance.as_ref()).map(|figure| figure.differential_ohm);
    row.push("", "input", number(input, Unit::Ohm, 3));
    let margin = design.and_then(|one| one.headroom.as_ref()).map(|figure| Some(figure.margin_v));
    row.push("", "headroom", number(margin, Unit::Volt, 3));
    let density = design.and_then(|one| one.noise.as_ref()).map(|figure| Some(figure.density_v_per_rthz));
    row.push("", "noise", number(density, Unit::VoltPerRootHertz, 2));
    row
}

fn parts(option: &CompareOption) -> Record {
    let mut row = Record::new();
    row.text("", "circuit", option.topology.name());
    if let Some(opamp) = &option.opamp {
        row.text("", "op amp", opamp);
    }
    let there = option.design.is_some();
    row.push("", "parts", Value::Text(there.then(|| option.parts.to_string())));
    let price = option.price.filter(|_| there).map(|price| rounded(price, Unit::Plain, 4));
    row.push("", "price", Value::Text(price));
    row.text("", "set by one resistor", if option.adjustable_by_one { "yes" } else { "no" });
    let met = option.design.as_ref().map(|design| design.met);
    row.push("", "limits", Value::Flag(met, ["met", "missed", ""]));
    row
}
