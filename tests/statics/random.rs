//! Random circuits of every topology against the second derivation in `oracle`.
use crate::bench::{Case, case, near};
use crate::oracle::Drawing;
use evenkeel::designator::{Designator, Topology};
use evenkeel::part::{Grade, OpAmp, Rails};
use evenkeel::stage::InputFilter;
use evenkeel::study::{LargestGain, Span};

/// Random numbers that are the same on every machine (splitmix64, Steele and others, 2014; from memory).
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    pub(crate) fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    pub(crate) fn ohm(&mut self, low: f64, high: f64) -> f64 {
        low * libm::pow(high / low, self.unit())
    }

    pub(crate) fn toss(&mut self) -> bool {
        self.unit() < 0.5
    }
}

/// One random front end, drawn for both.
pub(crate) struct Random {
    pub(crate) case: Case,
    pub(crate) drawing: Drawing,
    /// Output and input limits, V.
    output: (f64, f64),
    input: (f64, f64),
    tolerance: f64,
}

pub(crate) const TOPOLOGIES: [(Topology, &str); 4] = [
    (Topology::Difference, "difference"),
    (Topology::BufferedDifference, "buffered-difference"),
    (Topology::ThreeOpAmp, "three-op-amp"),
    (Topology::TwoOpAmp, "two-op-amp"),
];

