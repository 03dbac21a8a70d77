use super::picture::around;
use crate::quantity::{Unit, exact};
use crate::study::{Design, InputFilter, ResistorLine};

/// One part, or several alike: what is bought.
#[derive(Default, PartialEq)]
struct Kind {
    value: String,
    marking: String,
    tolerance: String,
    tempco: String,
}

struct Line {
    names: Vec<String>,
    kind: Kind,
    /// Of several the hottest, W.
    power_w: Option<f64>,
}

/// The parts list of a design as rows for a table program, the heading first: resistors, the input filter, bias
/// returns and op amps.
///
/// A resistor made of two parts has a row for each. Power is a number in milliwatts, empty where signals or supply are
/// not stated. A cell that a table program would take for a formula begins with an apostrophe.
#[must_use]
pub fn parts_list(design: &Design) -> Vec<Vec<String>> {
    let mut list: Vec<Line> = Vec::new();
    for line in &design.resistors {
        for (at, ohm) in line.parts_ohm.iter().enumerate() {
            let name = match line.parts_ohm.len() {
                1 => line.name.name().to_owned(),
                _ => format!("{}{}", line.name.name(), if at == 0 { 'a' } else { 'b' }),
            };
            add(&mut list, name, resistor(line, *ohm), line.power_w);
        }
    }
    if let Some(filter) = &design.surroundings.filter {
        filter_parts(filter, &mut list);
    }
    let source = &design.surroundings.source;
    if let Some(ohm) = source.bias_return_ohm {
        for name in around::BIAS_RETURNS {
            add(&mut list, name.to_owned(), plain(ohm, Unit::Ohm, source.bias_return_tolerance), None);
        }
    }
    for amp in design.topology.amps() {
        let value = design.opamps.get(amp).cloned().unwrap_or_default();
        add(&mut list, amp.to_string(), Kind { value, ..Kind::default() }, None);
    }
    let heading = ["Designator", "Value", "Marking", "Tolerance", "Tempco", "Power [mW]", "Count"];
    std::iter::once(heading.map(str::to_owned).to_vec()).chain(list.into_iter().map(row)).collect()
}

fn filter_parts(filter: &InputFilter, list: &mut Vec<Line>) {
    let (ohm, farad) = (filter.resistor_tolerance, filter.capacitor_tolerance);
    let parts = [
        (&around::FILTER_RESISTORS[..], filter.resistor_ohm, Unit::Ohm, ohm),
        (&around::COMMON_CAPACITORS[..], filter.common_capacitor_f, Unit::Farad, farad),
        (&around::ACROSS[..1], filter.differential_capacitor_f, Unit::Farad, farad),
    ];
    for (names, value, unit, tolerance) in parts {
        if value > 0.0 {
            names.iter().for_each(|name| add(list, (*name).to_owned(), plain(value, unit, Some(tolerance)), None));
        }
    }
}

fn add(list: &mut Vec<Line>, name: String, kind: Kind, power_w: Option<f64>) {
    match list.iter_mut().find(|line| line.kind == kind) {
        Some(line) => {
            line.names.push(name);
            line.power_w = line.power_w.zip(power_w).map_or(line.power_w.or(power_w), |(a, b)| Some(a.max(b)));
        }
        None => list.push(Line { names: vec![name], kind, power_w }),
    }
}

fn resistor(line: &ResistorLine, ohm: f64) -> Kind {
    let marking = if line.parts_ohm.len() == 1 { line.marking.clone() } else { crate::quantity::marking::code(ohm) };
    Kind {
        marking: marking.unwrap_or_default(),
        tempco: exact(line.tempco_per_k, Unit::PerKelvin),
        ..plain(ohm, Unit::Ohm, Some(line.tolerance))
    }
}

fn plain(value: f64, unit: Unit, tolerance: Option<f64>) -> Kind {
    Kind {
        value: exact(value, unit),
        tolerance: tolerance.map_or_else(String::new, |tolerance| exact(tolerance, Unit::Fraction)),
        ..Kind::default()
    }
}

fn row(line: Line) -> Vec<String> {
    let Line { names, kind, power_w } = line;
    let count = names.len().to_string();
    let power = power_w.map_or_else(String::new, |power| milliwatts(power).to_string());
    let cells = [names.join(","), kind.value, kind.marking, kind.tolerance, kind.tempco, power, count];
    cells.map(harmless).to_vec()
}

/// To a thousandth of a milliwatt, rounded up: a part is chosen by it.
fn milliwatts(watt: f64) -> f64 {
    (watt * 1e6).ceil() / 1e3
}

/// A cell that begins like a formula is text.
fn harmless(cell: String) -> String {
    if cell.starts_with(['=', '+', '-', '@', '\t', '\r']) { format!("'{cell}") } else { cell }
}
