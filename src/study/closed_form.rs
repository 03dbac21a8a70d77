//! The handbook estimate beside the exact figure, and why they differ.
use super::StudyFault;
use crate::designator::Designator::{R1, R2, R3, R4, R5};
use crate::designator::{Amp, Topology};
use crate::stage::{Circuit, Lot};
use crate::textbook::{self, ClosedForm};

/// Differences up to this are the estimate's own: first order, and rounded in print.
const QUIET_DB: f64 = 0.2;

/// The estimate for a circuit and its lot, dB; `None` where it is unbounded.
pub(super) fn estimate(circuit: &Circuit, lot: &Lot) -> Result<Option<f64>, StudyFault> {
    let ohms = &circuit.ohms;
    let ohm = |name| ohms.get(name).unwrap_or(f64::INFINITY);
    let bound = |name| match lot.networks.iter().find(|network| network.members.contains(&name)) {
        Some(network) => network.own_bound(lot.reach_k),
        None => lot.grades.get(&name).map_or(0.0, |grade| grade.bound(lot.reach_k)),
    };
    let whole = match circuit.chip_gain() {
        Some(gain) => gain,
        None => textbook::ideal_gain(circuit.topology, ohms).map_err(|fault| fault_of(&fault))?,
    };
    let (stage_one_gain, stage_two_gain) = match circuit.topology {
        Topology::ThreeOpAmp => {
            let second = ohm(R2) / ohm(R1);
            (whole / second, second)
        }
        Topology::TwoOpAmp | Topology::SingleChip => (whole, 1.0),
        Topology::Difference | Topology::BufferedDifference => {
            let shunted = 1.0 / (1.0 / ohm(R2) + 1.0 / ohm(R5));
            (1.0, shunted / ohm(R1))
        }
    };
    let estimate = ClosedForm {
        topology: circuit.topology,
        stage_one_gain,
        stage_two_gain,
        bounds: [R1, R2, R3, R4].map(bound),
        opamp_rejections: [Amp::A1, Amp::A2, Amp::A3].map(|amp| circuit.opamp(amp).rejection),
    };
    textbook::closed_form_rejection(&estimate).map_err(|fault| fault_of(&fault))
}

fn fault_of(fault: &textbook::TextbookFault) -> StudyFault {
    StudyFault {
        code: "no-equation",
        key: "circuit".to_owned(),
        message: fault.to_string(),
        help: "give every resistor of the circuit a value above zero".to_owned(),
    }
}

/// Why the two differ, in a sentence, where that matters.
pub(super) fn note(exact_db: Option<f64>, estimate_db: Option<f64>) -> Option<String> {
    let (exact, estimate) = (exact_db?, estimate_db?);
    let gap = exact - estimate;
    if gap.abs() <= QUIET_DB {
        return None;
    }
    let size = crate::quantity::rounded(gap.abs(), crate::quantity::Unit::Decibel, 3);
    Some(if gap < 0.0 {
        format!(
            "The exact figure is {size} below the estimate, which is first order and leaves out the gain lost at the \
             worst corner (gain-set resistors included), open-loop gain, source and reference."
        )
    } else {
        format!(
            "The exact figure is {size} above the estimate, which adds all magnitudes as if each part reached its \
             worst in its own corner."
        )
    })
}
