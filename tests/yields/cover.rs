//! How often the interval holds the truth, and laws on common draws.
use crate::bench::{Case, case, effort, rejecting, three_op_amp};
use evenkeel::designator::{Amp, Topology};
use evenkeel::part::Matched;
use evenkeel::yields::{Effort, clopper_pearson, halved};

/// 95 % at least, and not many more: exact intervals are a little wide. The truth is known (one resistor,
/// evenly drawn); 400 seeds, so that 93 to 98.5 % lie within four standard errors. The bench
/// `coverage` does the same for 1000 seeds of 100 000 boards.
#[test]
fn the_interval_holds_the_truth_as_often_as_it_says() {
    let truth = 0.9;
    let one = case(Topology::Difference, &[("R1", 1e4), ("R2", 1e5), ("R3", 1e4), ("R4", 1e5)])
        .grade("R2", 0.01, 0.0)
        .gain_error(truth * 0.01 * 21.0 / 22.0);
    let held = (0..400)
        .filter(|&seed| {
            let tally = one.draw(&Effort { seed, ..effort(5_000) });
            let interval = clopper_pearson(tally.pass, tally.boards);
            interval.low <= truth && truth <= interval.high
        })
        .count();
    assert!((372..=394).contains(&held), "{held} of 400");
}

fn ordinary() -> Case {
    let amps = [Amp::A1, Amp::A2, Amp::A3];
    let case = three_op_amp().every(0.001).gain_error(0.0012).rejection(3e4);
    amps.into_iter().fold(case, |case, amp| case.opamp(amp, rejecting(1e5)))
}

/// Better parts never cost yield, on the same draws.
#[test]
fn halving_a_tolerance_never_lowers_the_yield() {
    for case in [ordinary(), ordinary().normal()] {
        let groups: Vec<Vec<String>> =
            ["RF1", "RF2", "RG", "R1", "R2", "R3", "R4", "A1", "A2", "A3"].map(|name| vec![name.to_owned()]).to_vec();
        let all = vec![groups.concat()];
        let found = case.ask(|problem| halved(problem, &[groups.clone(), all].concat(), &effort(200_000)).unwrap());
        assert_eq!(found.boards, 200_000);
        assert!(found.pass > 20_000 && found.pass < 199_000, "{}", found.pass);
        for (at, group) in groups.iter().enumerate() {
            assert!(found.moved(at) >= 0.0, "{group:?}: {} of {}", found.pass_halved[at], found.pass);
        }
        assert!(found.pass_halved[groups.len()] > found.pass);
        // What is drawn first is what `run` draws first.
        assert_eq!(case.draw(&effort(200_000)).pass, found.pass);
    }
}

/// Halved tolerances are those of the lot with halved tolerances.
#[test]
fn halving_is_what_the_lot_would_say() {
    let mut better = ordinary();
    for grade in better.lot.grades.values_mut() {
        grade.tolerance /= 2.0;
    }
    let group = ["RF1", "RF2", "RG", "R1", "R2", "R3", "R4"].map(str::to_owned).to_vec();
    let found = ordinary().ask(|problem| halved(problem, &[group], &effort(100_000)).unwrap());
    assert_eq!(better.draw(&effort(100_000)).pass, found.pass_halved[0]);
}

/// The order of parts changes which number goes to which part, and nothing else.
#[test]
fn the_order_of_parts_is_nothing_but_another_draw() {
    let with = |names: [&str; 4]| {
        let mut case = ordinary();
        case.lot.networks = vec![Matched {
            members: names.map(|name| name.parse().unwrap()).to_vec(),
            match_fraction: 1e-3,
            match_tempco_per_k: 0.0,
            grade: None,
        }];
        let tally = case.draw(&effort(400_000));
        tally.pass as f64 / tally.boards as f64
    };
    let (one, other) = (with(["R1", "R2", "R3", "R4"]), with(["R4", "R2", "R1", "R3"]));
    assert!(one > 0.05 && one < 0.95 && one != other);
    assert!((one - other).abs() < 5.0 * (2.0 * one * (1.0 - one) / 4e5).sqrt(), "{one} and {other}");
}
