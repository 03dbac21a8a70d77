//! Circuits at random, the same ones every time.
use evenkeel::designator::{Designator, Ohms, Topology};
use evenkeel::part::{Grade, Matched, OpAmp};
use evenkeel::stage::{Circuit, InputFilter, Lot, Source, Strays, Surroundings};

pub(crate) const TOPOLOGIES: [Topology; 4] =
    [Topology::Difference, Topology::BufferedDifference, Topology::ThreeOpAmp, Topology::TwoOpAmp];

/// Draws numbers (Steele, Lea, Flood, "Fast splittable pseudorandom number generators", 2014; from memory).
#[derive(Clone, Debug)]
pub(crate) struct Draw(u64);

impl Draw {
    pub(crate) const fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From 0 to below 1.
    pub(crate) fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Even on a logarithmic scale.
    pub(crate) fn decades(&mut self, low: f64, high: f64) -> f64 {
        libm::exp(self.between(libm::log(low), libm::log(high)))
    }

    pub(crate) fn below(&mut self, count: usize) -> usize {
        (self.bits() % count as u64) as usize
    }

    pub(crate) fn chance(&mut self, of: f64) -> bool {
        self.unit() < of
    }

    fn maybe<T>(&mut self, of: f64, make: impl FnOnce(&mut Self) -> T) -> Option<T> {
        self.chance(of).then(|| make(self))
    }

    /// A resistance of four digits: fractions made of it stay short.
    pub(crate) fn ohm(&mut self, low: f64, high: f64) -> f64 {
        let value = self.decades(low, high);
        let step = libm::pow(10.0, libm::floor(libm::log10(value)) - 3.0).max(1.0 / 64.0);
        (value / step).round() * step
    }
}

/// How much stands around the op amps.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Rich {
    /// Chance of each property of an op amp to be finite.
    pub(crate) amps: f64,
    /// Chance of each thing around the circuit to be there.
    pub(crate) around: f64,
}

/// Nothing but resistors and ideal op amps.
pub(crate) const BARE: Rich = Rich { amps: 0.0, around: 0.0 };
/// Everything in half of the cases.
pub(crate) const MIXED: Rich = Rich { amps: 0.5, around: 0.5 };
/// Everything.
pub(crate) const FULL: Rich = Rich { amps: 1.0, around: 1.0 };

/// Every resistor drawn by itself from 100 Ω to 1 MΩ: far from balance.
pub(crate) fn circuit(draw: &mut Draw, topology: Topology, rich: Rich) -> Circuit {
    let mut ohms: Ohms = topology.resistors().iter().map(|&name| (name, draw.ohm(100.0, 1e6))).collect();
    if topology == Topology::Difference && draw.chance(0.3) {
        ohms.set(Designator::R5, Some(draw.ohm(100.0, 1e6)));
        ohms.set(Designator::R6, Some(draw.ohm(100.0, 1e6)));
    }
    if topology.gain_set_by_one() && draw.chance(0.1) {
        ohms.set(Designator::RG, None);
    }
    around(draw, topology, ohms, rich)
}

/// The same with ratios that balance.
pub(crate) fn balanced(draw: &mut Draw, topology: Topology, rich: Rich) -> Circuit {
    use Designator::{R1, R2, R3, R4, R5, R6, RF1, RF2, RG};
    let mut ohms = Ohms::default();
    let mut set = |name, ohm| ohms.set(name, Some(ohm));
    let (first, second) = (draw.ohm(1e3, 1e5), draw.ohm(1e3, 1e5));
    set(R1, first);
    set(R2, second);
    match topology {
        Topology::TwoOpAmp => {
            set(R3, second);
            set(R4, first);
            set(RG, draw.ohm(100.0, 1e5));
        }
        _ => {
            set(R3, first);
            set(R4, second);
        }
    }
    if topology == Topology::ThreeOpAmp {
        let feedback = draw.ohm(1e3, 1e5);
        set(RF1, feedback);
        set(RF2, feedback);
        set(RG, draw.ohm(100.0, 1e5));
    }
    if topology == Topology::Difference && draw.chance(0.3) {
        let divider = draw.ohm(1e3, 1e5);
        set(R5, divider);
        set(R6, divider);
    }
    around(draw, topology, ohms, rich)
}

