//! The circuit with its designators, values and node voltages, a file a topology.
mod buffers;
mod chip;
mod difference;
mod inputs;
mod sheet;
mod symbol;
mod two_op_amp;

use super::Picture;
use crate::designator::Topology;
use crate::quantity::{Unit, rounded};
use crate::study::Design;
use sheet::Sheet;

/// The circuit as drawn, and above it what lies between the source and its inputs.
pub(in crate::report) fn circuit(design: &Design) -> Option<Picture> {
    let mut sheet = Sheet::new(design);
    inputs::drawn(&mut sheet);
    match design.topology {
        Topology::Difference => difference::plain(&mut sheet),
        Topology::BufferedDifference | Topology::ThreeOpAmp => buffers::drawn(&mut sheet),
        Topology::TwoOpAmp => two_op_amp::drawn(&mut sheet),
        Topology::SingleChip => chip::drawn(&mut sheet),
    }
    let stimulus = design.nodes.as_ref().map(|nodes| {
        let volt = |v| rounded(v, Unit::Volt, 4);
        format!("{} differential at {} common mode", volt(nodes.differential_v), volt(nodes.common_mode_v))
    });
    let caption = match &stimulus {
        Some(stimulus) => format!("The circuit, with nominal voltages for {stimulus}"),
        None => "The circuit".to_owned(),
    };
    let values: Vec<String> = sheet.values().map(|(name, value)| format!("{name} {value}")).collect();
    let before = inputs::values(&sheet);
    let voltages: Vec<String> = sheet.voltages().map(|(node, value)| format!("{node} {value}")).collect();
    let mut description = format!("A {} circuit: {}.", design.topology.name(), values.join(", "));
    if !before.is_empty() {
        description += &format!(" Before its inputs: {}.", before.join("; "));
    }
    if !voltages.is_empty() {
        description += &format!(" Voltages: {}.", voltages.join(", "));
    }
    let mut plain = sheet::rows(&values);
    plain.extend(sheet::rows(&before));
    plain.extend(sheet::rows(&voltages));
    Some(Picture { name: "circuit", caption, description, plain, canvas: sheet.canvas })
}
