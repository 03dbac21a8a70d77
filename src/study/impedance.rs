//! Input impedance of the front end itself.
use crate::predict::{Impedance, impedance};
use crate::stage::{Source, Stage};
use crate::topology::{BuildFault, build};

/// Input impedance of `stage` with the source resistance taken out; filter and bias-return resistors stay.
///
/// # Errors
/// [`BuildFault`] when the circuit has no solution.
pub fn figure(stage: &Stage) -> Result<Impedance, BuildFault> {
    let mut circuit = stage.circuit.clone();
    let source = circuit.surroundings.source;
    circuit.surroundings.source = Source { resistance_ohm: 0.0, imbalance_ohm: 0.0, ..source };
    Ok(impedance(&build(&circuit)?)?)
}
