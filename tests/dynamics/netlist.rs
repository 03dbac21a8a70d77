//! The drawings as netlists and equations of our own, and random values for them.
use evenkeel::designator::{Amp, Designator, Ohms, Topology};
use evenkeel::part::OpAmp;
use evenkeel::stage::{Circuit, InputFilter, Source, Strays, Surroundings};
use nalgebra::{Complex, DMatrix, DVector};
use std::collections::BTreeMap;
use std::f64::consts::TAU;

pub(crate) type C = Complex<f64>;

/// Node 0 is ground, 1 and 2 the EMFs, 3 the reference.
#[derive(Default)]
pub(crate) struct Net {
    pub(crate) nodes: usize,
    pub(crate) resistors: Vec<(usize, usize, f64, bool)>,
    pub(crate) capacitors: Vec<(usize, usize, f64)>,
    pub(crate) amps: Vec<(Amp, usize, usize, usize)>,
    pub(crate) output: usize,
}

impl Net {
    fn node(&mut self) -> usize {
        self.nodes += 1;
        self.nodes
    }

    fn series(&mut self, from: usize, ohm: f64) -> usize {
        if ohm == 0.0 {
            return from;
        }
        let to = self.node();
        self.resistors.push((from, to, ohm, true));
        to
    }

    pub(crate) fn of(circuit: &Circuit) -> Self {
        use Designator::{R1, R2, R3, R4, R5, R6, RF1, RF2, RG};
        let mut net = Self { nodes: 3, ..Self::default() };
        let around = circuit.surroundings;
        let mut inputs = [1, 2];
        for input in &mut inputs {
            *input = net.series(*input, around.source.resistance_ohm);
            net.capacitors.push((*input, 0, around.source.cable_capacitance_f.unwrap_or(0.0)));
            if let Some(filter) = around.filter {
                *input = net.series(*input, filter.resistor_ohm);
                net.capacitors.push((*input, 0, filter.common_capacitor_f));
            }
            if let Some(ohm) = around.source.bias_return_ohm {
                net.resistors.push((*input, 3, ohm, true));
            }
        }
        let [p, n] = inputs;
        if let Some(filter) = around.filter {
            net.capacitors.push((p, n, filter.differential_capacitor_f));
        }
        let reference = net.series(3, around.reference_resistance_ohm);
        let put = |net: &mut Self, name: Designator, a: usize, b: usize| {
            if let Some(ohm) = circuit.ohms.get(name) {
                net.resistors.push((a, b, ohm, true));
            }
        };
        let tail = |net: &mut Self, amp: Amp, p: usize, n: usize| {
            let [plus, minus, out] = [net.node(), net.node(), net.node()];
            for (name, a, b) in
                [(R1, n, minus), (R2, minus, out), (R3, p, plus), (R4, plus, reference), (R5, minus, 0), (R6, plus, 0)]
            {
                put(net, name, a, b);
            }
            net.amps.push((amp, plus, minus, out));
            out
        };
        net.output = match circuit.topology {
            Topology::Difference => tail(&mut net, Amp::A1, p, n),
            Topology::BufferedDifference => {
                let [low, high] = [net.node(), net.node()];
                net.amps.extend([(Amp::A1, n, low, low), (Amp::A2, p, high, high)]);
                tail(&mut net, Amp::A3, high, low)
            }
            Topology::ThreeOpAmp => {
                let [low, a, high, b] = [net.node(), net.node(), net.node(), net.node()];
                let out = tail(&mut net, Amp::A3, high, low);
                let end = net.series(b, around.strays.rg_resistance_ohm);
                net.capacitors.push((a, 0, around.strays.rg_capacitance_f));
                for (name, x, y) in [(RF1, low, a), (RF2, high, b), (RG, a, end)] {
                    net.resistors.push((x, y, circuit.ohms.get(name).unwrap(), true));
                }
                net.amps.extend([(Amp::A1, n, a, low), (Amp::A2, p, b, high)]);
                out
            }
            Topology::TwoOpAmp => {
                let [first, a, out, b] = [net.node(), net.node(), net.node(), net.node()];
                let end = net.series(b, around.strays.rg_resistance_ohm);
                net.capacitors.push((a, 0, around.strays.rg_capacitance_f));
                for (name, x, y) in [(R1, reference, a), (R2, a, first), (R3, first, b), (R4, b, out), (RG, a, end)] {
                    net.resistors.push((x, y, circuit.ohms.get(name).unwrap(), true));
                }
                net.amps.extend([(Amp::A1, n, a, first), (Amp::A2, p, b, out)]);
                out
            }
            Topology::SingleChip => unreachable!(),
        };
        for (amp, plus, minus, _) in net.amps.clone() {
            let data = &circuit.opamps[&amp];
            for node in [plus, minus] {
                net.resistors.extend(data.input_resistance_ohm.map(|ohm| (node, 0, ohm, false)));
                net.capacitors.extend(data.input_capacitance_f.map(|farad| (node, 0, farad)));
            }
        }
        net
    }

    pub(crate) fn size(&self) -> usize {
        self.nodes + 3 + self.amps.len()
    }

