//! Boards a second, beside a pivoted factorisation of every board; every line is `name value`, millions a second.
//!
//! Variants are run in turn and medians of five told: only ratios within one run mean anything.
#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "a bench: a fault in it ends it")]
use evenkeel::designator::{Amp, Designator, Ohms, Topology};
use evenkeel::network::Instructions;
use evenkeel::part::{Grade, OpAmp};
use evenkeel::stage::{Circuit, Lot, Stage, Surroundings};
use evenkeel::yields::{Bounds, Effort, Problem, Shape, Temperature, run};
use nalgebra::{DMatrix, DVector};
use std::collections::BTreeMap;
use std::time::Instant;

fn stage(opamp: &OpAmp, reference_resistance_ohm: f64) -> Stage {
    let names = [("RF1", 24.9e3), ("RF2", 24.9e3), ("RG", 499.0), ("R1", 1e4), ("R2", 1e4), ("R3", 1e4), ("R4", 1e4)];
    let ohms: Ohms = names.into_iter().map(|(name, ohm)| (name.parse::<Designator>().unwrap(), ohm)).collect();
    let opamps: BTreeMap<Amp, OpAmp> = [Amp::A1, Amp::A2, Amp::A3].map(|amp| (amp, opamp.clone())).into();
    let surroundings = Surroundings { reference_resistance_ohm, ..Surroundings::default() };
    evenkeel::topology::build(&Circuit { topology: Topology::ThreeOpAmp, ohms, opamps, chip: None, surroundings })
        .unwrap()
}

fn lot() -> Lot {
    let grade = Grade { tolerance: 1e-3, tempco_per_k: 0.0 };
    Lot { grades: Designator::ALL.into_iter().map(|name| (name, grade)).collect(), ..Lot::default() }
}

fn problem<'a>(stage: &'a Stage, lot: &'a Lot, shape: Shape) -> Problem<'a> {
    let gain = 1.0 + 2.0 * 24.9e3 / 499.0;
    Problem {
        stage,
        lot,
        shape,
        temperature: Temperature::Limit,
        target_gain: gain,
        gain_span: (gain * 0.994, gain * 1.006),
        bounds: Bounds { gain_error: Some(1e-3), rejection: Some(1e5), ..Bounds::default() },
    }
}

fn rate(problem: &Problem<'_>, boards: u64, threads: usize, instructions: Instructions) -> f64 {
    let effort = Effort { boards, seed: 1, threads, instructions };
    let started = Instant::now();
    let tally = std::hint::black_box(run(problem, &effort, &mut |_| true).unwrap());
    tally.boards as f64 / started.elapsed().as_secs_f64() / 1e6
}

/// Eight unknowns, LU with partial pivoting, two right-hand sides; resistors and op amps drawn by a
/// cheap generator.
fn factorised(boards: u64, threads: u64) -> f64 {
    let started = Instant::now();
    std::thread::scope(|scope| {
        for thread in 0..threads {
            scope.spawn(move || std::hint::black_box(pivoted(boards / threads, thread)));
        }
    });
    boards as f64 / started.elapsed().as_secs_f64() / 1e6
}

fn pivoted(boards: u64, seed: u64) -> u64 {
    let mut state = seed + 1;
    let mut draw = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1_u64 << 52) as f64 - 1.0
    };
    let (mut pass, a) = (0, 1e-6);
    for _ in 0..boards {
        let g = [24.9e3, 24.9e3, 499.0, 1e4, 1e4, 1e4, 1e4].map(|ohm| 1.0 / (ohm * (1.0 + 1e-3 * draw())));
        let c = [0; 3].map(|_| 1e-5 * draw());
        // n1 n2 o1 o2 n3 p3 out ref
        let mut m = DMatrix::<f64>::zeros(8, 8);
        let mut tie = |a: usize, b: usize, g: f64| {
            m[(a, a)] += g;
            m[(a, b)] -= g;
            m[(b, b)] += g;
            m[(b, a)] -= g;
        };
        tie(0, 2, g[0]);
        tie(1, 3, g[1]);
        tie(0, 1, g[2]);
        tie(2, 4, g[3]);
        tie(4, 6, g[4]);
        tie(3, 5, g[5]);
        tie(5, 7, g[6]);
        m[(7, 7)] += 1.0 / 0.05;
        for row in [2, 3, 6] {
            m.row_mut(row).fill(0.0);
        }
        m[(2, 2)] = -a;
        m[(2, 0)] = -1.0 + c[0] / 2.0;
        m[(3, 3)] = -a;
        m[(3, 1)] = -1.0 + c[1] / 2.0;
        m[(6, 6)] = -a;
        m[(6, 5)] = 1.0 + c[2] / 2.0;
        m[(6, 4)] = -1.0 + c[2] / 2.0;
        let lu = m.lu();
        let out = |n: f64, p: f64| {
            let mut rhs = DVector::<f64>::zeros(8);
            rhs[2] = -(1.0 + c[0] / 2.0) * n;
            rhs[3] = -(1.0 + c[1] / 2.0) * p;
            lu.solve(&rhs).map_or(f64::NAN, |x| x[6])
        };
        let (differential, common) = (out(-0.5, 0.5), out(1.0, 1.0));
        pass += u64::from((differential / 100.799_6 - 1.0).abs() <= 1e-3 && differential.abs() >= 1e5 * common.abs());
    }
    pass
}

fn main() {
    let boards: u64 = std::env::args().filter_map(|arg| arg.parse().ok()).next().unwrap_or(10_000_000);
    let ideal = stage(&OpAmp { rejection: Some(1e5), ..OpAmp::default() }, 0.0);
    let finite = stage(&OpAmp { rejection: Some(1e5), open_loop_gain: Some(1e6), ..OpAmp::default() }, 0.05);
    let lot = lot();
    let mut lines: BTreeMap<String, Vec<f64>> = BTreeMap::new();
    let best = Instructions::best();
    for _ in 0..5 {
        for (name, stage) in [("ideal", &ideal), ("finite", &finite)] {
            for shape in [Shape::Uniform, Shape::Normal] {
                let problem = problem(stage, &lot, shape);
                for threads in [1, 2] {
                    let key = format!("{name} {} {threads}", shape.name());
                    lines.entry(key).or_default().push(rate(&problem, boards, threads, best));
                }
            }
        }
        let problem = problem(&ideal, &lot, Shape::Uniform);
        for set in Instructions::ALL.into_iter().filter(|set| set.is_there()) {
            lines.entry(format!("ideal uniform 1 {set:?}")).or_default().push(rate(&problem, boards / 4, 1, set));
        }
        for threads in [1, 2] {
            lines.entry(format!("pivoted {threads}")).or_default().push(factorised(boards / 50, threads));
        }
    }
    for (name, mut rates) in lines {
        rates.sort_by(f64::total_cmp);
        println!("{name} {:.3}", rates[rates.len() / 2]);
    }
}
