//! The frequencies at which a response is looked at, against what is promised of them.
use crate::bench::close;
use evenkeel::predict::grid;
use num_complex::Complex64;
use std::f64::consts::TAU;

/// A root that is real, by its frequency.
fn real(hz: f64) -> Complex64 {
    Complex64::new(-TAU * hz, 0.0)
}

/// Twenty a decade, from a hundredth of the slowest root to a thousand times the fastest, zeros of either sign
/// among them.
#[test]
fn it_reaches_far_beyond_all_roots() {
    for (poles, zeros, slowest, fastest) in [
        (vec![real(10.0), real(1e5)], vec![], 10.0, 1e5),
        (vec![real(1e5), real(10.0)], vec![real(3.0)], 3.0, 1e5),
        (vec![real(10.0)], vec![real(-7e4)], 10.0, 7e4),
        (vec![], vec![real(2.0), real(5e6)], 2.0, 5e6),
    ] {
        let all = grid(&poles, &zeros);
        let step = libm::pow(10.0, 0.05);
        close(all[0], slowest / 100.0, 1e-12);
        let last = all[all.len() - 1];
        assert!(last >= fastest * 1e3 * (1.0 - 1e-12) && last <= fastest * 1e3 * step * (1.0 + 1e-12), "{last}");
        for pair in all.windows(2) {
            close(pair[1] / pair[0], step, 1e-12);
        }
    }
}

/// What rounding makes of a zero at infinity is left out; what lies lower is not.
#[test]
fn zeros_far_above_all_poles_are_left_out() {
    let last = |zero: f64| *grid(&[real(3.0), real(10.0)], &[real(zero)]).last().unwrap();
    assert!(last(0.99e5) > 0.8e8);
    assert!(last(1.01e5) < 1.2e4);
}

/// A resonance is looked at in its middle and beside it, by parts and by multiples of its half width.
#[test]
fn resonances_are_looked_at_closely() {
    let (centre, half) = (1e3, 1.0);
    let pair = [Complex64::new(-TAU * half, TAU * centre), Complex64::new(-TAU * half, -TAU * centre)];
    let all = grid(&pair, &[]);
    for off in [0.0, 0.1, 0.25, 0.5, 0.75, 1.0, 1.4, 2.0, 3.0, 5.0, 8.0, 13.0] {
        for hz in [centre + off * half, centre - off * half] {
            assert!(all.iter().any(|one| (one / hz - 1.0).abs() < 1e-12), "{hz}");
        }
    }
    assert!(all.is_sorted_by(|a, b| a < b));
    // A real root brings none of these, and what would lie below the lowest frequency is no frequency.
    let (alone, step) = (grid(&[real(1e3)], &[]), libm::pow(10.0, 0.05));
    alone.windows(2).for_each(|pair| close(pair[1] / pair[0], step, 1e-12));
    let dull = [Complex64::new(-TAU * 1e3, TAU * 10.0), Complex64::new(-TAU * 1e3, -TAU * 10.0)];
    assert!(grid(&dull, &[])[0] > 9.9);
}

#[test]
fn without_roots_there_is_nothing_to_see() {
    assert!(grid(&[], &[]).is_empty());
    assert!(grid(&[real(0.0)], &[]).is_empty());
    assert!(grid(&[real(1.0), real(f64::INFINITY)], &[]).is_empty());
}
