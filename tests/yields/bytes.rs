//! The same seed draws the same boards, by whatever means.
use crate::bench::{Case, effort, rejecting, three_op_amp};
use evenkeel::designator::Amp;
use evenkeel::network::Instructions;
use evenkeel::part::{Matched, OpAmp};
use evenkeel::yields::{DrawnLimit, Effort, TailWish, Temperature, halved, run, shares, tail};

/// Something of everything: a network, open-loop gain, a frequency, drawn temperatures.
fn rich() -> Case {
    let part = OpAmp {
        open_loop_gain: Some(1e6),
        gain_bandwidth_hz: Some(1e6),
        gain_bandwidth_tolerance: 0.3,
        rejection_corner_hz: Some(1e3),
        ..rejecting(1e5)
    };
    let mut rich = three_op_amp().every(0.001).gain_error(0.0012).rejection(5e4).at_interference(1e3, 2e4);
    for amp in [Amp::A1, Amp::A2, Amp::A3] {
        rich = rich.opamp(amp, part.clone());
    }
    for grade in rich.lot.grades.values_mut() {
        grade.tempco_per_k = 25e-6;
    }
    rich.lot.reach_k = 45.0;
    rich.lot.networks = vec![Matched {
        members: vec!["R1".parse().unwrap(), "R2".parse().unwrap()],
        match_fraction: 2e-4,
        match_tempco_per_k: 2e-6,
        grade: None,
    }];
    rich.temperature = Temperature::Uniform { low_k: -45.0, high_k: 40.0 };
    rich
}

#[test]
fn threads_and_instructions_change_no_byte() {
    for case in [rich(), rich().normal()] {
        case.ask(|problem| {
            let ask = |effort: &Effort| {
                let wish =
                    TailWish { limit: DrawnLimit::Rejection, possible: true, certain: true, boards: 0, missing: 0 };
                let small = Effort { boards: 70_000, ..*effort };
                (
                    run(problem, effort, &mut |_| true).unwrap(),
                    shares(problem, effort).unwrap(),
                    halved(problem, &[vec!["RG".to_owned()], vec!["A1".to_owned()]], &small).unwrap(),
                    tail(problem, &wish, effort).unwrap(),
                )
            };
            let plain = Effort { instructions: Instructions::Baseline, ..effort(300_001) };
            let first = ask(&plain);
            assert!(first.0.pass > 0 && first.0.pass < first.0.boards, "{}", first.0.pass);
            let mut tried = 0;
            for instructions in Instructions::ALL.into_iter().filter(|set| set.is_there()) {
                for threads in 1..=3 {
                    assert!(ask(&Effort { threads, instructions, ..plain }) == first, "{threads}, {instructions:?}");
                    tried += 1;
                }
            }
            assert!(tried >= 3);
            assert_ne!(ask(&Effort { seed: 2, ..plain }).0, first.0, "another seed draws other boards");
        });
    }
}

/// The run ends when it is told to, and says how many boards it has drawn.
#[test]
fn a_run_can_be_ended() {
    let case = three_op_amp().every(0.001).gain_error(0.001);
    for threads in [1, 2] {
        let effort = Effort { threads, ..effort(100_000_000_000) };
        let mut heard = Vec::new();
        let tally = case.ask(|problem| {
            run(problem, &effort, &mut |done| {
                heard.push(done);
                heard.len() < 3
            })
            .unwrap()
        });
        assert_eq!(heard.len(), 3);
        assert!(tally.boards >= 3 * 65_536 && tally.boards < effort.boards, "{}", tally.boards);
        assert!(heard.is_sorted() && heard[2] <= tally.boards);
    }
}
