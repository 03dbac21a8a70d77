//! Worst cases at dc against brute force with the second solver.
use crate::bounds::{Knob, knobs};
use crate::near::{assert_near, db, relative};
use crate::random::{self, BARE, Draw, MIXED, TOPOLOGIES};
use crate::reference::{Board, Pair};
use evenkeel::corners::{self, Method, WorstCase};
use evenkeel::designator::{Designator, Ohms, Topology};
use evenkeel::part::{Grade, Matched};
use evenkeel::stage::{Circuit, Lot, Surroundings};
use evenkeel::topology;
use std::collections::BTreeMap;

/// The extremes over all corners.
#[derive(Clone, Copy, Debug)]
struct Extremes {
    rejection: f64,
    common: f64,
    low: f64,
    high: f64,
}

impl Extremes {
    const NONE: Self = Self { rejection: f64::INFINITY, common: 0.0, low: f64::INFINITY, high: f64::NEG_INFINITY };

    fn take(&mut self, gains: Pair<f64>) {
        self.rejection = self.rejection.min(gains.rejection());
        self.common = self.common.max(gains.common.abs());
        self.low = self.low.min(gains.differential);
        self.high = self.high.max(gains.differential);
    }
}

fn all_corners(circuit: &Circuit, knobs: &[Knob]) -> Extremes {
    let nominal = Board::<f64>::nominal(circuit);
    let mut found = Extremes::NONE;
    for corner in 0..1_usize << knobs.len() {
        let values: Vec<f64> = knobs.iter().enumerate().map(|(k, knob)| knob.end(corner >> k & 1 == 1)).collect();
        found.take(nominal.turned(knobs, &values).gains_dc());
    }
    found
}

fn engine(circuit: &Circuit, lot: &Lot) -> WorstCase {
    let stage = topology::build(circuit).unwrap();
    corners::at_dc(&stage, &stage.quantities(lot, 0.0)).unwrap()
}

/// A circuit with few enough quantities.
fn small(draw: &mut Draw, topology: Topology, index: usize) -> (Circuit, Lot, Vec<Knob>) {
    loop {
        let rich = if index.is_multiple_of(2) { MIXED } else { BARE };
        let circuit = if index.is_multiple_of(3) {
            random::circuit(draw, topology, rich)
        } else {
            random::balanced(draw, topology, rich)
        };
        let tolerance = draw.decades(1e-4, 0.1);
        let mut lot = random::lot(draw, &circuit, tolerance);
        if draw.chance(0.6) {
            lot.networks.clear();
        }
        lot.grades.retain(|_, _| draw.chance(0.8));
        let knobs = knobs(&circuit, &lot, true);
        if !knobs.is_empty() && knobs.len() <= 10 {
            return (circuit, lot, knobs);
        }
    }
}

#[test]
fn corners_agree_with_brute_force() {
    let mut proven = 0;
    for topology in TOPOLOGIES {
        let mut draw = Draw::new(41);
        for index in 0..60 {
            let (circuit, lot, knobs) = small(&mut draw, topology, index);
            let want = all_corners(&circuit, &knobs);
            let got = engine(&circuit, &lot);
            let what = format!("{topology} {index}");
            // A change of sign within the box is a rejection of 0, whatever the corners say.
            let sign_kept = want.low * want.high > 0.0;
            if knobs.iter().any(Knob::is_shared) {
                assert!(got.rejection <= want.rejection * (1.0 + 1e-9), "{what}: {got:?} {want:?}");
                assert!(got.common >= want.common * (1.0 - 1e-9), "{what}: {got:?} {want:?}");
                assert!(got.gain_low <= want.low + 1e-9 * want.low.abs(), "{what}: {got:?} {want:?}");
                assert!(got.gain_high >= want.high - 1e-9 * want.high.abs(), "{what}: {got:?} {want:?}");
                if got.method == Method::Proven && sign_kept {
                    assert!(db(want.rejection) - db(got.rejection) < 0.001, "{what}: {got:?} {want:?}");
                }
                continue;
            }
            assert_eq!((got.method, got.gain_method), (Method::Proven, Method::Proven), "{what}");
            proven += 1;
            let rejection = if sign_kept { want.rejection } else { 0.0 };
            assert_near(got.rejection, rejection, relative(1e-9), format_args!("rejection of {what}"));
            assert_near(got.common, want.common, relative(1e-9), format_args!("A_cm of {what}"));
            assert_near(got.gain_low, want.low, relative(1e-9), format_args!("least gain of {what}"));
            assert_near(got.gain_high, want.high, relative(1e-9), format_args!("greatest gain of {what}"));
        }
    }
    assert!(proven > 100, "only {proven} without shared quantities");
}

