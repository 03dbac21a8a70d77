//! How often the 95 % interval holds a truth that can be written down: 1000 seeds of 100 000 boards.
#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "a bench: a fault in it ends it")]
use evenkeel::designator::{Designator, Ohms, Topology};
use evenkeel::network::Instructions;
use evenkeel::part::Grade;
use evenkeel::stage::{Circuit, Lot, Surroundings};
use evenkeel::yields::{Bounds, Effort, Problem, Shape, Temperature, clopper_pearson, run};
use std::collections::BTreeMap;

fn main() {
    let names = [("R1", 1e4), ("R2", 1e5), ("R3", 1e4), ("R4", 1e5)];
    let ohms: Ohms = names.into_iter().map(|(name, ohm)| (name.parse::<Designator>().unwrap(), ohm)).collect();
    let (opamps, surroundings) = (BTreeMap::new(), Surroundings::default());
    let circuit = Circuit { topology: Topology::Difference, ohms, opamps, chip: None, surroundings };
    let stage = evenkeel::topology::build(&circuit).unwrap();
    let grade = Grade { tolerance: 0.01, tempco_per_k: 0.0 };
    let lot = Lot { grades: [("R2".parse::<Designator>().unwrap(), grade)].into(), ..Lot::default() };
    for truth in [0.5, 0.9, 0.99] {
        let problem = Problem {
            stage: &stage,
            lot: &lot,
            shape: Shape::Uniform,
            temperature: Temperature::Limit,
            target_gain: 10.0,
            gain_span: (9.9, 10.1),
            // The gain moves by 21/22 of R2.
            bounds: Bounds { gain_error: Some(truth * 0.01 * 21.0 / 22.0), ..Bounds::default() },
        };
        let held = (0..1000)
            .filter(|&seed| {
                let effort = Effort { boards: 100_000, seed, threads: 2, instructions: Instructions::best() };
                let tally = run(&problem, &effort, &mut |_| true).unwrap();
                let interval = clopper_pearson(tally.pass, tally.boards);
                interval.low <= truth && truth <= interval.high
            })
            .count();
        println!("coverage at {truth}: {:.1} %", held as f64 / 10.0);
    }
}
