//! Random circuits, once for the crate and once, by hand, for the independent assembly.
use crate::nodal::{Dice, Part};
use evenkeel::designator::{Amp, Designator, Ohms, Topology};
use evenkeel::part::OpAmp;
use evenkeel::stage::{Circuit, Source, Stage, Surroundings};
use std::collections::BTreeMap;

pub(crate) const WIRED: [Topology; 4] =
    [Topology::Difference, Topology::BufferedDifference, Topology::ThreeOpAmp, Topology::TwoOpAmp];

pub(crate) fn random(topology: Topology, dice: &mut Dice) -> Circuit {
    let ohms: Ohms = topology
        .resistors()
        .iter()
        .map(|&name| {
            let (low, high) = if name == Designator::RG { (100.0, 5e3) } else { (5e3, 50e3) };
            (name, dice.log(low, high))
        })
        .collect();
    let opamps: BTreeMap<Amp, OpAmp> = topology
        .amps()
        .iter()
        .map(|&amp| {
            let data = OpAmp {
                open_loop_gain: Some(dice.log(1e3, 1e6)),
                gain_bandwidth_hz: Some(dice.log(1e5, 1e7)),
                offset_v: Some(dice.log(1e-5, 1e-3)),
                offset_drift_v_per_k: Some(dice.log(1e-7, 1e-5)),
                bias_current_a: Some(dice.log(1e-10, 1e-7)),
                offset_current_a: Some(dice.log(1e-11, 1e-8)),
                supply_rejection: Some(dice.log(1e3, 1e6)),
                supply_rejection_corner_hz: Some(dice.log(10.0, 1e3)),
                ..OpAmp::default()
            };
            (amp, data)
        })
        .collect();
    let source = Source {
        resistance_ohm: dice.log(10.0, 1e4),
        bias_return_ohm: Some(dice.log(1e5, 1e7)),
        cable_capacitance_f: Some(dice.log(1e-11, 1e-9)),
        ..Source::default()
    };
    let surroundings =
        Surroundings { source, reference_resistance_ohm: dice.log(0.1, 100.0), ..Surroundings::default() };
    Circuit { topology, ohms, opamps, chip: None, surroundings }
}

pub(crate) fn wire(circuit: &Circuit) -> Stage {
    evenkeel::topology::build(circuit).expect("a circuit that can be built")
}

/// What is put in besides the two EMFs.
#[derive(Clone, Copy, Default)]
pub(crate) struct Amiss {
    pub(crate) offset: f64,
    pub(crate) into_plus: f64,
    pub(crate) into_minus: f64,
}

/// Inputs at nodes 1 and 2 (EMFs), 3 and 4 (behind the source), reference EMF 5, reference 6, output 7.
pub(crate) fn by_hand(circuit: &Circuit, positive: f64, negative: f64, amiss: &BTreeMap<Amp, Amiss>) -> Vec<Part> {
    use Designator::{R1, R2, R3, R4, RF1, RF2, RG};
    let around = &circuit.surroundings;
    let mut parts = vec![Part::V(1, positive), Part::V(2, negative), Part::V(5, 0.0)];
    for (emf, input) in [(1, 3), (2, 4)] {
        parts.push(Part::R(emf, input, around.source.resistance_ohm));
        parts.push(Part::Cap(input, 0, around.source.cable_capacitance_f.unwrap()));
        parts.push(Part::R(input, 5, around.source.bias_return_ohm.unwrap()));
    }
    parts.push(Part::R(5, 6, around.reference_resistance_ohm));
    let ohm = |name| circuit.ohms.get(name).unwrap();
    let mut amps: Vec<(Amp, usize, usize, usize)> = Vec::new();
    let mut difference = |parts: &mut Vec<Part>, amp, high: usize, low: usize| {
        parts.push(Part::R(low, 9, ohm(R1)));
        parts.push(Part::R(9, 7, ohm(R2)));
        parts.push(Part::R(high, 8, ohm(R3)));
        parts.push(Part::R(8, 6, ohm(R4)));
        amps.push((amp, 8, 9, 7));
    };
    match circuit.topology {
        Topology::Difference => difference(&mut parts, Amp::A1, 3, 4),
        Topology::BufferedDifference => {
            difference(&mut parts, Amp::A3, 11, 10);
            amps.extend([(Amp::A1, 4, 10, 10), (Amp::A2, 3, 11, 11)]);
        }
        Topology::ThreeOpAmp => {
            difference(&mut parts, Amp::A3, 11, 10);
            parts.extend([Part::R(10, 12, ohm(RF1)), Part::R(11, 13, ohm(RF2)), Part::R(12, 13, ohm(RG))]);
            amps.extend([(Amp::A1, 4, 12, 10), (Amp::A2, 3, 13, 11)]);
        }
        Topology::TwoOpAmp => {
            parts.extend([Part::R(6, 8, ohm(R1)), Part::R(8, 10, ohm(R2)), Part::R(10, 9, ohm(R3))]);
            parts.extend([Part::R(9, 7, ohm(R4)), Part::R(8, 9, ohm(RG))]);
            amps.extend([(Amp::A1, 4, 8, 10), (Amp::A2, 3, 9, 7)]);
        }
        Topology::SingleChip => unreachable!(),
    }
    for (amp, plus, minus, out) in amps {
        let data = &circuit.opamps[&amp];
        let wrong = amiss.get(&amp).copied().unwrap_or_default();
        let (a, per_gbw) = (1.0 / data.open_loop_gain.unwrap(), 1.0 / data.gain_bandwidth_hz.unwrap());
        parts.push(Part::Amp { plus, minus, out, base: 0, a, per_gbw, offset: wrong.offset });
        parts.push(Part::I(plus, 0, wrong.into_plus));
        parts.push(Part::I(minus, 0, wrong.into_minus));
    }
    parts
}

/// Output node of [`by_hand`].
pub(crate) const OUTPUT: usize = 7;
