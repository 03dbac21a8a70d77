//! Failure probabilities down to parts per million and far below, where they can be written down.
use crate::bench::{Case, effort, rejecting, three_op_amp};
use evenkeel::designator::Amp;
use evenkeel::yields::{DrawnLimit, Effort, Tail, TailWish, tail};

fn ask(case: &Case, limit: DrawnLimit, effort: &Effort) -> Tail {
    let wish = TailWish { limit, possible: true, certain: true, boards: 0, missing: 0 };
    case.ask(|problem| tail(problem, &wish, effort).unwrap())
}

/// Within four standard errors, trusted, and sharp.
#[track_caller]
fn holds(found: &Tail, exact: f64, sharp: f64) {
    let error = (found.high - found.low) / (2.0 * 1.96);
    assert!(found.trusted, "{found:?}");
    assert!((found.probability - exact).abs() < 4.0 * error + 1e-3 * exact, "{found:?} against {exact:e}");
    assert!(error < sharp * exact, "{found:?}: not sharp about {exact:e}");
}

/// Two op amps with even `c` of ±1e-7: their difference is a triangle, and the share beyond t is
/// `(1 - t/2b)²`, both signs together.
#[test]
fn two_even_spreads() {
    let both = three_op_amp().opamp(Amp::A1, rejecting(1e7)).opamp(Amp::A2, rejecting(1e7));
    for share in [0.1, 1e-2, 1e-3, 1e-4] {
        let limit = 1e7 / (2.0 * (1.0 - share));
        holds(&ask(&both.clone().rejection(limit), DrawnLimit::Rejection, &effort(0)), share * share, 0.02);
    }
}

/// `P(|x - y| > t)` of two normal numbers cut at three sigma, by integration; t in bounds.
fn two_cut_normals(t: f64) -> f64 {
    let whole = libm::erf(3.0 / std::f64::consts::SQRT_2);
    let density = |u: f64| libm::exp(-4.5 * u * u) * 3.0 / (2.0 * std::f64::consts::PI).sqrt() / whole;
    let above = |u: f64| {
        // P(x > u), 1/2 (erfc(3u/√2) - erfc(3/√2)) over the whole
        let tail = |z: f64| 0.5 * libm::erfc(3.0 * z / std::f64::consts::SQRT_2);
        if u >= 1.0 { 0.0 } else { (tail(u) - tail(1.0)) / whole }
    };
    // y runs from -1 to 1 - t.
    let steps = 200_000;
    let width = (2.0 - t) / f64::from(steps);
    let sum: f64 = (0..steps).map(|k| -1.0 + width * (f64::from(k) + 0.5)).map(|y| density(y) * above(y + t)).sum();
    2.0 * sum * width
}

#[test]
fn two_normal_spreads() {
    let both = three_op_amp().opamp(Amp::A1, rejecting(1e7)).opamp(Amp::A2, rejecting(1e7)).normal();
    let mut least: f64 = 1.0;
    for t in [0.5, 1.2, 1.6, 1.9, 1.98, 1.995] {
        let exact = two_cut_normals(t);
        least = least.min(exact);
        // The last half per cent before the corner is beyond what a tilted normal reaches with its mean.
        let sharp = if t > 1.97 { 0.1 } else { 0.02 };
        holds(&ask(&both.clone().rejection(1e7 / t), DrawnLimit::Rejection, &effort(0)), exact, sharp);
    }
    assert!(least < 1e-8, "{least:e}");
}

