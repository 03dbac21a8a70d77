//! Shares that can be written down.
use crate::bench::{case, effort, rejecting, three_op_amp};
use evenkeel::designator::{Amp, Topology};
use evenkeel::part::{Matched, OpAmp, Rails};
use evenkeel::predict::{Rectangle, Supplies, terminals};
use evenkeel::yields::{Headroom, QUANTILES, Temperature};
use statrs::distribution::{ContinuousCDF, Normal};

fn difference() -> crate::bench::Case {
    case(Topology::Difference, &[("R1", 1e4), ("R2", 1e5), ("R3", 1e4), ("R4", 1e5)])
}

/// Share of a normal distribution cut at three sigma within so much of the bound.
fn within(share: f64) -> f64 {
    let normal = Normal::standard();
    (2.0 * normal.cdf(3.0 * share) - 1.0) / (2.0 * normal.cdf(3.0) - 1.0)
}

/// With R2 of a difference stage alone, `A_d = (R2 + R4 (R1 + R2)/(R3 + R4) )/(2 R1)`: a straight line
/// in R2 whose slope is `(1 + R4/(R3 + R4))/(2 R1)`, 21/22 of the whole. Evenly drawn, the share
/// within a limit is their ratio.
#[test]
fn one_resistor_spreads_as_it_is_drawn() {
    let slope = 21.0 / 22.0;
    let one = difference().grade("R2", 0.01, 0.0);
    one.clone().gain_error(0.004).passes(0.4 / slope);
    one.clone().normal().gain_error(0.004).passes(within(0.4 / slope));
    one.clone().gain_error(0.02).passes(1.0);
    // R1 of the input stage: gain 1 + (RF1 + RF2)/RG moves with RF1 by half of 100/101.
    let feedback = three_op_amp().grade("RF1", 0.02, 0.0);
    feedback.clone().gain_error(0.005).passes(0.5 / (100.0 / 101.0));
}

/// Quantiles of an even spread, to a thousandth of it (figures.md, section 13) and five standard errors.
#[test]
fn quantiles_of_one_resistor() {
    let tally = difference().grade("R2", 0.01, 0.0).draw(&effort(1_000_000));
    let histogram = difference().grade("R2", 0.01, 0.0).ask(|problem| tally.gain_errors(problem));
    for p in QUANTILES {
        let exact = (2.0 * p - 1.0) * 0.01 * 21.0 / 22.0;
        let error = 5.0 * (p * (1.0 - p) / 1e6).sqrt() * 0.02 + 2e-5;
        assert!((histogram.quantile(p) - exact).abs() < error, "{p}: {} against {exact}", histogram.quantile(p));
    }
}

/// figures.md, section 15: op amps' part of the rejection is `-c1 + c2`. One of them evenly drawn: the
/// share is a ratio; two: a triangle.
#[test]
fn op_amps_of_the_first_stage() {
    let one = three_op_amp().opamp(Amp::A1, rejecting(1e6)).rejection(4e6);
    one.passes(0.25);
    one.clone().normal().passes(within(0.25));
    let both = three_op_amp().opamp(Amp::A1, rejecting(1e6)).opamp(Amp::A2, rejecting(1e6)).rejection(1e6);
    both.passes(1.0 - 0.25);
    // Quantiles of the rejection: |c| is even, so that a share p of the boards rejects less than 1/((1 - p) c).
    let histogram = one.draw(&effort(1_000_000)).rejections();
    for p in QUANTILES {
        let exact = 120.0 - 20.0 * libm::log10(1.0 - p);
        let error = 5.0 * (p * (1.0 - p) / 1e6).sqrt() / (1.0 - p) * 8.686 + 0.02;
        assert!((histogram.quantile(p) - exact).abs() < error, "{p}: {} against {exact}", histogram.quantile(p));
    }
}

/// Open-loop gain is drawn evenly whatever the shape: `1/A1 - 1/A2` with only A1 finite.
#[test]
fn open_loop_gain_is_drawn_evenly() {
    let finite = OpAmp { open_loop_gain: Some(1e6), ..OpAmp::default() };
    let one = three_op_amp().opamp(Amp::A1, finite).rejection(4e6);
    one.passes(0.25);
    one.normal().passes(0.25);
}