fn around(draw: &mut Draw, topology: Topology, ohms: Ohms, rich: Rich) -> Circuit {
    let opamps = topology.amps().iter().map(|&amp| (amp, opamp(draw, rich.amps))).collect();
    let p = rich.around;
    let resistance_ohm = draw.maybe(p, |d| d.ohm(10.0, 1e5)).unwrap_or(0.0);
    let source = Source {
        resistance_ohm,
        imbalance_ohm: if draw.chance(p) { resistance_ohm * draw.between(0.001, 0.5) } else { 0.0 },
        bias_return_ohm: draw.maybe(p, |d| d.ohm(1e5, 1e8)),
        cable_capacitance_f: draw.maybe(p, |d| d.decades(1e-11, 1e-9)),
        cable_tolerance: draw.between(0.0, 0.2),
        ..Source::default()
    };
    let filter = draw.maybe(p, |d| InputFilter {
        resistor_ohm: d.ohm(100.0, 1e5),
        common_capacitor_f: d.decades(1e-10, 1e-8),
        differential_capacitor_f: d.decades(1e-9, 1e-7),
        resistor_tolerance: d.between(0.0, 0.02),
        capacitor_tolerance: d.between(0.0, 0.2),
        fault_voltage_v: None,
        fault_current_a: None,
    });
    let strays = Strays {
        rg_resistance_ohm: draw.maybe(p, |d| d.ohm(1.0, 100.0)).unwrap_or(0.0),
        rg_capacitance_f: draw.maybe(p, |d| d.decades(1e-13, 1e-11)).unwrap_or(0.0),
        ..Strays::default()
    };
    let reference_resistance_ohm = draw.maybe(p, |d| d.ohm(1.0, 1e3)).unwrap_or(0.0);
    let surroundings = Surroundings { source, filter, strays, reference_resistance_ohm };
    Circuit { topology, ohms, opamps, chip: None, surroundings }
}

/// An op amp of which each property is finite with a chance.
pub(crate) fn opamp(draw: &mut Draw, of: f64) -> OpAmp {
    OpAmp {
        open_loop_gain: draw.maybe(of, |d| d.decades(1e3, 1e8)),
        gain_bandwidth_hz: draw.maybe(of, |d| d.decades(1e5, 1e8)),
        gain_bandwidth_tolerance: draw.maybe(of, |d| d.between(0.05, 0.4)).unwrap_or(0.0),
        rejection: draw.maybe(of, |d| d.decades(1e3, 1e7)),
        rejection_corner_hz: draw.maybe(of, |d| d.decades(10.0, 1e4)),
        input_resistance_ohm: draw.maybe(of, |d| d.ohm(1e5, 1e12)),
        input_capacitance_f: draw.maybe(of, |d| d.decades(1e-12, 2e-11)),
        ..OpAmp::default()
    }
}

/// Tolerances, and now and then a network of two or of four.
pub(crate) fn lot(draw: &mut Draw, circuit: &Circuit, tolerance: f64) -> Lot {
    use Designator::{R1, R2, R3, R4};
    let grades = circuit
        .ohms
        .present()
        .map(|(name, _)| {
            (name, Grade { tolerance: tolerance * draw.between(0.1, 0.8), tempco_per_k: tolerance * 4e-4 })
        })
        .collect();
    let members = match draw.below(4) {
        0 => vec![R1, R2, R3, R4],
        1 => vec![R1, R2],
        2 => vec![R2, R4],
        _ => Vec::new(),
    };
    let networks = if members.is_empty() {
        Vec::new()
    } else {
        let match_fraction = tolerance * draw.decades(0.01, 0.2);
        vec![Matched { members, match_fraction, match_tempco_per_k: tolerance * 1e-5, grade: None }]
    };
    Lot { grades, networks, bias_return_tolerance: draw.between(0.0, 0.05), reach_k: draw.between(0.0, 50.0) }
}