pub(crate) fn random(dice: &mut Dice, topology: Topology, word: &'static str) -> Random {
    let mut names: Vec<&'static str> = topology.resistors().iter().map(|name| name.name()).collect();
    if topology == Topology::Difference && dice.toss() {
        names.extend(["R5", "R6"]);
    }
    let (base, gain) = (dice.ohm(1e3, 1e5), dice.ohm(0.3, 30.0));
    let ohms: Vec<(&'static str, f64)> = names
        .into_iter()
        .map(|name| {
            let nominal = match name {
                "R2" if topology == Topology::TwoOpAmp => base / gain,
                "R3" if topology == Topology::TwoOpAmp => base / gain,
                "R2" | "R4" if topology != Topology::TwoOpAmp => base * gain,
                "RG" => base * dice.ohm(0.01, 10.0),
                _ => base,
            };
            // Not quite balanced, so that no term hides.
            (name, nominal * dice.between(0.98, 1.02))
        })
        .collect();
    let drawing = Drawing {
        topology: word,
        ohms: ohms.iter().copied().collect(),
        source: if dice.toss() { dice.ohm(10.0, 1e4) } else { 0.0 },
        filter: if dice.toss() { dice.ohm(100.0, 1e4) } else { 0.0 },
        bias_return: dice.toss().then(|| dice.ohm(1e5, 1e7)),
        reference_resistance: if dice.toss() { dice.ohm(1.0, 1e3) } else { 0.0 },
        open_loop_gain: dice.toss().then(|| dice.ohm(1e3, 1e6)),
        input_resistance: dice.toss().then(|| dice.ohm(1e6, 1e9)),
    };
    let (common, difference) = (dice.between(-3.0, 3.0), dice.ohm(1e-3, 1.0));
    let mut case = case(topology, &ohms)
        .supply(-5.0, 8.0)
        .signals((common - dice.unit(), common + dice.unit()), (-difference * dice.unit(), difference));
    case.reference_v = dice.between(-1.0, 2.0);
    let around = &mut case.circuit.surroundings;
    around.source.resistance_ohm = drawing.source;
    around.source.bias_return_ohm = drawing.bias_return;
    around.reference_resistance_ohm = drawing.reference_resistance;
    around.filter = (drawing.filter > 0.0).then_some(InputFilter {
        resistor_ohm: drawing.filter,
        common_capacitor_f: 1e-9,
        differential_capacitor_f: 1e-8,
        resistor_tolerance: 0.01,
        capacitor_tolerance: 0.05,
        fault_voltage_v: None,
        fault_current_a: None,
    });
    let (swing, range) = ((dice.unit(), dice.unit()), (dice.between(-0.5, 1.0), dice.between(0.0, 2.0)));
    case = case.opamp(&OpAmp {
        open_loop_gain: drawing.open_loop_gain,
        input_resistance_ohm: drawing.input_resistance,
        output_swing: Some(Rails { from_negative_v: swing.0, from_positive_v: swing.1 }),
        input_range: Some(Rails { from_negative_v: range.0, from_positive_v: range.1 }),
        ..OpAmp::default()
    });
    let tolerance = dice.between(1e-4, 0.05);
    for (name, _) in &ohms {
        case.lot.grades.insert(name.parse::<Designator>().unwrap(), Grade { tolerance, tempco_per_k: 0.0 });
    }
    Random { case, drawing, output: (swing.0 - 5.0, 8.0 - swing.1), input: (range.0 - 5.0, 8.0 - range.1), tolerance }
}

impl Random {
    fn vertices(&self) -> [(f64, f64); 4] {
        let signal = &self.case.question.signal;
        let (Some(c), Some(d)) = (signal.common_mode, signal.differential) else { panic!() };
        [(c.low, d.low), (c.low, d.high), (c.high, d.low), (c.high, d.high)]
    }

    fn limits(&self, output: bool) -> (f64, f64) {
        if output { self.output } else { self.input }
    }

    /// (name, lowest, highest) of every terminal, and the margin.
    fn extremes(&self, drawing: &Drawing) -> (Vec<(String, f64, f64)>, f64) {
        let mut all: Vec<(String, f64, f64)> = Vec::new();
        let mut margin = f64::INFINITY;
        for (common, difference) in self.vertices() {
            let (p, n) = (common + difference / 2.0, common - difference / 2.0);
            let solved = drawing.solve(p, n, self.case.reference_v);
            for (index, (name, output, volt)) in solved.terminals().into_iter().enumerate() {
                let (low, high) = self.limits(output);
                margin = margin.min(volt - low).min(high - volt);
                match all.get_mut(index) {
                    Some(one) => (one.1, one.2) = (one.1.min(volt), one.2.max(volt)),
                    None => all.push((name, volt, volt)),
                }
            }
        }
        (all, margin)
    }

    fn turned(&self, t: f64) -> Drawing {
        let mut drawing = self.drawing.clone();
        if self.case.circuit.topology.gain_set_by_one() {
            drawing.ohms.insert("RG", t);
        } else {
            let ratio = drawing.ohms["R4"] / drawing.ohms["R2"];
            drawing.ohms.insert("R2", 1e8 / t);
            drawing.ohms.insert("R4", ratio * 1e8 / t);
        }
        drawing
    }
}

fn each(count: u64, mut check: impl FnMut(Random)) {
    for (topology, word) in TOPOLOGIES {
        let mut dice = Dice(7 + topology as u64);
        for _ in 0..count {
            check(random(&mut dice, topology, word));
        }
    }
}

#[test]
fn every_terminal_and_the_margin_agree() {
    each(100, |one| {
        let figure = one.case.headroom();
        let (terminals, margin) = one.extremes(&one.drawing);
        assert_eq!(figure.points.len(), terminals.len());
        for (name, lowest, highest) in terminals {
            let point = figure.points.iter().find(|point| point.name == name).unwrap();
            let within = 1e-9 * (1.0 + lowest.abs().max(highest.abs()));
            near(point.lowest_v, lowest, within);
            near(point.highest_v, highest, within);
        }
        near(figure.margin_v, margin, 1e-9 * (1.0 + margin.abs()));
        assert_eq!(figure.fits, margin >= 0.0);
        let alone = evenkeel::study::headroom::margin(&one.case.question, &one.case.stage(), one.case.reference_v);
        assert_eq!(alone.unwrap(), Some(figure.margin_v));
    });
}

#[test]
fn the_worst_margin_is_that_of_the_worst_corner() {
    each(12, |one| {
        let names: Vec<&'static str> = one.drawing.ohms.keys().copied().collect();
        let mut worst = f64::INFINITY;
        for corner in 0..1_u32 << names.len() {
            let mut drawing = one.drawing.clone();
            for (bit, name) in names.iter().enumerate() {
                let sign = if corner >> bit & 1 == 1 { 1.0 } else { -1.0 };
                *drawing.ohms.get_mut(name).unwrap() *= 1.0 + sign * one.tolerance;
            }
            worst = worst.min(one.extremes(&drawing).1);
        }
        let told = one.case.headroom().worst_margin_v;
        near(told, worst, 1e-9 * (1.0 + worst.abs()));
    });
}

#[test]
fn all_four_impedances_agree() {
    each(100, |one| {
        let told = one.case.impedance();
        let drawing = Drawing { source: 0.0, ..one.drawing.clone() };
        let drive = |p: f64, n: f64| drawing.solve(p, n, 0.0);
        let (difference, common) = (drive(0.5, -0.5), drive(1.0, 1.0));
        for (told, siemens) in [
            (told.differential_ohm, (difference.positive_a - difference.negative_a) / 2.0),
            (told.common_mode_ohm, common.positive_a + common.negative_a),
            (told.positive_ohm, drive(1.0, 0.0).positive_a),
            (told.negative_ohm, drive(0.0, 1.0).negative_a),
        ] {
            match told {
                Some(ohm) => near(ohm * siemens, 1.0, 1e-6),
                None => assert!(siemens.abs() < 1e-15, "{siemens} A per volt is not nothing"),
            }
        }
    });
}

#[test]
fn the_window_is_the_polygon_that_its_limits_cut_out() {
    each(60, |one| {
        let lines = lines(&one);
        let inside = |at: (f64, f64), slack: f64| lines.iter().all(|(a, b, c)| a * at.0 + b * at.1 <= c + slack);
        // Every crossing of two limits that no limit forbids.
        let mut want: Vec<(f64, f64)> = Vec::new();
        for (i, (a, b, c)) in lines.iter().enumerate() {
            for (d, e, f) in &lines[..i] {
                let det = a * e - b * d;
                if det.abs() > 1e-9 * (a.abs() + b.abs()) * (d.abs() + e.abs()) {
                    let at = ((c * e - b * f) / det, (a * f - c * d) / det);
                    if inside(at, 1e-9) {
                        want.push(at);
                    }
                }
            }
        }
        let window: Vec<(f64, f64)> =
            one.case.headroom().window.iter().map(|at| (at.common_mode_v, at.differential_v)).collect();
        let size = window.iter().map(|at| at.1.abs()).fold(1e-6, f64::max);
        let close = |a: (f64, f64), b: (f64, f64)| (a.0 - b.0).abs() < 1e-4 && (a.1 - b.1).abs() < 1e-4 * size;
        for at in &want {
            assert!(window.iter().any(|&one| close(one, *at)), "{at:?} is missing in {window:?}");
        }
        for &at in &window {
            assert!(want.iter().any(|&one| close(one, at)), "{at:?} is no crossing of limits, those are {want:?}");
            assert!(inside(at, 1e-9), "{at:?} is outside");
        }
        // The rectangle of the signals fits exactly when its vertices are in the window.
        assert_eq!(one.case.headroom().fits, one.vertices().into_iter().all(|at| inside(at, 0.0)));
    });
}

/// `a·v_cm + b·v_d <= c` for every limit, and the cut at one supply span beyond the supplies.
fn lines(one: &Random) -> Vec<(f64, f64, f64)> {
    let reference = one.case.reference_v;
    let at = |p: f64, n: f64, r: f64| one.drawing.solve(p, n, r).terminals();
    let (zero, common, difference) = (at(0.0, 0.0, reference), at(1.0, 1.0, 0.0), at(0.5, -0.5, 0.0));
    let mut lines = vec![(1.0, 0.0, 8.0 + 13.0), (-1.0, 0.0, 5.0 + 13.0)];
    for ((zero, common), difference) in zero.iter().zip(&common).zip(&difference) {
        let (low, high) = one.limits(zero.1);
        lines.push((common.2, difference.2, high - zero.2));
        lines.push((-common.2, -difference.2, zero.2 - low));
    }
    lines
}

#[test]
fn no_greater_gain_than_the_largest_fits() {
    let mut seen = [0; 3];
    each(40, |one| {
        let margin = |t: f64| one.extremes(&one.turned(t)).1;
        let grid = |k: u32| libm::pow(10.0, f64::from(k) * 8.0 / 160.0);
        match one.case.headroom().largest_gain {
            LargestGain::UpTo(gain) => {
                seen[0] += 1;
                // Gain falls with RG (and with what R2 is divided by): find where the other derivation has it.
                let (mut low, mut high) = (1e-3_f64, 1e12_f64);
                for _ in 0..200 {
                    let middle = (low * high).sqrt();
                    if one.turned(middle).gain() > gain { low = middle } else { high = middle }
                }
                near(margin(high), 0.0, 1e-5);
                for k in 0..=160 {
                    let t = grid(k);
                    assert!(t >= high * 0.9999 || margin(t) < 0.0, "a greater gain fits: {}", one.turned(t).gain());
                }
            }
            LargestGain::Unbounded => {
                seen[1] += 1;
                assert!(margin(1.0) >= 0.0);
            }
            LargestGain::None => {
                seen[2] += 1;
                for k in 0..=160 {
                    assert!(margin(grid(k)) < 0.0, "a gain of {} fits", one.turned(grid(k)).gain());
                }
            }
        }
    });
    assert!(seen[0] > 40 && seen[2] > 10, "{seen:?}");
}

#[test]
fn interference_and_offset_widen_the_signals() {
    each(5, |mut one| {
        one.case.question.interference = Some(evenkeel::study::Interference { frequency_hz: 50.0, amplitude_v: 0.25 });
        one.case.question.signal.dc_offset = Some(Span { low: -0.3, high: 0.1 });
        let told = one.case.headroom();
        let signal = &mut one.case.question.signal;
        if let (Some(common), Some(difference)) = (&mut signal.common_mode, &mut signal.differential) {
            *common = Span { low: common.low - 0.25, high: common.high + 0.25 };
            *difference = Span { low: difference.low - 0.3, high: difference.high + 0.1 };
        }
        let margin = one.extremes(&one.drawing).1;
        near(told.margin_v, margin, 1e-9 * (1.0 + margin.abs()));
    });
}
