//! Random circuits, assembled apart: own netlists from the drawing, own equations, solved by nalgebra.
//! Shares nothing with the crate but the circuit's values.
use crate::bench::{close, stage};
use evenkeel::designator::{Amp, Designator, Ohms, Topology};
use evenkeel::part::OpAmp;
use evenkeel::predict::{Motion, amplifier_sources, margins, noise, response, settling, thermal_sources};
use evenkeel::stage::{Circuit, InputFilter, Source, Strays, Surroundings};
use nalgebra::{Complex, DMatrix, DVector};
use std::collections::BTreeMap;
use std::f64::consts::{PI, TAU};

type C = Complex<f64>;

/// Node 0 is ground, 1 and 2 the EMFs, 3 the reference.
#[derive(Default)]
struct Net {
    nodes: usize,
    resistors: Vec<(usize, usize, f64, bool)>,
    capacitors: Vec<(usize, usize, f64)>,
    amps: Vec<(Amp, usize, usize, usize)>,
    output: usize,
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

    fn of(circuit: &Circuit) -> Self {
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

    fn size(&self) -> usize {
        self.nodes + 3 + self.amps.len()
    }

    /// `G` and the part that goes with `s`; `cut`: that amplifier's output is held by a source instead.
    fn matrices(&self, circuit: &Circuit, cut: Option<Amp>) -> (DMatrix<f64>, DMatrix<f64>) {
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

    fn drive(&self) -> DVector<f64> {
        let mut b = DVector::zeros(self.size());
        b[self.nodes] = 0.5;
        b[self.nodes + 1] = -0.5;
        b
    }
}

fn at(g: &DMatrix<f64>, c: &DMatrix<f64>, hz: f64) -> DMatrix<C> {
    g.zip_map(c, |g, c| C::new(g, TAU * hz * c))
}

fn wide(v: &DVector<f64>) -> DVector<C> {
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
    };
    let reference_resistance_ohm = dice.maybe(0.1, 100.0).unwrap_or(0.0);
    Circuit { topology, ohms, opamps, surroundings: Surroundings { source, filter, strays, reference_resistance_ohm } }
}

fn each(seed: u64, count: usize, mut check: impl FnMut(&Circuit, &Net)) {
    let mut dice = Dice(seed);
    for topology in [Topology::Difference, Topology::BufferedDifference, Topology::ThreeOpAmp, Topology::TwoOpAmp] {
        for _ in 0..count {
            let circuit = random(topology, &mut dice);
            check(&circuit, &Net::of(&circuit));
        }
    }
}

#[test]
fn gain_over_frequency() {
    each(1, 40, |circuit, net| {
        let stage = stage(circuit);
        let motion = Motion::of(&stage.network).unwrap();
        let gain = motion.transfer(&stage.differential(), stage.ports.output);
        let (g, c) = net.matrices(circuit, None);
        for hz in [0.0, 1.0, 1e3, 3e4, 1e6, 2e7, 1e9] {
            let apart = at(&g, &c, hz).lu().solve(&wide(&net.drive())).unwrap()[net.output - 1];
            let here = gain.at(hz);
            let off = libm::hypot(here.re - apart.re, here.im - apart.im);
            let size = libm::hypot(apart.re, apart.im);
            assert!(off <= 1e-10 * size + 1e-13 * gain.dc.abs(), "{hz}: {here} {apart} {circuit:?}");
        }
    });
}

#[test]
fn poles_and_stability() {
    let mut unstable = 0;
    each(2, 40, |circuit, net| {
        let stage = stage(circuit);
        let motion = Motion::of(&stage.network).unwrap();
        let (g, c) = net.matrices(circuit, None);
        let apart = g.lu().solve(&c).unwrap().complex_eigenvalues();
        let apart: Vec<C> = apart.iter().copied().filter(|mu| libm::hypot(mu.re, mu.im) > 1e-15).collect();
        let poles = motion.poles();
        for pole in &poles {
            let mu = C::new(-1.0, 0.0) / C::new(pole.re, pole.im);
            let nearest =
                apart.iter().map(|one| libm::hypot(one.re - mu.re, one.im - mu.im)).fold(f64::INFINITY, f64::min);
            let largest = 1.0 / libm::hypot(poles[0].re, poles[0].im);
            // Nearly repeated eigenvalues move by the root of the rounding error.
            assert!(nearest <= 1e-6 * libm::hypot(mu.re, mu.im) + 1e-12 * largest, "{pole} {apart:?}");
        }
        assert_eq!(motion.is_stable(), apart.iter().all(|mu| mu.re > 0.0));
        unstable += usize::from(!motion.is_stable());
    });
    println!("{unstable} unstable");
}

/// Every source carried to the output by a solution of its own; the band by Simpson's rule.
#[test]
fn noise_source_by_source() {
    each(3, 6, |circuit, net| {
        let stage = stage(circuit);
        let kelvin = 310.0;
        let mut sources = thermal_sources(&stage, kelvin);
        sources.extend(amplifier_sources(&stage));
        let (low, high) = (0.3, 3e5);
        let found = noise(&stage, &sources, Some((low, high))).unwrap();
        let (g, c) = net.matrices(circuit, None);
        let dc = at(&g, &c, 0.0).lu().solve(&wide(&net.drive())).unwrap()[net.output - 1].re;
        let density = |hz: f64| {
            let lu = at(&g, &c, hz).lu();
            let carried = |row: Option<usize>, other: Option<usize>| {
                let mut b = DVector::<C>::zeros(net.size());
                if let Some(row) = row {
                    b[row] += C::new(1.0, 0.0);
                }
                if let Some(other) = other {
                    b[other] -= C::new(1.0, 0.0);
                }
                lu.solve(&b).unwrap()[net.output - 1].norm_sqr()
            };
            let node = |node: usize| node.checked_sub(1);
            let mut sum = 0.0;
            for &(a, b, ohm, _) in net.resistors.iter().filter(|one| one.3) {
                sum += carried(node(a), node(b)) * 4.0 * 1.380_649e-23 * kelvin / ohm;
            }
            for (k, &(amp, plus, minus, _)) in net.amps.iter().enumerate() {
                let data = &circuit.opamps[&amp];
                let e = data.voltage_noise_v_per_rthz.unwrap_or(0.0);
                let i = data.current_noise_a_per_rthz.unwrap_or(0.0);
                sum += carried(Some(net.nodes + 3 + k), None)
                    * e
                    * e
                    * (1.0 + data.voltage_noise_corner_hz.unwrap_or(0.0) / hz);
                for input in [plus, minus] {
                    sum +=
                        carried(node(input), None) * i * i * (1.0 + data.current_noise_corner_hz.unwrap_or(0.0) / hz);
                }
            }
            sum / (dc * dc)
        };
        close(found.density_v_per_rthz, density(1e3).sqrt(), 1e-9);
        let intervals = 2000;
        let step = libm::log(high / low) / f64::from(intervals);
        let simpson: f64 = (0..=intervals)
            .map(|k| {
                let hz = low * libm::exp(step * f64::from(k));
                let weight = if k == 0 || k == intervals { 1.0 } else { f64::from(2 + 2 * (k % 2)) };
                weight * step / 3.0 * hz * density(hz)
            })
            .sum();
        close(found.rms_v.unwrap(), simpson.sqrt(), 1e-7);
    });
}

/// The loop really cut: the output held by a source of 1 V, `T = −A(f)·(v₊ − v₋)`.
#[test]
fn margins_of_a_cut_loop() {
    let mut told = 0;
    each(4, 25, |circuit, net| {
        let stage = stage(circuit);
        let motion = Motion::of(&stage.network).unwrap();
        let all = margins(&stage, &motion).unwrap();
        for (k, &(amp, plus, minus, _)) in net.amps.iter().enumerate() {
            let (g, c) = net.matrices(circuit, Some(amp));
            let data = &circuit.opamps[&amp];
            let mut b = DVector::<C>::zeros(net.size());
            b[net.nodes + 3 + k] = C::new(1.0, 0.0);
            let ratio = |hz: f64| {
                let x = at(&g, &c, hz).lu().solve(&b).unwrap();
                let a =
                    C::new(data.open_loop_gain.map_or(0.0, |gain| 1.0 / gain), hz / data.gain_bandwidth_hz.unwrap());
                -(x[plus - 1] - x[minus - 1]) / a
            };
            let (mut least, mut phase) = (f64::INFINITY, 0.0);
            let mut last: Option<C> = None;
            for step in 0..4000 {
                let here = ratio(libm::pow(10.0, -1.0 + f64::from(step) * 11.0 / 4000.0));
                let turn = last.map_or(here, |last| here * last.conj());
                phase += libm::atan2(turn.im, turn.re) * 180.0 / PI;
                if last.is_some_and(|last| (last.norm_sqr() > 1.0) != (here.norm_sqr() > 1.0)) {
                    least = least.min(180.0 - phase.abs());
                }
                last = Some(here);
            }
            let found = all.iter().find(|one| one.amp == amp);
            match found {
                None => assert_eq!(least, f64::INFINITY),
                Some(found) => {
                    told += 1;
                    assert!((found.phase_margin_deg - least).abs() < 1.0, "{found:?} {least}");
                    let there = ratio(found.crossing_hz);
                    close(there.norm_sqr(), 1.0, 1e-6);
                    let exact = 180.0 - libm::atan2(there.im, there.re).abs() * 180.0 / PI;
                    if found.phase_margin_deg > 0.0 {
                        close(found.phase_margin_deg, exact, 1e-6);
                    }
                }
            }
        }
    });
    assert!(told > 150, "{told}");
}

/// The bandwidth by a fine scan of the separate network.
#[test]
fn bandwidth_by_scanning() {
    each(5, 15, |circuit, net| {
        let stage = stage(circuit);
        let motion = Motion::of(&stage.network).unwrap();
        let found = response(&stage, &motion).unwrap();
        let (g, c) = net.matrices(circuit, None);
        let size = |hz: f64| at(&g, &c, hz).lu().solve(&wide(&net.drive())).unwrap()[net.output - 1].norm_sqr().sqrt();
        let dc = size(0.0);
        let grid: Vec<f64> = (0..6000).map(|k| libm::pow(10.0, f64::from(k) * 10.0 / 6000.0)).collect();
        let first = grid.iter().find(|&&hz| size(hz) < dc * 0.5_f64.sqrt());
        close(found.small_signal_hz.unwrap(), *first.unwrap(), 4e-3);
        close(size(found.small_signal_hz.unwrap()) / dc, 0.5_f64.sqrt(), 1e-7);
        let most = grid.iter().map(|&hz| size(hz) / dc).fold(1.0, f64::max);
        assert!((found.peaking_db.unwrap() - 20.0 * libm::log10(most)).abs() < 0.01, "{found:?} {most}");
    });
}

/// The step followed by an L-stable second-order method on the whole, unreduced equations.
#[test]
fn settling_by_small_steps() {
    let mut seen = 0;
    each(6, 8, |circuit, net| {
        let stage = stage(circuit);
        let motion = Motion::of(&stage.network).unwrap();
        if !motion.is_stable() {
            return;
        }
        let fraction = 1e-3;
        let Some(time) = settling(&stage, &motion, 1.0, &[fraction]).unwrap().linear_s[0] else { return };
        let (g, c) = net.matrices(circuit, None);
        let b = net.drive();
        let end = g.clone().lu().solve(&b).unwrap()[net.output - 1];
        let steps = 20_000;
        let h = time * 2.0 / f64::from(steps);
        let gamma = 1.0 - 0.5_f64.sqrt();
        let lu = (&c + &g * (gamma * h)).lu();
        let mut x = DVector::zeros(net.size());
        let mut last = 0.0;
        for k in 1..=steps {
            let k1 = lu.solve(&(&b - &g * &x)).unwrap();
            let k2 = lu.solve(&(&b - &g * (&x + &k1 * ((1.0 - gamma) * h)))).unwrap();
            x += k1 * ((1.0 - gamma) * h) + k2 * (gamma * h);
            if (x[net.output - 1] / end - 1.0).abs() > fraction {
                last = h * f64::from(k);
            }
        }
        assert!((last - time).abs() < 2e-3 * time, "{last} {time}");
        seen += 1;
    });
    assert!(seen > 25, "{seen}");
}