#[test]
fn no_inner_point_is_worse() {
    for topology in TOPOLOGIES {
        let mut draw = Draw::new(42);
        let mut shared = 0;
        for index in 0..20 {
            let circuit = random::balanced(&mut draw, topology, if index % 2 == 0 { MIXED } else { BARE });
            let tolerance = draw.decades(1e-4, 0.05);
            let lot = random::lot(&mut draw, &circuit, tolerance);
            let knobs = knobs(&circuit, &lot, true);
            let worst = engine(&circuit, &lot);
            shared += usize::from(knobs.iter().any(Knob::is_shared));
            let nominal = Board::<f64>::nominal(&circuit);
            for point in 0..1000 {
                // Inside, on faces and on edges.
                let inside = [1.0, 0.5, 0.1][point % 3];
                let values: Vec<f64> = knobs
                    .iter()
                    .map(|k| if draw.chance(inside) { draw.between(k.low, k.high) } else { k.end(draw.chance(0.5)) })
                    .collect();
                let gains = nominal.turned(&knobs, &values).gains_dc();
                let what = || format!("{topology} {index}: {gains:?} {worst:?} at {values:?}");
                assert!(gains.rejection() >= worst.rejection * (1.0 - 1e-9), "{}", what());
                assert!(gains.common.abs() <= worst.common * (1.0 + 1e-9), "{}", what());
                assert!(gains.differential >= worst.gain_low - 1e-9 * worst.gain_low.abs(), "{}", what());
                assert!(gains.differential <= worst.gain_high + 1e-9 * worst.gain_high.abs(), "{}", what());
            }
        }
        assert!(shared > 5, "{topology}: {shared}");
    }
}

/// Every corner of all quantities that enter one element, the others on a fine grid.
fn fine(circuit: &Circuit, knobs: &[Knob]) -> Extremes {
    let nominal = Board::<f64>::nominal(circuit);
    let mut found = Extremes::NONE;
    let shared = knobs.iter().position(Knob::is_shared).unwrap();
    for corner in (0..1_usize << knobs.len()).filter(|corner| corner >> shared & 1 == 0) {
        let mut values: Vec<f64> = knobs.iter().enumerate().map(|(k, knob)| knob.end(corner >> k & 1 == 1)).collect();
        for step in 0..=200 {
            values[shared] = knobs[shared].low + (knobs[shared].high - knobs[shared].low) * f64::from(step) / 200.0;
            found.take(nominal.turned(knobs, &values).gains_dc());
        }
    }
    found
}

fn bare(topology: Topology, ohms: &[(Designator, f64)]) -> Circuit {
    let (ohms, surroundings) = (ohms.iter().copied().collect::<Ohms>(), Surroundings::default());
    Circuit { topology, ohms, opamps: BTreeMap::new(), chip: None, surroundings }
}

fn network(members: &[Designator], tolerance: f64) -> Matched {
    let grade = Some(Grade { tolerance, tempco_per_k: 0.0 });
    Matched { members: members.to_vec(), match_fraction: tolerance / 10.0, match_tempco_per_k: 0.0, grade }
}

/// How much the search gained over the corners, in dB; it must have found what the fine grid finds.
fn gained(circuit: &Circuit, lot: &Lot, what: &str) -> f64 {
    let knobs = knobs(circuit, lot, true);
    let (got, want) = (engine(circuit, lot), fine(circuit, &knobs));
    assert!(got.rejection <= want.rejection * (1.0 + 1e-9), "{what}: {got:?} {want:?}");
    assert!(got.rejection >= want.rejection * (1.0 - 1e-4), "{what}: {got:?} {want:?}");
    assert!(got.gain_low <= want.low * (1.0 + 1e-9) && got.gain_high >= want.high * (1.0 - 1e-9), "{what}");
    let gained = db(all_corners(circuit, &knobs).rejection) - db(got.rejection);
    let method = if gained < 0.001 { Method::Proven } else { Method::Searched };
    assert_eq!(got.method, method, "{what}: gained {gained} dB");
    gained
}

