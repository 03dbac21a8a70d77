//! The joint choice against plain loops on the same grid, as ratios of one run.
//!
//! `cargo bench --bench choice`
#![allow(clippy::print_stdout, clippy::unwrap_used, reason = "a bench prints and stops at what goes wrong")]
use evenkeel::designator::{Designator, Topology};
use evenkeel::series::Series;
use evenkeel::sizing::{First, PairTable, Rules, Stock, Wish, Wishes, rank, rank_with};
use evenkeel::textbook::WhiteNoise;
use std::collections::BTreeMap;
use std::hint::black_box;
use std::time::Instant;

const GAINS: [f64; 5] = [2.37, 11.3, 48.7, 123.4, 871.0];

/// Least |gain error| over RF and every series or parallel pair for RG: three loops.
fn plain(values: &[f64], gain: f64) -> f64 {
    let mut best = f64::INFINITY;
    for &rf in values {
        for (i, &a) in values.iter().enumerate() {
            for &b in &values[i..] {
                for rg in [a + b, a * b / (a + b)] {
                    let error = ((1.0 + 2.0 * rf / rg) / gain - 1.0).abs();
                    if error < best {
                        best = error;
                    }
                }
            }
        }
    }
    best
}

fn rules(values: &[f64]) -> Rules {
    let (low, high) = (values[0], values[values.len() - 1]);
    let mut range: BTreeMap<_, _> = [Designator::RF1, Designator::RF2].map(|name| (name, (low, high))).into();
    range.insert(Designator::RG, (low / 2.0, high * 2.0));
    Rules { stock: Stock::new(values.iter().copied()).unwrap(), pairs: true, range, fixed: BTreeMap::new() }
}

fn median(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

fn timed<T>(run: impl Fn() -> T) -> f64 {
    let start = Instant::now();
    black_box(run());
    start.elapsed().as_secs_f64()
}

fn main() {
    let noise = WhiteNoise { voltage: [0.0; 3], current: [0.0; 3], kelvin: 298.15 };
    let wishes = Wishes { equal: 0.0, first: First::Gain, noise };
    let values = Series::E192.ohms(100.0, 100e3);
    let rules_all = rules(&values);
    let table = PairTable::new(&values);
    println!("E192, three decades: {} values, {} pairs", values.len(), table.len());
    let (mut loops, mut once, mut kept) = (Vec::new(), Vec::new(), Vec::new());
    for gain in GAINS {
        let wish = Wish::new(Topology::ThreeOpAmp, gain);
        let best = plain(&values, gain);
        let ours = rank(&wish, &rules_all, &wishes, 1).unwrap()[0].error.abs();
        let with_table = rank_with(&wish, &rules_all, &wishes, 1, Some(&table)).unwrap()[0].error.abs();
        assert!((ours - best).abs() < 1e-12 && (with_table - best).abs() < 1e-12, "{gain}: {ours} {with_table} {best}");
        loops.push(timed(|| plain(&values, black_box(gain))));
        once.push(median((0..9).map(|_| timed(|| rank(&wish, &rules_all, &wishes, 1))).collect()));
        kept.push(median((0..9).map(|_| timed(|| rank_with(&wish, &rules_all, &wishes, 1, Some(&table)))).collect()));
    }
    let (loops, once, kept) = (median(loops), median(once), median(kept));
    println!("three loops          {:9.3} ms", loops * 1e3);
    println!("one-shot             {:9.3} ms, {:6.0} times", once * 1e3, loops / once);
    println!("table kept           {:9.3} ms, {:6.0} times", kept * 1e3, loops / kept);
    println!("growth of the one-shot choice with the number of pairs:");
    for series in [Series::E24, Series::E48, Series::E96, Series::E192] {
        let values = series.ohms(100.0, 100e3);
        let pairs = (values.len() * (values.len() + 1)) as f64;
        let rules = rules(&values);
        let time = median(
            GAINS
                .iter()
                .flat_map(|&gain| (0..9).map(move |_| gain))
                .map(|gain| timed(|| rank(&Wish::new(Topology::ThreeOpAmp, gain), &rules, &wishes, 1)))
                .collect(),
        );
        println!(
            "  {:5} {:8} pairs {:9.3} ms, {:6.3} ns for each N log2 N",
            series.name(),
            pairs as u64,
            time * 1e3,
            time * 1e9 / (pairs * libm::log2(pairs))
        );
    }
}
