//! The closed forms of figures.md, section 15, each to the accuracy it has.
use crate::near::{Within, absolute, assert_near, db, relative};
use evenkeel::corners;
use evenkeel::designator::Designator::{R1, R2, R3, R4, RF1, RF2, RG};
use evenkeel::designator::{Amp, Designator, Topology};
use evenkeel::part::{Grade, OpAmp};
use evenkeel::predict;
use evenkeel::stage::{Circuit, Lot, Surroundings};
use evenkeel::topology;
use num_complex::Complex64;
use std::f64::consts::TAU;

fn circuit(topology: Topology, ohms: &[(Designator, f64)]) -> Circuit {
    let ohms = ohms.iter().copied().collect();
    Circuit { topology, ohms, opamps: [].into(), chip: None, surroundings: Surroundings::default() }
}

fn difference(topology: Topology, gain: f64) -> Circuit {
    circuit(topology, &[(R1, 1e4), (R2, gain * 1e4), (R3, 1e4), (R4, gain * 1e4)])
}

/// First-stage gain `1 + 20 kΩ/RG`, second-stage gain 1.
fn three_op_amp(first: f64) -> Circuit {
    let rg = 2e4 / (first - 1.0);
    circuit(Topology::ThreeOpAmp, &[(RF1, 1e4), (RF2, 1e4), (RG, rg), (R1, 1e4), (R2, 1e4), (R3, 1e4), (R4, 1e4)])
}

/// All 10 kΩ, gain `2 + 20 kΩ/RG`.
fn two_op_amp(gain: f64) -> Circuit {
    circuit(Topology::TwoOpAmp, &[(R1, 1e4), (R2, 1e4), (R3, 1e4), (R4, 1e4), (RG, 2e4 / (gain - 2.0))])
}

fn tolerance(names: &[Designator], tolerance: f64) -> Lot {
    let grade = Grade { tolerance, tempco_per_k: 0.0 };
    Lot { grades: names.iter().map(|&name| (name, grade)).collect(), ..Lot::default() }
}

fn worst(circuit: &Circuit, lot: &Lot) -> f64 {
    let stage = topology::build(circuit).unwrap();
    corners::at_dc(&stage, &stage.quantities(lot, 0.0)).unwrap().rejection
}

fn worst_at(circuit: &Circuit, lot: &Lot, hz: f64) -> f64 {
    let stage = topology::build(circuit).unwrap();
    corners::at_frequency(&stage, &stage.quantities(lot, hz), hz, 16).unwrap().rejection
}

fn with_amps(mut circuit: Circuit, amps: &[(Amp, OpAmp)]) -> Circuit {
    circuit.opamps = amps.iter().cloned().collect();
    circuit
}

fn rejecting(ratio: f64) -> OpAmp {
    OpAmp { rejection: Some(ratio), ..OpAmp::default() }
}

fn gaining(gain: f64) -> OpAmp {
    OpAmp { open_loop_gain: Some(gain), ..OpAmp::default() }
}

/// Exact: no term is left out.
const EXACT: Within = relative(1e-11);

#[test]
fn difference_amplifier_of_four_resistors() {
    for topology in [Topology::Difference, Topology::BufferedDifference] {
        for gain in [0.01, 0.2, 1.0, 4.0, 10.0, 100.0, 1000.0] {
            for t in [1e-6, 1e-4, 0.001, 0.01, 0.05, 0.1] {
                let want = (1.0 + gain - (gain - 1.0) * t * t) / (4.0 * t);
                let got = worst(&difference(topology, gain), &tolerance(&[R1, R2, R3, R4], t));
                assert_near(got, want, EXACT, format_args!("{topology} {gain} {t}"));
            }
        }
    }
}

#[test]
fn op_amps_of_three() {
    for first in [2.0, 10.0, 1000.0] {
        let (c1, c2, c3) = (1e-4, 3e-5, 2e-4);
        let amps = [(Amp::A1, rejecting(1.0 / c1)), (Amp::A2, rejecting(1.0 / c2)), (Amp::A3, rejecting(1.0 / c3))];
        let got = worst(&with_amps(three_op_amp(first), &amps), &Lot::default());
        // Products of two of the terms are left out: 1e-4 relative.
        assert_near(got, 1.0 / (c1 + c2 + c3 / first), relative(3e-4), first);
    }
}

#[test]
fn op_amps_of_two() {
    for gain in [3.0, 10.0, 1000.0] {
        let (c1, c2) = (1e-4, 3e-5);
        let amps = [(Amp::A1, rejecting(1.0 / c1)), (Amp::A2, rejecting(1.0 / c2))];
        let got = worst(&with_amps(two_op_amp(gain), &amps), &Lot::default());
        assert_near(got, 1.0 / (c1 + c2), relative(3e-4), gain);
    }
}

/// The signs, from single op amps off by a known amount: `-c1 + c2 + c3/G1` and `-c1 + c2`.
#[test]
fn signs_of_op_amp_errors() {
    use evenkeel::network::AmplifierValue;
    use evenkeel::stage::Role;
    for (circuit, weights) in [(three_op_amp(10.0), vec![-1.0, 1.0, 0.1]), (two_op_amp(10.0), vec![-1.0, 1.0])] {
        for (index, (&amp, weight)) in circuit.topology.amps().iter().zip(weights).enumerate() {
            let mut stage = topology::build(&circuit).unwrap();
            let element = stage.element(Role::Amp(amp)).unwrap();
            let value = AmplifierValue { common_mode: 1e-6, ..AmplifierValue::default() };
            stage.network.set_amplifier(element, value).unwrap();
            let gains = predict::gains::<f64>(&stage, 0.0).unwrap();
            let got = gains.common / gains.differential;
            assert_near(got, weight * 1e-6, relative(3e-6), format_args!("{} A{}", circuit.topology, index + 1));
        }
    }
}

