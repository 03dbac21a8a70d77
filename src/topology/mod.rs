//! The circuits, as networks. One file a circuit; what stands around it is the same for all.
//!
//! The textbook equations of the same circuits stand in [`crate::textbook`]; the two never meet but in tests.
mod difference;
mod front;
mod single_chip;
mod three_op_amp;
mod two_op_amp;

use crate::designator::{Designator, Topology};
use crate::network::NetworkFault;
use crate::stage::{Circuit, Stage};

/// Why a circuit can't be wired up.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum BuildFault {
    /// A resistor of the drawing has no value.
    #[error("{0} has no value")]
    Missing(Designator),
    /// A `single-chip` circuit without its chip.
    #[error("no chip: `single-chip` is described by a gain law")]
    NoChip,
    /// The gain law gives no gain above zero.
    #[error("the gain law gives a gain of {0}; it has to be finite and above 0")]
    Gain(f64),
    /// The network has no answer.
    #[error(transparent)]
    Network(#[from] NetworkFault),
}

/// Wires a circuit up.
///
/// # Errors
/// [`BuildFault`] when a resistor has no value or a value is outside its domain.
pub fn build(circuit: &Circuit) -> Result<Stage, BuildFault> {
    let mut front = front::Front::new(circuit);
    let output = match circuit.topology {
        Topology::Difference => difference::plain(&mut front)?,
        Topology::BufferedDifference => difference::buffered(&mut front)?,
        Topology::ThreeOpAmp => three_op_amp::wire(&mut front)?,
        Topology::TwoOpAmp => two_op_amp::wire(&mut front)?,
        Topology::SingleChip => single_chip::wire(&mut front)?,
    };
    Ok(front.finish(output)?)
}
