//! Circuits no one would build, to attack worst cases with: wide boxes, sources of a few ohms, op amps of
//! little gain, networks of any members.
use crate::random::{self, BARE, Draw, FULL, MIXED};
use evenkeel::designator::{Amp, Designator, Ohms, Topology};
use evenkeel::part::{AtGain, Chip, Grade, Matched, OpAmp};
use evenkeel::stage::{Circuit, Lot, Quantity, Stage};
use evenkeel::topology;

/// A circuit and what may be off.
pub(crate) struct Case {
    pub(crate) stage: Stage,
    pub(crate) quantities: Vec<Quantity>,
}

impl Case {
    /// Quantities that enter several elements.
    pub(crate) fn shared(&self) -> Vec<usize> {
        (0..self.quantities.len()).filter(|&k| self.quantities[k].effects.len() > 1).collect()
    }

    /// A value for each quantity: bit `k` set is the upper end of the `k`th.
    pub(crate) fn corner(&self, bits: usize) -> Vec<f64> {
        self.quantities.iter().enumerate().map(|(k, one)| if bits >> k & 1 == 1 { one.high } else { one.low }).collect()
    }

    /// A point inside, on a face or on an edge.
    pub(crate) fn point(&self, draw: &mut Draw) -> Vec<f64> {
        let inside = [1.0, 0.5, 0.2, 0.05][draw.below(4)];
        let value = |one: &Quantity| {
            if draw.chance(inside) {
                draw.between(one.low, one.high)
            } else if draw.chance(0.5) {
                one.high
            } else {
                one.low
            }
        };
        self.quantities.iter().map(value).collect()
    }
}

/// A case with `least` to `most` quantities at `hz`.
pub(crate) fn case(draw: &mut Draw, topology: Topology, hz: f64, (least, most): (usize, usize)) -> Case {
    loop {
        let circuit = circuit(draw, topology);
        let lot = lot(draw, &circuit);
        let stage = topology::build(&circuit).unwrap();
        let quantities = stage.quantities(&lot, hz);
        if (least..=most).contains(&quantities.len()) {
            return Case { stage, quantities };
        }
    }
}

fn circuit(draw: &mut Draw, topology: Topology) -> Circuit {
    let rich = [BARE, MIXED, MIXED, FULL][draw.below(4)];
    let mut circuit = match topology {
        Topology::SingleChip => chip(draw, rich),
        _ if draw.chance(0.5) => random::circuit(draw, topology, rich),
        _ => random::balanced(draw, topology, rich),
    };
    let poor = draw.chance(0.3);
    for data in circuit.opamps.values_mut() {
        if poor {
            data.open_loop_gain = data.open_loop_gain.map(|_| draw.decades(3.0, 1e3));
            data.rejection = data.rejection.map(|_| draw.decades(10.0, 1e4));
            data.input_resistance_ohm = data.input_resistance_ohm.map(|_| draw.ohm(1e3, 1e6));
        }
    }
    let source = &mut circuit.surroundings.source;
    if source.resistance_ohm > 0.0 {
        if draw.chance(0.5) {
            source.resistance_ohm = draw.ohm(1.0, 100.0);
        }
        source.imbalance_ohm = source.resistance_ohm * draw.between(0.0, 1.9);
    }
    circuit
}

/// The single chip: a gain law, and the input and op-amp data that stand under A1.
fn chip(draw: &mut Draw, rich: random::Rich) -> Circuit {
    let mut around = random::balanced(draw, Topology::Difference, rich);
    around.topology = Topology::SingleChip;
    around.ohms = Ohms::default();
    around.ohms.set(Designator::RG, if draw.chance(0.9) { Some(draw.ohm(10.0, 1e5)) } else { None });
    let at = |value| vec![AtGain { gain: 1.0, value }];
    around.chip = Some(Chip {
        gain_constant_ohm: draw.ohm(1e3, 1e5),
        base_gain: draw.between(0.5, 6.0),
        gain_error: at(draw.decades(1e-4, 0.1)),
        rejection: at(draw.decades(30.0, 1e7)),
        bandwidth: at(draw.decades(1e4, 1e7)),
        rejection_corner_hz: draw.chance(0.5).then(|| draw.decades(10.0, 1e5)),
        ..Chip::default()
    });
    let data: OpAmp = random::opamp(draw, 0.5);
    around.opamps = [(Amp::A1, data)].into();
    around
}

fn lot(draw: &mut Draw, circuit: &Circuit) -> Lot {
    let widest = draw.decades(1e-4, 0.2);
    let names: Vec<Designator> = circuit.ohms.present().map(|(name, _)| name).collect();
    let mut grades = std::collections::BTreeMap::new();
    for &name in &names {
        if draw.chance(0.85) {
            grades.insert(name, Grade { tolerance: widest * draw.between(0.05, 1.0), tempco_per_k: 0.0 });
        }
    }
    let mut networks = Vec::new();
    let mut left: Vec<Designator> = names.clone();
    while left.len() >= 2 && draw.chance(0.5) {
        let mut members = Vec::new();
        for _ in 0..2 + draw.below(left.len() - 1) {
            if !left.is_empty() {
                members.push(left.swap_remove(draw.below(left.len())));
            }
        }
        if members.len() >= 2 {
            let match_fraction = widest * draw.decades(1e-3, 1.0);
            networks.push(Matched { members, match_fraction, match_tempco_per_k: 0.0, grade: None });
        }
    }
    Lot { grades, networks, bias_return_tolerance: widest * draw.unit(), reach_k: 0.0 }
}
