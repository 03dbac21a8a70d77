//! Circuits to put questions to.
use evenkeel::designator::{Designator, Topology};
use evenkeel::part::OpAmp;
use evenkeel::stage::{Circuit, Stage, Surroundings};
use evenkeel::topology;

/// A circuit with the same op amp everywhere and nothing around it.
pub(crate) fn circuit(topology: Topology, ohms: &[(Designator, f64)], opamp: &OpAmp) -> Circuit {
    Circuit {
        topology,
        ohms: ohms.iter().copied().collect(),
        opamps: topology.amps().iter().map(|&amp| (amp, opamp.clone())).collect(),
        chip: None,
        surroundings: Surroundings::default(),
    }
}

pub(crate) fn stage(circuit: &Circuit) -> Stage {
    topology::build(circuit).unwrap()
}

/// R1 = R3 and R2 = R4.
pub(crate) fn difference(r1: f64, r2: f64) -> [(Designator, f64); 4] {
    use Designator::{R1, R2, R3, R4};
    [(R1, r1), (R2, r2), (R3, r1), (R4, r2)]
}

pub(crate) fn close(got: f64, expected: f64, relative: f64) {
    let off = (got - expected).abs();
    assert!(off <= relative * expected.abs(), "got {got}, expected {expected} within {relative:e}");
}

#[test]
#[should_panic(expected = "expected 1")]
fn close_can_fail() {
    close(1.001, 1.0, 1e-4);
}

#[test]
#[should_panic(expected = "NaN")]
fn close_fails_on_nan() {
    close(f64::NAN, 1.0, 1.0);
}
