//! The circuits, as networks. One file a circuit; what stands around it is the same for all.
//!
//! The textbook equations of the same circuits stand in [`crate::textbook`]; the two never meet but in tests.
mod difference;
mod front;
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
    /// The circuit is not made of resistors and op amps.
    #[error("{0} is not wired here")]
    Topology(Topology),
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
        Topology::SingleChip => return Err(BuildFault::Topology(circuit.topology)),
    };
    Ok(front.finish(output)?)
}