#[test]
fn unequal_open_loop_gain() {
    let (a1, a2) = (1e5, 1e6);
    // Box: each 1/A from 0 to its bound; the worst is one at its bound, the other at 0.
    let amps = [(Amp::A1, gaining(a1)), (Amp::A2, gaining(a2))];
    for first in [2.0, 100.0] {
        let circuit = with_amps(three_op_amp(first), &amps);
        let gains = predict::gains::<f64>(&topology::build(&circuit).unwrap(), 0.0).unwrap();
        // Left out: the loop gain's own effect, G1/A.
        let left_out = relative(2.0 * first / a1);
        assert_near(gains.common.abs() / gains.differential, 1.0 / a1 - 1.0 / a2, left_out, "three-op-amp");
        assert_near(worst(&circuit, &Lot::default()), a1, left_out, "three-op-amp, worst");
    }
    for gain in [3.0, 10.0, 1000.0] {
        for ratio in [1.0, 0.1, 4.0] {
            // R2 = R3 = ratio·R1: the gain differs, the closed form knows the ratio alone.
            let mut circuit = two_op_amp(gain);
            circuit.ohms.set(R2, Some(1e4 * ratio));
            circuit.ohms.set(R3, Some(1e4 * ratio));
            let circuit = with_amps(circuit, &[(Amp::A1, gaining(a1))]);
            let got = predict::gains::<f64>(&topology::build(&circuit).unwrap(), 0.0).unwrap().rejection();
            // Left out: 1 in A/(1 + R2/R1).
            assert_near(got, a1 / (1.0 + ratio), relative(5e-5), format_args!("two-op-amp {gain} {ratio}"));
        }
    }
}

#[test]
fn reference_resistance() {
    for gain in [0.1, 1.0, 10.0, 100.0] {
        let mut circuit = difference(Topology::Difference, gain);
        let r = 1.0;
        circuit.surroundings.reference_resistance_ohm = r;
        let want = (1.0 + gain) * (gain * 1e4) / r;
        // Left out: r against R4, and A_d's own change.
        assert_near(worst(&circuit, &Lot::default()), want, relative(2.0 * r / (gain * 1e4)), gain);
    }
    for gain in [3.0, 10.0, 100.0] {
        let mut circuit = two_op_amp(gain);
        circuit.surroundings.reference_resistance_ohm = 1.0;
        let got = worst(&circuit, &Lot::default());
        // Left out: r against R1, in the gain.
        assert_near(got, gain * 1e4, relative(1e-4), gain);
    }
}

#[test]
fn source_imbalance_and_cable() {
    let hz = 1e3;
    let w = TAU * hz;
    let (c, d) = (100e-12, 1e3);
    // Input capacitance of each leg.
    let mut circuit = three_op_amp(10.0);
    circuit.surroundings.source.resistance_ohm = 1e3;
    circuit.surroundings.source.imbalance_ohm = d;
    let amp = OpAmp { input_capacitance_f: Some(c), ..OpAmp::default() };
    let circuit = with_amps(circuit, &[(Amp::A1, amp.clone()), (Amp::A2, amp)]);
    // Left out: (w·R·C)², 4e-7 here.
    let want = 1.0 / (w * c * d);
    assert_near(worst_at(&circuit, &Lot::default(), hz), want, relative(1e-6), "input capacitance");
    // Cable: with its own tolerance the two products add.
    let mut circuit = three_op_amp(10.0);
    let source = &mut circuit.surroundings.source;
    (source.resistance_ohm, source.imbalance_ohm) = (1e3, 100.0);
    (source.cable_capacitance_f, source.cable_tolerance) = (Some(c), 0.05);
    // Two legs off by 5 % each, in opposite directions: dC = 10 % of C.
    let want = 1.0 / (w * (1e3 * 0.1 * c + c * 100.0));
    assert_near(worst_at(&circuit, &Lot::default(), hz), want, relative(1e-4), "cable");
}

#[test]
fn stray_capacitance_at_rg() {
    let (hz, dc) = (1e3, 1e-12);
    for first in [10.0, 100.0] {
        let mut circuit = three_op_amp(first);
        circuit.surroundings.strays.rg_capacitance_f = dc;
        let want = first / (TAU * hz * 1e4 * dc);
        let gains = predict::gains::<Complex64>(&topology::build(&circuit).unwrap(), hz).unwrap();
        assert_near(gains.rejection(), want, relative(1e-6), first);
    }
}

#[test]
fn bias_return_mismatch() {
    for (r_b, r_s, t) in [(1e7, 1e3, 0.01), (1e6, 1e4, 0.001)] {
        let mut circuit = three_op_amp(10.0);
        circuit.surroundings.source.resistance_ohm = r_s;
        circuit.surroundings.source.bias_return_ohm = Some(r_b);
        let lot = Lot { bias_return_tolerance: t, ..Lot::default() };
        // Left out: R_s/R_b, and t².
        assert_near(worst(&circuit, &lot), r_b / (2.0 * t * r_s), relative(1.1 * (r_s / r_b + t * t)), r_b);
    }
}

#[test]
fn decibels() {
    assert_near(db(1e5), 100.0, absolute(1e-12), "definition");
}