/// `A_cm/A_d = 2(u - 1)/(u + 1)` with `u = (1 + R1/R2)/(1 + R3/R4)`, and `u` is monotone in a factor
/// common to any two of the four: the search between the ends gains nothing.
#[test]
fn two_resistors_of_a_difference_stage_in_a_network() {
    use Designator::{R1, R2, R3, R4};
    for members in [[R1, R2], [R3, R4], [R1, R3], [R2, R4], [R1, R4], [R2, R3]] {
        for tolerance in [0.001, 0.01, 0.05, 0.2, 0.4] {
            for gain in [0.1, 1.0, 10.0, 100.0] {
                let all = [(R1, 1e4), (R2, gain * 1e4), (R3, 1e4), (R4, gain * 1e4)];
                let circuit = bare(Topology::Difference, &all);
                let grades = all.map(|(name, _)| (name, Grade { tolerance, tempco_per_k: 0.0 })).into();
                let lot = Lot { grades, networks: vec![network(&members, tolerance)], ..Lot::default() };
                let gained = gained(&circuit, &lot, &format!("{members:?} {tolerance} {gain}"));
                assert!(gained.abs() < 1e-9, "{members:?} {tolerance} {gain}: {gained} dB");
            }
        }
    }
}

/// Wide tolerances, far from balance, gain-set and ratio resistors on one substrate: here the worst
/// case does lie between the ends.
#[test]
fn the_search_finds_what_lies_between_the_ends() {
    use Designator::{R1, R2, R3, R4, RF1, RF2, RG};
    let all = [(R1, 1532.0), (R2, 3145.0), (R3, 61500.0), (R4, 250300.0), (RF1, 906.6), (RF2, 17370.0), (RG, 175.1)];
    let circuit = bare(Topology::ThreeOpAmp, &all);
    let grade = |name| match name {
        R3 => 0.1,
        RG => 0.167,
        _ => 0.2,
    };
    let grades = all.map(|(name, _)| (name, Grade { tolerance: grade(name), tempco_per_k: 0.0 })).into();
    let matched = Matched { match_fraction: 3e-5, ..network(&[RF1, RF2, R1, R2, R4], 0.2) };
    let lot = Lot { grades, networks: vec![matched], ..Lot::default() };
    let gained = gained(&circuit, &lot, "three-op-amp");
    assert!(gained > 0.05, "{gained} dB");
}

/// Source imbalance of a difference stage: `A_d = (b + r(1 + b))/2`, `b = R2/(R1 + Rs - d/2)`,
/// `r = R4/(R3 + Rs + d/2 + R4)`, is least a hundredth of the line from its end, 9e-5 lower than there.
#[test]
fn a_dip_beside_an_end_is_seen() {
    use Designator::{R1, R2, R3, R4};
    let mut circuit = bare(Topology::Difference, &[(R1, 422.6), (R2, 585.8), (R3, 257.6), (R4, 5620.0)]);
    let gain = |d: f64| {
        let b = 585.8 / (422.6 + 26370.0 - d / 2.0);
        (b + 5620.0 / (257.6 + 26370.0 + d / 2.0 + 5620.0) * (1.0 + b)) / 2.0
    };
    let (mut low, mut high) = (-5e4, 5e4);
    for _ in 0..200 {
        let (first, second) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
        if gain(first) < gain(second) { high = second } else { low = first }
    }
    let source = &mut circuit.surroundings.source;
    (source.resistance_ohm, source.imbalance_ohm) = (26370.0, 1.02 * low.abs());
    assert!(gain(1.02 * low) > gain(low) * (1.0 + 8e-5) && gain(-1.02 * low) > gain(1.02 * low));
    let got = engine(&circuit, &Lot::default());
    assert_near(got.gain_low, gain(low), relative(1e-9), "least gain");
    assert_eq!(got.gain_method, Method::Searched);
}
