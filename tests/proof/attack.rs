//! Worst cases attacked: `worst_db` against every corner, a grid along what is shared, and points drawn in
//! the box.
//!
//! `EVENKEEL_POINTS` sets how many points a topology are drawn (100 000 unless given), `EVENKEEL_SEED` other ones.
use crate::near::db;
use crate::random::Draw;
use crate::wild::{self, Case};
use evenkeel::corners::{self, Method, WorstCase};
use evenkeel::designator::Topology;
use evenkeel::network::{Instructions, LANES, Lane, Plan};
use evenkeel::stage::Shaker;
use num_complex::Complex64;

fn points() -> usize {
    std::env::var("EVENKEEL_POINTS").ok().and_then(|text| text.parse().ok()).unwrap_or(100_000)
}

fn draw(seed: u64) -> Draw {
    let other: u64 = std::env::var("EVENKEEL_SEED").ok().and_then(|text| text.parse().ok()).unwrap_or(0);
    Draw::new(seed + 1000 * other)
}

/// `A_d` and `A_cm` at points of the box, at any frequency.
fn gains<T: Lane>(case: &Case, hz: f64, points: impl Iterator<Item = Vec<f64>>, mut take: impl FnMut(T, T, &[f64])) {
    let shaker = Shaker::new(&case.stage, &case.quantities, hz);
    let drives = [case.stage.differential(), case.stage.common()];
    let plan = Plan::<T>::record(&case.stage.network, hz, shaker.slots(), &drives, case.stage.ports.output).unwrap();
    let mut work = plan.workspace(Instructions::best());
    let mut deltas = vec![T::ZERO.splat(); shaker.slots().len()];
    let mut out = [T::ZERO.splat(); 2];
    let mut block: Vec<Vec<f64>> = Vec::with_capacity(LANES);
    let mut points = points.peekable();
    while let Some(point) = points.next() {
        block.push(point);
        if block.len() < LANES && points.peek().is_some() {
            continue;
        }
        for (slot, delta) in deltas.iter_mut().enumerate() {
            for (lane, point) in block.iter().enumerate() {
                T::set(delta, lane, shaker.deviation(slot, |quantity| point[quantity]));
            }
        }
        plan.replay(&mut work, &deltas, &mut out);
        for (lane, point) in block.iter().enumerate() {
            take(T::get(&out[0], lane), T::get(&out[1], lane), point);
        }
        block.clear();
    }
}

/// The extremes over a set of points.
#[derive(Clone, Debug)]
struct Extremes {
    rejection: f64,
    at: Vec<f64>,
    common: f64,
    low: f64,
    high: f64,
}

impl Extremes {
    fn over<T: Lane>(case: &Case, hz: f64, points: impl Iterator<Item = Vec<f64>>) -> Self {
        let (low, high) = (f64::INFINITY, f64::NEG_INFINITY);
        let mut all = Self { rejection: f64::INFINITY, at: Vec::new(), common: 0.0, low, high };
        gains::<T>(case, hz, points, |differential, common, point| {
            let rejection = differential.modulus() / common.modulus();
            if rejection < all.rejection {
                all.rejection = rejection;
                all.at = point.to_vec();
            }
            all.common = all.common.max(common.modulus());
            all.low = all.low.min(differential.to_complex().re);
            all.high = all.high.max(differential.to_complex().re);
        });
        all
    }

    /// From the worst rejection found on, one quantity after the other to the worst of 33 values, until none helps.
    fn climb<T: Lane>(&mut self, case: &Case, hz: f64) {
        for _ in 0..6 {
            let before = self.rejection;
            for (k, one) in case.quantities.iter().enumerate() {
                let from = self.at.clone();
                let line = (0..33).map(|step| {
                    let mut point = from.clone();
                    point[k] = one.low + (one.high - one.low) * f64::from(step) / 32.0;
                    point
                });
                let found = Self::over::<T>(case, hz, line);
                if found.rejection < self.rejection {
                    (self.rejection, self.at) = (found.rejection, found.at);
                }
                self.common = self.common.max(found.common);
                (self.low, self.high) = (self.low.min(found.low), self.high.max(found.high));
            }
            if self.rejection >= before * (1.0 - 1e-9) {
                break;
            }
        }
    }
}

/// By how much of a decibel the rejection found is below the one told, and the same of the other goals, in
/// parts of the figure; 0 where none is.
fn beaten(told: &WorstCase, found: &Extremes) -> [f64; 4] {
    let beyond = |far: f64, size: f64| (far / size.abs()).max(0.0);
    [
        if told.rejection == 0.0 { 0.0 } else { (db(told.rejection) - db(found.rejection)).max(0.0) },
        beyond(found.common - told.common, told.common),
        beyond(told.gain_low - found.low, told.gain_low),
        beyond(found.high - told.gain_high, told.gain_high),
    ]
}

const ROUNDING: f64 = 1e-8;

#[track_caller]
fn hold(case: &Case, told: &WorstCase, found: &Extremes, what: &str) {
    let circuit = &case.stage.circuit;
    let [rejection, common, low, high] = beaten(told, found);
    let shared = !case.shared().is_empty();
    // A search between the ends may leave what no digit of a report shows.
    let (in_db, in_parts) = if shared { (1e-3, 1e-6) } else { (ROUNDING, ROUNDING) };
    assert!(
        rejection <= in_db,
        "{what}: {rejection} dB below\n{told:?}\n{found:?}\n{circuit:?}\n{:?}",
        case.quantities
    );
    for beyond in [common, low, high] {
        assert!(beyond <= in_parts, "{what}: {beyond} beyond\n{told:?}\n{found:?}\n{circuit:?}\n{:?}", case.quantities);
    }
}