/// With RG open all three op amps weigh the same. The sum of three cut normal numbers, by two integrations.
#[test]
fn three_normal_spreads() {
    let whole = libm::erf(3.0 / std::f64::consts::SQRT_2);
    let density = |u: f64| libm::exp(-4.5 * u * u) * 3.0 / (2.0 * std::f64::consts::PI).sqrt() / whole;
    let steps = 4000;
    let width = 2.0 / f64::from(steps);
    let at = |k: i32| -1.0 + width * (f64::from(k) + 0.5);
    let two_above = |s: f64| {
        let above = |u: f64| {
            let tail = |z: f64| 0.5 * libm::erfc(3.0 * z / std::f64::consts::SQRT_2);
            if u >= 1.0 { 0.0 } else { (tail(u.max(-1.0)) - tail(1.0)) / whole }
        };
        (0..steps).map(at).map(|y| density(y) * above(s - y)).sum::<f64>() * width
    };
    let amps = [Amp::A1, Amp::A2, Amp::A3];
    let mut all = amps.into_iter().fold(three_op_amp(), |case, amp| case.opamp(amp, rejecting(1e7))).normal();
    all.circuit.ohms.set("RG".parse().unwrap(), None);
    let mut least: f64 = 1.0;
    for t in [1.4, 2.0, 2.6, 2.8, 2.93] {
        let exact = 2.0 * (0..steps).map(at).map(|y| density(y) * two_above(t - y)).sum::<f64>() * width;
        least = least.min(exact);
        holds(&ask(&all.clone().rejection(1e7 / t), DrawnLimit::Rejection, &effort(0)), exact, 0.03);
    }
    assert!(least < 1e-9, "{least:e}");
}

/// Against plain drawing where that can see it: one in ten thousand boards, all parts, within two
/// standard errors or so (3.5, so that the test is quiet).
#[test]
fn agrees_with_plain_drawing() {
    let amps = [Amp::A1, Amp::A2, Amp::A3];
    let all = amps.into_iter().fold(three_op_amp().every(0.001), |case, amp| case.opamp(amp, rejecting(1e5)));
    for (case, limit) in [
        (all.clone().normal().rejection(4.5e4), DrawnLimit::Rejection),
        (all.clone().normal().at_interference(50.0, 4.5e4), DrawnLimit::RejectionAtInterference),
        (all.clone().gain_error(0.0024), DrawnLimit::GainError),
    ] {
        let found = ask(&case, limit, &effort(0));
        let tally = case.draw(&Effort { threads: 2, ..effort(4_000_000) });
        let missed = (tally.boards - tally.by_limit[limit as usize]) as f64;
        let expected = found.probability * tally.boards as f64;
        let own = (found.high - found.low) / (2.0 * 1.96) * tally.boards as f64;
        assert!(found.trusted, "{found:?}");
        assert!(missed > 20.0, "{limit:?}: {missed} seen, {expected} expected");
        let error = (expected + own * own).sqrt();
        assert!((missed - expected).abs() < 3.5 * error, "{limit:?}: {missed} seen, {expected} ± {error} expected");
    }
}

/// Beyond the worst board of all the probability is 0, and nothing is drawn for it.
#[test]
fn nothing_lies_beyond_the_worst_board() {
    let both = three_op_amp().opamp(Amp::A1, rejecting(1e7)).opamp(Amp::A2, rejecting(1e7)).rejection(4.9e6);
    let wish = TailWish { limit: DrawnLimit::Rejection, possible: false, certain: true, boards: 0, missing: 0 };
    let found = both.ask(|problem| tail(problem, &wish, &effort(0)).unwrap());
    assert_eq!((found.probability, found.low, found.high, found.trusted), (0.0, 0.0, 0.0, true));
    // Asked all the same, sampling finds none and does not trust itself.
    let found = ask(&both, DrawnLimit::Rejection, &effort(0));
    assert_eq!(found.probability, 0.0);
    assert!(!found.trusted);
}

/// An estimate that plain drawing contradicts is not trusted.
#[test]
fn contradiction_is_told() {
    let both = three_op_amp().opamp(Amp::A1, rejecting(1e7)).opamp(Amp::A2, rejecting(1e7)).rejection(5.05e6);
    let wish =
        |missing| TailWish { limit: DrawnLimit::Rejection, possible: true, certain: true, boards: 1_000_000, missing };
    let exact = (1.0 - 1e7 / 5.05e6 / 2.0) * (1.0 - 1e7 / 5.05e6 / 2.0) * 1e6;
    both.ask(|problem| {
        assert!(tail(problem, &wish(exact as u64), &effort(0)).unwrap().trusted);
        assert!(!tail(problem, &wish(2 * exact as u64), &effort(0)).unwrap().trusted);
        assert!(!tail(problem, &wish(0), &effort(0)).unwrap().trusted);
    });
}
