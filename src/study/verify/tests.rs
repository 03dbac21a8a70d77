use super::*;
use crate::designator::{Amp, Designator, Ohms, Topology};
use crate::part::OpAmp;
use crate::stage::{Circuit, Surroundings};
use crate::{predict, topology};
use std::collections::BTreeMap;

/// Numbers drawn for a simulated bench: splitmix64, and the normal distribution by Box and Muller's way.
struct Draw(u64);

impl Draw {
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }
    fn normal(&mut self) -> f64 {
        let (u, v) = (1.0 - self.uniform(), self.uniform());
        (-2.0 * libm::log(u)).sqrt() * libm::cos(2.0 * std::f64::consts::PI * v)
    }
}

/// A board off its nominal values: the truth of the simulated bench.
fn board() -> (f64, f64) {
    use Designator::{R1, R2, R3, R4, RF1, RF2, RG};
    let ohms: Ohms =
        [(RG, 499.2), (RF1, 24_890.0), (RF2, 24_905.0), (R1, 10_001.0), (R2, 9_999.0), (R3, 9_998.0), (R4, 10_002.0)]
            .into_iter()
            .collect();
    let opamp = OpAmp { open_loop_gain: Some(1e6), ..OpAmp::default() };
    let circuit = Circuit {
        topology: Topology::ThreeOpAmp,
        chip: None,
        ohms,
        opamps: [Amp::A1, Amp::A2, Amp::A3].map(|amp| (amp, opamp.clone())).into_iter().collect::<BTreeMap<_, _>>(),
        surroundings: Surroundings::default(),
    };
    let gains = predict::gains::<f64>(&topology::build(&circuit).expect("wired"), 0.0).expect("solved");
    (gains.differential, gains.common)
}

const REFERENCE: f64 = 2.5;
const OFFSET: f64 = 30e-6;

fn bench(draw: &mut Draw, (gain, common): (f64, f64), u: f64, stated: bool, shared: f64) -> Vec<Reading> {
    let signals = [(0.0, 2.5), (-0.018, 2.5), (0.018, 2.5), (0.0, 1.5), (0.0, 3.5)];
    let zero = shared * draw.normal();
    let one = |&(difference, common_mode): &(f64, f64)| {
        let truth = REFERENCE + gain * (difference + OFFSET) + common * (common_mode - REFERENCE);
        let errors = |u: f64| ReadingErrors { output_v: u, ..ReadingErrors::default() };
        Reading {
            inputs: Inputs::Wires {
                positive_v: common_mode + difference / 2.0,
                negative_v: common_mode - difference / 2.0,
            },
            output_v: truth + zero + u * draw.normal(),
            own: errors(if stated { u } else { 0.0 }),
            shared: errors(shared),
        }
    };
    signals.iter().chain(signals.iter().rev()).map(one).collect()
}

/// Share of runs in which the intervals of gain, offset and `A_cm/A_d` cover the truth.
fn coverage(u: f64, stated: bool, shared: f64) -> [f64; 3] {
    const RUNS: u32 = 10_000;
    let truth = board();
    let mut draw = Draw(7);
    let mut hits = [0_u32; 3];
    for _ in 0..RUNS {
        let readings = bench(&mut draw, truth, u, stated, shared);
        let bench = Bench::of(&readings, REFERENCE).expect("a fit");
        let figures = Figures::of(&bench.fit, bench.common);
        let ratio = figures.ratio.expect("the common mode varies");
        let all = [(figures.gain, truth.0), (figures.offset, OFFSET), (ratio, truth.1 / truth.0)];
        for (hit, (estimate, truth)) in hits.iter_mut().zip(all) {
            *hit += u32::from((estimate.value - truth).abs() <= estimate.expanded);
        }
    }
    hits.map(|hit| f64::from(hit) / f64::from(RUNS))
}

#[test]
fn a_simulated_bench_is_covered_in_95_of_100_runs() {
    for (u, stated, shared) in [(200e-6, false, 0.0), (200e-6, true, 0.0), (200e-6, true, 1e-3), (200e-6, false, 1e-3)]
    {
        for share in coverage(u, stated, shared) {
            assert!((share - 0.95).abs() <= 0.01, "{share} with {u} {stated} {shared}");
        }
    }
}

#[test]
fn the_same_readings_without_their_errors_give_the_board_back() {
    let (gain, common) = board();
    let readings = bench(&mut Draw(1), (gain, common), 0.0, false, 0.0);
    let bench = Bench::of(&readings, REFERENCE).expect("a fit");
    let figures = Figures::of(&bench.fit, bench.common);
    let ratio = figures.ratio.expect("the common mode varies").value;
    assert!((figures.gain.value / gain - 1.0).abs() < 1e-12);
    assert!((figures.offset.value / OFFSET - 1.0).abs() < 1e-9);
    assert!((ratio / (common / gain) - 1.0).abs() < 1e-6);
}

/// Two-level rejection: G = 100, 20 V of common mode, 2.00 mV at the output: 120.0 dB; 0.1 % of the step and
/// 0.25 % of the response make 8.686·√(0.001² + 0.0025²) = 0.023 dB (usual bench procedure, from memory).
#[test]
fn two_level_rejection() {
    let reading = |differential_v: f64, common_mode: f64, output_v: f64, u: [f64; 3]| Reading {
        inputs: Inputs::Modes { differential_v, common_mode_v: Some(common_mode) },
        output_v,
        own: ReadingErrors { first_v: u[0], second_v: u[1], output_v: u[2] },
        shared: ReadingErrors::default(),
    };
    let (step, response) = (0.001 * 20.0 / 2.0_f64.sqrt(), 0.0025 * 2e-3 / 2.0_f64.sqrt());
    let readings = [
        reading(0.0, -10.0, -1e-3, [0.0, step, response]),
        reading(0.0, 10.0, 1e-3, [0.0, step, response]),
        reading(-0.01, 0.0, -1.0, [0.0, 0.0, 1e-9]),
        reading(0.01, 0.0, 1.0, [0.0, 0.0, 1e-9]),
    ];
    let bench = Bench::of(&readings, 0.0).expect("a fit");
    let ratio = Figures::of(&bench.fit, true).ratio.expect("told");
    let db = rejection::decibels(1.0 / ratio.value.abs()).expect("bounded");
    assert!((db - 120.0).abs() < 1e-6, "{db}");
    let u_db = 20.0 / std::f64::consts::LN_10 * ratio.standard / ratio.value.abs();
    assert!((u_db - 0.023).abs() < 5e-4, "{u_db}");
}

#[test]
fn an_interval_that_holds_zero_leaves_a_lower_bound() {
    let estimate = |value: f64, expanded: f64| Estimate { value, standard: expanded / 2.0, freedom: 10.0, expanded };
    let open = held_rejection(estimate(1e-6, 9e-6), Some(110.0));
    assert!(open.high.is_none() && (open.low.expect("bounded") - 100.0).abs() < 1e-9);
    assert_eq!(open.verdict, Standing::Undecided);
    assert_eq!(held_rejection(estimate(1e-6, 9e-6), Some(99.0)).verdict, Standing::Within);
    assert_eq!(held_rejection(estimate(1e-4, 1e-6), Some(99.0)).verdict, Standing::Outside);
    assert_eq!(held_rejection(estimate(0.0, 0.0), None).verdict, Standing::Within);
}