#[test]
fn no_corner_is_worse_than_told() {
    let cases = (points() / 1000).max(20);
    for topology in Topology::ALL {
        let mut draw = draw(61);
        for index in 0..cases {
            let case = wild::case(&mut draw, topology, 0.0, (1, 12));
            let told = corners::at_dc(&case.stage, &case.quantities).unwrap();
            let found =
                Extremes::over::<f64>(&case, 0.0, (0..1 << case.quantities.len()).map(|bits| case.corner(bits)));
            let what = format!("{topology} {index}");
            hold(&case, &told, &found, &what);
            // The short ways to the same figures.
            let least = corners::least_rejection(&case.stage, &case.quantities).unwrap();
            let range = corners::gain_range(&case.stage, &case.quantities).unwrap();
            assert_eq!((least, range), (told.rejection, (told.gain_low, told.gain_high)), "{what}");
            // And none is made up: without shared quantities the worst is one of these corners.
            if case.shared().is_empty() {
                assert_eq!((told.method, told.gain_method), (Method::Proven, Method::Proven), "{what}");
                assert!(db(found.rejection) - db(told.rejection) <= ROUNDING, "{what}: {told:?} {found:?}");
                assert!(found.common >= told.common * (1.0 - ROUNDING), "{what}: {told:?} {found:?}");
                assert!(found.low <= told.gain_low * (1.0 + ROUNDING), "{what}: {told:?} {found:?}");
                assert!(found.high >= told.gain_high * (1.0 - ROUNDING), "{what}: {told:?} {found:?}");
            }
        }
    }
}

#[test]
fn no_point_drawn_in_the_box_is_worse_than_told() {
    let each = 5000;
    let cases = (points() / each).max(10);
    for topology in Topology::ALL {
        let mut draw = draw(62);
        for index in 0..cases {
            let case = wild::case(&mut draw, topology, 0.0, (1, 24));
            let told = corners::at_dc(&case.stage, &case.quantities).unwrap();
            let drawn: Vec<_> = (0..each).map(|_| case.point(&mut draw)).collect();
            let mut found = Extremes::over::<f64>(&case, 0.0, drawn.into_iter());
            found.climb::<f64>(&case, 0.0);
            hold(&case, &told, &found, &format!("{topology} {index}"));
        }
    }
}

/// Where a quantity enters several elements: all ends of the others, 65 steps along it (17 where there are two).
#[test]
fn no_point_on_a_grid_along_what_is_shared_is_worse_than_told() {
    let cases = (points() / 2000).max(20);
    for topology in Topology::ALL {
        if topology == Topology::SingleChip {
            continue;
        }
        let mut draw = draw(63);
        let mut done = 0;
        while done < cases {
            let case = wild::case(&mut draw, topology, 0.0, (3, 10));
            let shared = case.shared();
            if shared.is_empty() || shared.len() > 2 {
                continue;
            }
            done += 1;
            let told = corners::at_dc(&case.stage, &case.quantities).unwrap();
            let steps: usize = if shared.len() == 1 { 65 } else { 17 };
            let grid = steps.pow(shared.len() as u32);
            let corners = 1_usize << case.quantities.len();
            let all = (0..corners).filter(|bits| shared.iter().all(|&k| bits >> k & 1 == 0)).flat_map(|bits| {
                let (case, shared) = (&case, &shared);
                (0..grid).map(move |place| {
                    let mut point = case.corner(bits);
                    let mut rest = place;
                    for &k in shared {
                        let one = &case.quantities[k];
                        point[k] = one.low + (one.high - one.low) * (rest % steps) as f64 / (steps - 1) as f64;
                        rest /= steps;
                    }
                    point
                })
            });
            let found = Extremes::over::<f64>(&case, 0.0, all);
            hold(&case, &told, &found, &format!("{topology} {done}"));
        }
    }
}

/// At a frequency corners are not proven to be worst. Measured here: by how much a point inside beats them, where
/// the worst rejection is at least 20 dB and where it is less (such points are marked `rough`: there `A_d` all but
/// vanishes inside the box, and nothing is promised).
#[test]
fn points_inside_hardly_beat_the_corners_at_a_frequency() {
    let each = 500;
    let cases = points() / each;
    let (mut most, mut roughest, mut sound, mut beaten) = (0.0_f64, 0.0_f64, 0, 0);
    for topology in Topology::ALL {
        let mut draw = draw(64);
        for _ in 0..cases {
            let hz = draw.decades(10.0, 1e5);
            let case = wild::case(&mut draw, topology, hz, (2, 12));
            let told = corners::at_frequency(&case.stage, &case.quantities, hz, 14).unwrap();
            let drawn: Vec<_> = (0..each).map(|_| case.point(&mut draw)).collect();
            let mut found = Extremes::over::<Complex64>(&case, hz, drawn.into_iter());
            found.climb::<Complex64>(&case, hz);
            let by = db(told.rejection) - db(found.rejection);
            if told.rejection >= 10.0 {
                most = most.max(by);
                sound += 1;
                beaten += usize::from(by > 1e-4);
            } else {
                roughest = roughest.max(by);
            }
        }
    }
    let measured = format!("{beaten} of {sound} beaten, by {most} dB at most; {roughest} dB where rough");
    println!("{measured}");
    assert!(most <= 0.02, "{measured}");
}
