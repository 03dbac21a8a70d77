//! The joint choice against plain loops over every set of values.
use crate::designator::{Designator, Ohms, Topology};
use crate::series::Series;
use crate::sizing::{First, PairTable, Pick, Ranked, Rules, Stock, Wish, Wishes, rank, rank_with};
use crate::textbook::{WhiteNoise, gains, white_noise};
use Designator::{R1, R2, R3, R4, RF1, RF2, RG};
use std::collections::BTreeMap;

const NOISE: WhiteNoise = WhiteNoise { voltage: [8e-9; 3], current: [0.4e-12; 3], kelvin: 298.15 };

fn rules(values: &[f64], pairs: bool) -> Rules {
    let range = [R1, R2, R3, R4, RF1, RF2].map(|name| (name, (10e3, 100e3))).into_iter().collect();
    Rules { stock: Stock::new(values.iter().copied()).unwrap(), pairs, range, fixed: BTreeMap::new() }
}

fn wishes(equal: f64, first: First) -> Wishes {
    Wishes { equal, first, noise: NOISE }
}

/// What a set is worth, by code of its own: error class, parts, noise.
type Worth = (f64, usize, f64);

fn worth(topology: Topology, ohms: &Ohms, pick: Pick, gain: f64, equal: f64) -> Worth {
    let mut all = *ohms;
    if topology.gain_set_by_one() {
        all.set(RG, pick.ohm());
    }
    let error = (gains(topology, &all).unwrap().differential / gain - 1.0).abs();
    let noise = white_noise(topology, &all, &NOISE).unwrap();
    (if error <= equal { 0.0 } else { error }, pick.parts_ohm().len(), noise)
}

fn before(a: &Worth, b: &Worth, first: First) -> bool {
    let near = |x: f64, y: f64| (x - y).abs() <= 1e-8 * x.abs().max(y.abs()) + 1e-13 * f64::from(u8::from(x < 1e-6));
    let mut order = [(a.0, b.0), (a.1 as f64, b.1 as f64), (a.2, b.2)];
    match first {
        First::Gain => {}
        First::Parts => order.swap(0, 1),
        First::Noise => order.rotate_right(1),
    }
    for (x, y) in order {
        if !near(x, y) {
            return x < y;
        }
    }
    false
}

fn picks(values: &[f64], pairs: bool) -> Vec<Pick> {
    let mut all: Vec<Pick> = values.iter().map(|&ohm| Pick::single(ohm)).collect();
    for (i, &a) in values.iter().enumerate().filter(|_| pairs) {
        for &b in &values[i..] {
            all.extend([Pick::series(a, b), Pick::parallel(a, b)]);
        }
    }
    all
}

fn inside(values: &[f64]) -> Vec<f64> {
    values.iter().copied().filter(|ohm| (10e3..=100e3).contains(ohm)).collect()
}

/// The least worth over all sets, each loop written out.
fn plainly(topology: Topology, values: &[f64], pairs: bool, gain: f64, equal: f64, first: First) -> Worth {
    let inner = inside(values);
    let mut all: Vec<Worth> = Vec::new();
    let mut offer = |worth: Worth| all.push(worth);
    match topology {
        Topology::ThreeOpAmp => {
            for &stage in &inner {
                for &feedback in &inner {
                    for pick in picks(values, pairs) {
                        let ohms =
                            [(R1, stage), (R2, stage), (R3, stage), (R4, stage), (RF1, feedback), (RF2, feedback)];
                        offer(worth(topology, &ohms.into_iter().collect(), pick, gain, equal));
                    }
                }
            }
        }
        Topology::TwoOpAmp => {
            for &outer in &inner {
                for pick in picks(values, pairs) {
                    let ohms = [R1, R2, R3, R4].map(|name| (name, outer));
                    offer(worth(topology, &ohms.into_iter().collect(), pick, gain, equal));
                }
            }
        }
        _ => {
            for &input in &inner {
                for &output in &inner {
                    let ohms = [(R1, input), (R2, output), (R3, input), (R4, output)];
                    offer(worth(topology, &ohms.into_iter().collect(), Pick::single(input), gain, equal));
                }
            }
        }
    }
    // where gain is not the first wish, a set far off it is no answer: more than 2 %, or than the nearest
    let least = all.iter().map(|worth| worth.0).fold(f64::INFINITY, f64::min);
    let near = all.into_iter().filter(|worth| first == First::Gain || worth.0 <= least.max(0.02) + 1e-12);
    near.reduce(|held, worth| if before(&worth, &held, first) { worth } else { held }).unwrap()
}

fn of(ranked: &Ranked, topology: Topology, gain: f64, equal: f64) -> Worth {
    let pick = ranked.filled.values.iter().find(|value| value.name == RG).map_or(Pick::single(1.0), |value| value.pick);
    let mut ohms = ranked.filled.ohms();
    ohms.set(RG, None);
    worth(topology, &ohms, pick, gain, equal)
}

