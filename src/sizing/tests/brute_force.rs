use super::{series, sized, wanted};
use crate::designator::Topology;
use crate::series::Series;
use crate::sizing::{Side, Stock, Wanted};

#[derive(Clone, Copy, Debug)]
struct Found {
    error: f64,
    parts: u32,
    feedback: f64,
    ohm: f64,
}

/// Everything there is, by plain loops; the gain by the balanced formula of the circuit.
fn everything(wanted: &Wanted) -> Vec<Found> {
    let values = wanted.stock.values();
    let mut picks: Vec<(f64, u32)> = values.iter().map(|&ohm| (ohm, 1)).collect();
    if wanted.pairs {
        for (i, &a) in values.iter().enumerate() {
            for &b in &values[i..] {
                picks.push((a + b, 2));
                picks.push((1.0 / (1.0 / a + 1.0 / b), 2));
            }
        }
    }
    let g = wanted.gain;
    let mut found = Vec::new();
    for &feedback in values.iter().filter(|ohm| (10e3..=100e3).contains(*ohm)) {
        let (base, constant) = match wanted.topology {
            Topology::ThreeOpAmp => (wanted.stage_two_gain, 2.0 * feedback * wanted.stage_two_gain),
            Topology::TwoOpAmp if g < 2.0 => ((g + 1.0) / 2.0, 2.0 * feedback),
            Topology::TwoOpAmp => (2.0, 2.0 * feedback),
            _ => (0.0, feedback),
        };
        let exact = constant / (g - base);
        if !(1.0..=10e6).contains(&exact) {
            continue;
        }
        for &(ohm, parts) in picks.iter().filter(|(ohm, _)| (1.0 - 1e-12..=10e6 * (1.0 + 1e-12)).contains(ohm)) {
            let error = (base + constant / ohm - g) / g;
            let held = match wanted.side {
                Side::Nearest => true,
                Side::AtLeast => error >= -1e-12,
                Side::AtMost => error <= 1e-12,
            };
            if held {
                found.push(Found { error: error.abs(), parts, feedback, ohm });
            }
        }
    }
    found
}

fn best(found: &[Found]) -> Found {
    let least = found.iter().fold(f64::INFINITY, |held, f| held.min(f.error));
    let mut equal: Vec<Found> = found.iter().filter(|f| f.error <= least + 1e-12).copied().collect();
    let away = |f: &Found| libm::log(f.feedback / 24.9e3).abs();
    equal.sort_by(|a, b| {
        a.parts.cmp(&b.parts).then(away(a).total_cmp(&away(b))).then_with(|| {
            if (a.ohm / b.ohm - 1.0).abs() < 1e-12 { std::cmp::Ordering::Equal } else { a.ohm.total_cmp(&b.ohm) }
        })
    });
    equal[0]
}

fn compare(wanted: &Wanted) {
    let mut all = everything(wanted);
    let found = sized(wanted);
    if all.is_empty() {
        assert!(found.choices.is_empty() && found.shortfall.is_some(), "{wanted:?}: nothing to find");
        return;
    }
    let count = all.len().min(5);
    let (brute, first) = (best(&all), found.choices[0]);
    let of = format!("{:?} {} {:?} pairs {}", wanted.topology, wanted.gain, wanted.side, wanted.pairs);
    assert!((first.error.abs() - brute.error).abs() <= 1e-12, "{of}: {} against {}", first.error, brute.error);
    assert_eq!(first.pick.parts_ohm().len(), brute.parts as usize, "{of}");
    assert_eq!(first.feedback_ohm, Some(brute.feedback), "{of}");
    assert!((first.pick.ohm().unwrap() / brute.ohm - 1.0).abs() < 1e-12, "{of}: {first:?} against {brute:?}");
    if all.len() > 5 {
        all.select_nth_unstable_by(5, |a, b| a.error.total_cmp(&b.error));
    }
    let all = &mut all[..count];
    all.sort_by(|a, b| a.error.total_cmp(&b.error));
    for (choice, next) in found.choices.iter().zip(all) {
        assert!((choice.error.abs() - next.error).abs() <= 2e-12, "{of}: {choice:?} against {next:?}");
    }
    assert_eq!(found.choices.len(), count, "{of}");
}

fn targets() -> impl Iterator<Item = f64> {
    let round = [1.2, 1.5, 2.5, 3.0, 5.0, 8.0, 10.0, 16.0, 20.0, 25.0, 33.0, 50.0, 64.0, 100.0, 128.0, 250.0, 1000.0];
    let odd = (0..24).map(|k| 1.1 * libm::pow(1.45, f64::from(k)));
    round.into_iter().chain(odd)
}

const SIDES: [Side; 3] = [Side::Nearest, Side::AtLeast, Side::AtMost];

fn sweep(stock: &Stock, pairs: bool, sides: &[Side], every: usize) {
    for topology in [Topology::ThreeOpAmp, Topology::TwoOpAmp, Topology::Difference] {
        for gain in targets().step_by(every) {
            for &side in sides {
                let mut question = wanted(topology, gain, stock.clone());
                question.pairs = pairs;
                question.side = side;
                question.tolerance = 0.0;
                compare(&question);
            }
        }
    }
}

#[test]
fn singles_of_every_series() {
    for one in Series::ALL {
        let (sides, every) = if one < Series::E96 { (&SIDES[..], 1) } else { (&SIDES[..1], 4) };
        sweep(&series(one), false, sides, every);
    }
}

#[test]
fn pairs_of_e12_on_every_side() {
    sweep(&series(Series::E12), true, &SIDES, 1);
}

#[test]
fn pairs_of_e24() {
    sweep(&series(Series::E24), true, &[Side::Nearest], 5);
}

#[test]
fn pairs_from_a_drawer() {
    let drawer = Stock::new([10.0, 22.0, 47.0, 100.0, 330.0, 499.0, 1e3, 2.2e3, 12e3, 24.9e3, 47e3, 1e6]).unwrap();
    sweep(&drawer, true, &SIDES, 1);
}

#[test]
fn a_stage_behind_counts_as_given() {
    for stage_two_gain in [0.5, 2.0, 3.3] {
        for gain in targets().filter(|gain| *gain > stage_two_gain) {
            let mut question = wanted(Topology::ThreeOpAmp, gain, series(Series::E24));
            question.stage_two_gain = stage_two_gain;
            compare(&question);
        }
    }
}
