//! The circuit `size` speaks of: all resistors from one feedback value, balanced.
use crate::designator::{Designator, Ohms, Topology};
use crate::textbook::{TextbookFault, two_op_amp_ratio};

/// R1 and R3 of the stage behind a three-op-amp front end, where only its gain is told, Ω.
const STAGE_TWO_INPUT_OHM: f64 = 10e3;

/// All resistors but the gain-set one. `feedback_ohm` is RF; R2 = R4 of difference stages, R1 = R4
/// of the two-op-amp circuit.
pub(super) fn around(
    topology: Topology,
    feedback_ohm: f64,
    gain: f64,
    stage_two_gain: f64,
) -> Result<Ohms, TextbookFault> {
    use Designator::{R1, R2, R3, R4, RF1, RF2};
    let ohms: Vec<(Designator, f64)> = match topology {
        Topology::Difference | Topology::BufferedDifference => vec![(R2, feedback_ohm), (R4, feedback_ohm)],
        Topology::ThreeOpAmp => {
            let (input, output) = (STAGE_TWO_INPUT_OHM, STAGE_TWO_INPUT_OHM * stage_two_gain);
            vec![(RF1, feedback_ohm), (RF2, feedback_ohm), (R1, input), (R2, output), (R3, input), (R4, output)]
        }
        Topology::TwoOpAmp => {
            let inner = feedback_ohm / two_op_amp_ratio(gain)?;
            vec![(R1, feedback_ohm), (R2, inner), (R3, inner), (R4, feedback_ohm)]
        }
        Topology::SingleChip => return Err(TextbookFault::NoResistors),
    };
    Ok(ohms.into_iter().collect())
}

/// Puts the gain-set resistor in: RG, or R1 and R3.
pub(super) fn with_gain_set(topology: Topology, mut ohms: Ohms, ohm: Option<f64>) -> Ohms {
    for &name in gain_set_names(topology) {
        ohms.set(name, ohm);
    }
    ohms
}

/// The designators that share the gain-set value.
pub(super) const fn gain_set_names(topology: Topology) -> &'static [Designator] {
    match topology {
        Topology::Difference | Topology::BufferedDifference => &[Designator::R1, Designator::R3],
        Topology::ThreeOpAmp | Topology::TwoOpAmp | Topology::SingleChip => &[Designator::RG],
    }
}