/// At a frequency the common-mode error of an op amp is `c (1 + j f/f_c)`.
#[test]
fn rejection_at_a_frequency() {
    let part = OpAmp { rejection: Some(1e6), rejection_corner_hz: Some(100.0), ..OpAmp::default() };
    let one = three_op_amp().opamp(Amp::A2, part);
    let grown = f64::sqrt(1.0 + 3.0 * 3.0);
    one.clone().at_interference(300.0, 1e6).passes(1.0 / grown);
    one.clone().normal().at_interference(300.0, 1e6).passes(within(1.0 / grown));
    // Both limits on one number: the tighter one decides.
    let tally = one.at_interference(300.0, 1e6).rejection(1.5e6).draw(&effort(400_000));
    assert_eq!(tally.pass, tally.by_limit[2]);
    assert!((tally.by_limit[1] as f64 / tally.boards as f64 - 1.0 / 1.5).abs() < 4e-3);
}

/// Tempco alone at a temperature drawn evenly between calibration and the limit: with u and τ even,
/// `P(|u| τ < t) = t (1 - ln t)`. At the limit it is t.
#[test]
fn temperature_drawn_or_at_its_limit() {
    let mut one = difference().grade("R2", 0.0, 100e-6);
    one.lot.reach_k = 50.0;
    let t = 0.3;
    one = one.gain_error(t * 50.0 * 100e-6 * 21.0 / 22.0);
    one.passes(t);
    one.temperature = Temperature::Uniform { low_k: 0.0, high_k: 50.0 };
    one.passes(t * (1.0 - libm::log(t)));
    // Both sides of the calibration, one twice as far: the shares average.
    one.temperature = Temperature::Uniform { low_k: -25.0, high_k: 50.0 };
    let half = 2.0 * t * (1.0 - libm::log(2.0 * t));
    one.passes((t * (1.0 - libm::log(t)) * 2.0 + half) / 3.0);
}

/// A network's common factor moves no ratio; its match moves R2 against R1 by half the match each.
#[test]
fn networks_keep_their_ratios() {
    let mut whole = difference().every(0.05).gain_error(1e-9);
    whole.lot.networks = vec![Matched {
        members: whole.circuit.ohms.clone().present().map(|(name, _)| name).collect(),
        match_fraction: 0.0,
        match_tempco_per_k: 0.0,
        grade: None,
    }];
    whole.passes(1.0);
    // R2 and R4 of a network with R1 and R3 perfect: the common factor moves the gain by itself.
    let mut outer = difference().grade("R2", 0.01, 0.0).grade("R4", 0.01, 0.0).gain_error(0.004);
    outer.lot.networks = vec![Matched {
        members: vec!["R2".parse().unwrap(), "R4".parse().unwrap()],
        match_fraction: 0.0,
        match_tempco_per_k: 0.0,
        grade: None,
    }];
    outer.passes(0.4);
}

/// Output of a difference stage at 10 times 0.4 V, 0.98 of its room taken up: R2 decides whether it fits.
#[test]
fn headroom_is_drawn() {
    let rails = Some(Rails { from_negative_v: 0.0, from_positive_v: 0.0 });
    let part = OpAmp { output_swing: rails, input_range: rails, ..OpAmp::default() };
    let mut one = difference().grade("R2", 0.01, 0.0).opamp(Amp::A1, part);
    let stage = evenkeel::topology::build(&one.circuit).unwrap();
    one.bounds.headroom = Some(Headroom {
        least_v: 1.0 - 0.4 * 10.0 * 0.004 * 21.0 / 22.0,
        terminals: terminals(&stage, Supplies { positive_v: 5.0, negative_v: -5.0 }),
        signals: Rectangle { common_mode_v: (0.0, 0.0), differential_v: (-0.4, 0.4) },
        reference_v: 0.0,
    });
    // Only too much gain leaves the range: half of the spread and 0.4 of the other half pass.
    one.passes(0.7);
}

/// Nothing varies: every board is the nominal one.
#[test]
fn without_tolerance_all_or_none_pass() {
    three_op_amp().gain_error(1e-6).passes(1.0);
    let mut off = three_op_amp().rejection(1e6);
    off.circuit.ohms.set("R2".parse().unwrap(), Some(10_010.0));
    off.passes(0.0);
    three_op_amp().rejection(1e9).passes(1.0);
}

/// More boards than one chunk and fewer than one block count alike.
#[test]
fn any_number_of_boards() {
    let one = three_op_amp().every(0.001).gain_error(0.001).rejection(1e4);
    for boards in [1, 31, 33, 65_535, 65_537, 200_001] {
        let tally = one.draw(&effort(boards));
        assert_eq!(tally.boards, boards);
        let counted = one.ask(|problem| tally.gain_errors(problem).total());
        assert_eq!((counted, tally.rejections().total()), (boards, boards));
    }
    assert!(one.draw(&effort(31)).pass <= 31);
    assert!(one.draw(&effort(200_001)).pass > 0);
}