    /// `G` and the part that goes with `s`; `cut`: that amplifier's output is held by a source instead.
    pub(crate) fn matrices(&self, circuit: &Circuit, cut: Option<Amp>) -> (DMatrix<f64>, DMatrix<f64>) {
        let n = self.size();
        let (mut g, mut c) = (DMatrix::zeros(n, n), DMatrix::zeros(n, n));
        let stamp = |m: &mut DMatrix<f64>, a: usize, b: usize, y: f64| {
            for (row, column, sign) in [(a, a, 1.0), (b, b, 1.0), (a, b, -1.0), (b, a, -1.0)] {
                if row > 0 && column > 0 {
                    m[(row - 1, column - 1)] += sign * y;
                }
            }
        };
        for &(a, b, ohm, _) in &self.resistors {
            stamp(&mut g, a, b, 1.0 / ohm);
        }
        for &(a, b, farad) in &self.capacitors {
            stamp(&mut c, a, b, farad);
        }
        for k in 0..3 {
            g[(k, self.nodes + k)] = 1.0;
            g[(self.nodes + k, k)] = 1.0;
        }
        for (k, &(amp, plus, minus, out)) in self.amps.iter().enumerate() {
            let row = self.nodes + 3 + k;
            g[(out - 1, row)] = 1.0;
            if cut == Some(amp) {
                g[(row, out - 1)] = 1.0;
                continue;
            }
            let data = &circuit.opamps[&amp];
            g[(row, plus - 1)] += 1.0;
            g[(row, minus - 1)] -= 1.0;
            g[(row, out - 1)] -= data.open_loop_gain.map_or(0.0, |gain| 1.0 / gain);
            c[(row, out - 1)] -= data.gain_bandwidth_hz.map_or(0.0, |hz| 1.0 / (TAU * hz));
        }
        (g, c)
    }

    pub(crate) fn drive(&self) -> DVector<f64> {
        let mut b = DVector::zeros(self.size());
        b[self.nodes] = 0.5;
        b[self.nodes + 1] = -0.5;
        b
    }
}

pub(crate) fn at(g: &DMatrix<f64>, c: &DMatrix<f64>, hz: f64) -> DMatrix<C> {
    g.zip_map(c, |g, c| C::new(g, TAU * hz * c))
}

pub(crate) fn wide(v: &DVector<f64>) -> DVector<C> {
    v.map(|x| C::new(x, 0.0))
}

/// A small generator of our own: splitmix64.
struct Dice(u64);

impl Dice {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }
    fn log(&mut self, low: f64, high: f64) -> f64 {
        low * libm::pow(high / low, self.unit())
    }
    fn maybe(&mut self, low: f64, high: f64) -> Option<f64> {
        let value = self.log(low, high);
        (self.unit() < 0.6).then_some(value)
    }
}

fn random(topology: Topology, dice: &mut Dice) -> Circuit {
    let names = [topology.resistors(), &[Designator::R5, Designator::R6]].concat();
    let mut ohms = Ohms::default();
    let optional = dice.unit() < 0.5;
    for name in names {
        let extra = matches!(name, Designator::R5 | Designator::R6);
        if !extra || (topology == Topology::Difference && optional) {
            ohms.set(name, Some(dice.log(1e3, 1e5)));
        }
    }
    let opamps: BTreeMap<Amp, OpAmp> = topology
        .amps()
        .iter()
        .map(|&amp| {
            let opamp = OpAmp {
                open_loop_gain: dice.maybe(1e4, 1e7),
                gain_bandwidth_hz: Some(dice.log(1e5, 1e8)),
                voltage_noise_v_per_rthz: dice.maybe(1e-9, 1e-7),
                voltage_noise_corner_hz: dice.maybe(0.1, 1e3),
                current_noise_a_per_rthz: dice.maybe(1e-15, 1e-11),
                current_noise_corner_hz: dice.maybe(0.1, 1e3),
                input_resistance_ohm: dice.maybe(1e5, 1e12),
                input_capacitance_f: dice.maybe(1e-13, 1e-11),
                ..OpAmp::default()
            };
            (amp, opamp)
        })
        .collect();
    let filter = (dice.unit() < 0.5).then(|| InputFilter {
        resistor_ohm: dice.log(10.0, 1e4),
        common_capacitor_f: dice.log(1e-11, 1e-9),
        differential_capacitor_f: dice.log(1e-11, 1e-8),
        resistor_tolerance: 0.0,
        capacitor_tolerance: 0.0,
        fault_voltage_v: None,
        fault_current_a: None,
    });
    let source = Source {
        resistance_ohm: dice.maybe(10.0, 1e4).unwrap_or(0.0),
        bias_return_ohm: dice.maybe(1e5, 1e8),
        cable_capacitance_f: dice.maybe(1e-11, 1e-9),
        ..Source::default()
    };
    let strays = Strays {
        rg_resistance_ohm: dice.maybe(0.01, 1.0).unwrap_or(0.0),
        rg_capacitance_f: dice.maybe(1e-13, 1e-12).unwrap_or(0.0),
        ..Strays::default()
    };
    let reference_resistance_ohm = dice.maybe(0.1, 100.0).unwrap_or(0.0);
    let surroundings = Surroundings { source, filter, strays, reference_resistance_ohm };
    Circuit { topology, ohms, opamps, chip: None, surroundings }
}

pub(crate) fn each(seed: u64, count: usize, mut check: impl FnMut(&Circuit, &Net)) {
    let mut dice = Dice(seed);
    for topology in [Topology::Difference, Topology::BufferedDifference, Topology::ThreeOpAmp, Topology::TwoOpAmp] {
        for _ in 0..count {
            let circuit = random(topology, &mut dice);
            check(&circuit, &Net::of(&circuit));
        }
    }
}