#[test]
fn no_set_of_values_is_better() {
    for series in [Series::E6, Series::E12] {
        let values = series.ohms(10.0, 100e3);
        for (topology, gain) in [
            (Topology::ThreeOpAmp, 100.0),
            (Topology::ThreeOpAmp, 7.3),
            (Topology::ThreeOpAmp, 1.37),
            (Topology::TwoOpAmp, 48.0),
            (Topology::TwoOpAmp, 5.1),
            (Topology::Difference, 3.4),
            (Topology::BufferedDifference, 0.27),
        ] {
            for pairs in [false, true] {
                for equal in [0.0, 1e-4, 4e-3, 0.03] {
                    for first in [First::Gain, First::Parts, First::Noise] {
                        let found =
                            rank(&Wish::new(topology, gain), &rules(&values, pairs), &wishes(equal, first), 1).unwrap();
                        let (ours, plain) = (
                            of(&found[0], topology, gain, equal),
                            plainly(topology, &values, pairs, gain, equal, first),
                        );
                        let same = !before(&plain, &ours, first);
                        assert!(
                            same,
                            "{topology} {gain} {series:?} {pairs} {equal} {first:?}: {ours:?}, plain {plain:?}"
                        );
                    }
                }
            }
        }
    }
}

#[test]
fn a_table_of_pairs_changes_nothing() {
    let values = Series::E24.ohms(10.0, 100e3);
    let table = PairTable::new(&values);
    for gain in [2.7, 33.0, 100.0, 751.0] {
        for equal in [0.0, 1e-5, 1e-3] {
            let (wish, rules, wishes) =
                (Wish::new(Topology::ThreeOpAmp, gain), rules(&values, true), wishes(equal, First::Gain));
            let walked = rank(&wish, &rules, &wishes, 1).unwrap();
            let kept = rank_with(&wish, &rules, &wishes, 1, Some(&table)).unwrap();
            assert_eq!(walked[0].filled.ohms(), kept[0].filled.ohms(), "{gain} {equal}");
        }
    }
}

#[test]
fn more_values_never_make_the_best_worse() {
    let (few, more, most) =
        (Series::E6.ohms(10.0, 100e3), Series::E12.ohms(10.0, 100e3), Series::E24.ohms(10.0, 100e3));
    for topology in [Topology::ThreeOpAmp, Topology::TwoOpAmp, Topology::Difference] {
        for gain in [2.0, 3.0, 9.6] {
            for equal in [0.0, 2e-3] {
                let best = |values: &[f64]| {
                    let found =
                        rank(&Wish::new(topology, gain), &rules(values, true), &wishes(equal, First::Gain), 1).unwrap();
                    of(&found[0], topology, gain, equal)
                };
                let (a, b, c) = (best(&few), best(&more), best(&most));
                assert!(
                    !before(&a, &b, First::Gain) && !before(&b, &c, First::Gain),
                    "{topology} {gain}: {a:?} {b:?} {c:?}"
                );
            }
        }
    }
}

/// Analog Devices AD625 data sheet, table I, `G = 1 + 2RF/RG` "within 0.5 % using standard 1 % resistors";
/// the rows are from memory, the formula and RF of about 20 kΩ are read.
#[test]
fn two_resistors_come_within_half_a_per_cent_as_published() {
    let published = [
        (2.0, 19.6e3, 39.2e3),
        (5.0, 20e3, 10e3),
        (10.0, 20e3, 4.42e3),
        (20.0, 20e3, 2.1e3),
        (100.0, 20e3, 402.0),
        (200.0, 20.5e3, 205.0),
        (500.0, 19.6e3, 78.7),
        (1000.0, 19.6e3, 39.2),
        (4.0, 20e3, 13.3e3),
        (8.0, 19.6e3, 5.62e3),
        (16.0, 20e3, 2.67e3),
        (32.0, 19.6e3, 1.27e3),
        (64.0, 20e3, 634.0),
        (128.0, 20e3, 316.0),
        (256.0, 19.6e3, 154.0),
        (512.0, 19.6e3, 76.8),
        (1024.0, 19.6e3, 38.3),
    ];
    let values = Series::E96.ohms(1.0, 1e6);
    for (gain, rf, rg) in published {
        let theirs: f64 = (1.0 + 2.0 * rf / rg) / gain - 1.0;
        assert!(theirs.abs() <= 0.00503, "{gain}");
        let mut rules = rules(&values, false);
        for name in [RF1, RF2] {
            rules.range.insert(name, (19.6e3, 20.5e3));
        }
        let ours = &rank(&Wish::new(Topology::ThreeOpAmp, gain), &rules, &wishes(0.0, First::Gain), 1).unwrap()[0];
        assert!(ours.error.abs() <= theirs.abs() + 1e-12, "{gain}: {} against {theirs}", ours.error);
    }
}
