use crate::quantity::{Unit, exact, rounded};
use crate::study::{Design, ResistorLine};

/// The parts list of a design as rows for a table program, the heading first.
///
/// A resistor made of two parts has a row for each. A cell that a table program would take for a formula
/// begins with an apostrophe.
#[must_use]
pub fn parts_list(design: &Design) -> Vec<Vec<String>> {
    let heading = ["Designator", "Value", "Marking", "Tolerance", "Tempco", "Power", "Count"];
    let mut rows = vec![heading.map(str::to_owned).to_vec()];
    let mut listed: Vec<(Vec<String>, Vec<String>)> = Vec::new();
    for line in &design.resistors {
        for (at, ohm) in line.parts_ohm.iter().enumerate() {
            let name = match line.parts_ohm.len() {
                1 => line.name.name().to_owned(),
                _ => format!("{}{}", line.name.name(), if at == 0 { 'a' } else { 'b' }),
            };
            let rest = cells(line, *ohm);
            match listed.iter_mut().find(|(_, other)| other[..4] == rest[..4]) {
                Some((names, other)) => {
                    names.push(name);
                    // of several the hottest
                    if line.power_w.is_some_and(|power| greater(power, &other[4])) {
                        other[4].clone_from(&rest[4]);
                    }
                }
                None => listed.push((vec![name], rest)),
            }
        }
    }
    for (names, rest) in listed {
        let count = names.len().to_string();
        let mut row = vec![names.join(",")];
        row.extend(rest);
        row.push(count);
        rows.push(row.into_iter().map(harmless).collect());
    }
    rows
}

fn greater(power: f64, held: &str) -> bool {
    crate::quantity::parse(held, Unit::Watt).map_or(true, |held| power > held)
}

fn cells(line: &ResistorLine, ohm: f64) -> Vec<String> {
    let marking = if line.parts_ohm.len() == 1 { line.marking.clone() } else { crate::quantity::marking::code(ohm) };
    vec![
        exact(ohm, Unit::Ohm),
        marking.unwrap_or_default(),
        exact(line.tolerance, Unit::Fraction),
        exact(line.tempco_per_k, Unit::PerKelvin),
        line.power_w.map_or_else(String::new, |power| rounded(power, Unit::Watt, 2)),
    ]
}

/// A cell that begins like a formula is text.
fn harmless(cell: String) -> String {
    if cell.starts_with(['=', '+', '-', '@', '\t', '\r']) { format!("'{cell}") } else { cell }
}
