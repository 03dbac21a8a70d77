//! Shares of the spread against plain differences of circuits that are built and solved anew.
use crate::bench::{effort, rejecting, three_op_amp};
use evenkeel::designator::Amp;
use evenkeel::predict;
use evenkeel::stage::Circuit;
use evenkeel::yields::{Shape, Temperature, shares};

fn gains(circuit: &Circuit) -> (f64, f64) {
    let stage = evenkeel::topology::build(circuit).unwrap();
    let gains = predict::gains::<f64>(&stage, 0.0).unwrap();
    (gains.differential, gains.common)
}

#[test]
fn shares_are_those_of_finite_differences() {
    let tolerances =
        [("RF1", 1e-3), ("RF2", 2e-3), ("RG", 5e-4), ("R1", 1e-3), ("R2", 1e-3), ("R3", 4e-3), ("R4", 1e-3)];
    let case = tolerances.iter().fold(three_op_amp(), |case, &(name, tolerance)| case.grade(name, tolerance, 0.0));
    let variance = |pick: fn((f64, f64)) -> f64| -> Vec<f64> {
        tolerances
            .iter()
            .map(|&(name, tolerance)| {
                let name = name.parse().unwrap();
                let with = |by: f64| {
                    let mut circuit = case.circuit.clone();
                    circuit.ohms.set(name, circuit.ohms.get(name).map(|ohm| ohm * (1.0 + by)));
                    pick(gains(&circuit))
                };
                let slope = (with(1e-5) - with(-1e-5)) / 2e-5;
                slope * slope * tolerance * tolerance
            })
            .collect()
    };
    let found = case.ask(|problem| shares(problem, &effort(0)).unwrap());
    for (pick, of) in [((|gains| gains.0) as fn((f64, f64)) -> f64, 0), ((|gains| gains.1) as fn((f64, f64)) -> f64, 1)]
    {
        let variance = variance(pick);
        let whole: f64 = variance.iter().sum();
        for (&(name, _), own) in tolerances.iter().zip(variance) {
            let line = found.iter().find(|line| line.part == name).unwrap();
            let share = if of == 0 { line.of_gain_variance } else { line.of_common_mode_variance };
            assert!((share - own / whole).abs() < 1e-6, "{name}, figure {of}: {share} against {}", own / whole);
        }
    }
}

/// `-c1 + c2` of two op amps, one three times as good: nine tenths and one tenth of the variance.
#[test]
fn op_amps_share_by_their_squares() {
    let case = three_op_amp().opamp(Amp::A1, rejecting(1e5)).opamp(Amp::A2, rejecting(3e5));
    for shape in [Shape::Uniform, Shape::Normal] {
        let mut case = case.clone();
        case.shape = shape;
        let found = case.ask(|problem| shares(problem, &effort(0)).unwrap());
        let share = |part: &str| found.iter().find(|line| line.part == part).unwrap().of_common_mode_variance;
        assert!((share("A1") - 0.9).abs() < 1e-6 && (share("A2") - 0.1).abs() < 1e-6, "{found:?}");
    }
}

/// Tolerance against tempco at an even temperature between calibration and 50 K away: the mean of τ² is
/// 1/3, so that 1e-3 of tolerance and 3e-3 of drift spread as 1 to 3.
#[test]
fn drawn_temperatures_weigh_the_tempco() {
    let mut case = three_op_amp().grade("RF1", 1e-3, 0.0).grade("RF2", 0.0, 60e-6);
    case.lot.reach_k = 50.0;
    case.temperature = Temperature::Uniform { low_k: 0.0, high_k: 50.0 };
    let found = case.ask(|problem| shares(problem, &effort(0)).unwrap());
    let share = |part: &str| found.iter().find(|line| line.part == part).unwrap().of_gain_variance;
    assert!((share("RF2") / share("RF1") - 3.0).abs() < 1e-6, "{found:?}");
    case.temperature = Temperature::Limit;
    let found = case.ask(|problem| shares(problem, &effort(0)).unwrap());
    let share = |part: &str| found.iter().find(|line| line.part == part).unwrap().of_gain_variance;
    assert!((share("RF2") / share("RF1") - 9.0).abs() < 1e-6, "{found:?}");
}
