//! Bandwidth, peaking and phase margin against closed forms and published numbers.
use crate::bench::{circuit, close, difference, stage};
use evenkeel::designator::{Amp, Designator, Topology};
use evenkeel::part::OpAmp;
use evenkeel::predict::{Motion, full_power, loop_margins, response};
use evenkeel::stage::Stage;
use std::f64::consts::{PI, TAU};

fn small_signal(stage: &Stage) -> Option<f64> {
    response(stage, &Motion::of(&stage.network).unwrap()).unwrap().small_signal_hz
}

fn fast(gbw: f64) -> OpAmp {
    OpAmp { gain_bandwidth_hz: Some(gbw), ..OpAmp::default() }
}

/// CV-OA-09: 1 MHz at a noise gain of 101 gives 9.90 kHz (GBW/NG; recomputed, formula from memory).
#[test]
fn a_non_inverting_stage_has_the_gain_bandwidth_over_the_noise_gain() {
    use Designator::{R1, R2, R3, R4, RF1, RF2, RG};
    let ohms = [(RG, 2e3), (RF1, 1e5), (RF2, 1e5), (R1, 1e4), (R2, 1e4), (R3, 1e4), (R4, 1e4)];
    let mut circuit = circuit(Topology::ThreeOpAmp, &ohms, &fast(1e6));
    circuit.opamps.insert(Amp::A3, OpAmp::default());
    let hz = small_signal(&stage(&circuit)).unwrap();
    close(hz, 9.90e3, 1e-3);
    close(hz, 1e6 / 101.0, 1e-9);
}

/// The same with an inverting input path: the noise gain of a gain of 10 is 11. And a finite A0 adds its
/// own pole: the closed loop is at `GBW·(1/NG + 1/A0)`.
#[test]
fn a_difference_stage_has_its_noise_gain() {
    let of =
        |opamp: OpAmp| small_signal(&stage(&circuit(Topology::Difference, &difference(1e4, 1e5), &opamp))).unwrap();
    close(of(fast(3e6)), 3e6 / 11.0, 1e-9);
    close(of(OpAmp { open_loop_gain: Some(1e3), ..fast(3e6) }), 3e6 * (1.0 / 11.0 + 1e-3), 1e-9);
}

#[test]
fn what_nothing_slows_is_unlimited() {
    let stage = stage(&circuit(Topology::Difference, &difference(1e4, 1e5), &OpAmp::default()));
    let motion = Motion::of(&stage.network).unwrap();
    let response = response(&stage, &motion).unwrap();
    assert_eq!((response.small_signal_hz, response.peaking_db, response.peak_hz), (None, Some(0.0), None));
    assert_eq!(loop_margins(&stage, &motion).unwrap(), vec![]);
    assert_eq!(full_power(&stage, 1.0).unwrap(), None);
}

/// A difference stage with input capacitance: `A_d = G/(1 + 1/T)`,
/// `T = (GBW/(j·f))·β/(1 + j·f/f_p)`, `f_p = 1/(2π·(R1∥R2)·C)`: second order, `Q² = GBW·β/f_p`.
/// Peak and bandwidth of the second-order low pass, and the phase margin, by hand.
#[test]
fn two_poles_by_hand() {
    for (r1, r2, farad, gbw) in [(1e4, 1e5, 10e-12, 1e7), (1e5, 1e6, 5e-12, 1e6), (1e6, 1e6, 100e-12, 1e7)] {
        let opamp = OpAmp { input_capacitance_f: Some(farad), ..fast(gbw) };
        let stage = stage(&circuit(Topology::Difference, &difference(r1, r2), &opamp));
        let motion = Motion::of(&stage.network).unwrap();
        assert!(motion.is_stable());
        let (beta, corner) = (r1 / (r1 + r2), (r1 + r2) / (TAU * r1 * r2 * farad));
        let unity = gbw * beta;
        let q2 = unity / corner;
        let natural = (unity * corner).sqrt();
        let half = 1.0 - 1.0 / (2.0 * q2);
        let response = response(&stage, &motion).unwrap();
        close(response.small_signal_hz.unwrap(), natural * (half + (half * half + 1.0).sqrt()).sqrt(), 1e-8);
        let peak = if q2 > 0.5 { (q2 / (1.0 - 1.0 / (4.0 * q2))).sqrt() } else { 1.0 };
        close(libm::pow(10.0, response.peaking_db.unwrap() / 20.0), peak, 1e-8);
        if q2 > 0.5 {
            close(response.peak_hz.unwrap(), natural * half.sqrt(), 1e-5);
        }
        // |T| = 1: x²(1 + x²/f_p²) = unity²
        let crossing = corner * (((1.0 + 4.0 * q2 * q2).sqrt() - 1.0) / 2.0).sqrt();
        let margin = loop_margins(&stage, &motion).unwrap()[0];
        close(margin.crossing_hz, crossing, 1e-8);
        close(margin.phase_margin_deg, 90.0 - libm::atan(crossing / corner) * 180.0 / PI, 1e-8);
    }
}

/// Both op amps of a circuit are told, each once; the numbers are held against a cut loop in `separate.rs`.
#[test]
fn every_op_amp_is_told() {
    use Designator::{R1, R2, R3, R4, RG};
    let ohms = [(RG, 1e3), (R1, 1e4), (R2, 1e4), (R3, 1e4), (R4, 1e4)];
    let stage = stage(&circuit(Topology::TwoOpAmp, &ohms, &fast(1e6)));
    let all = loop_margins(&stage, &Motion::of(&stage.network).unwrap()).unwrap();
    assert_eq!(all.iter().map(|one| one.amp).collect::<Vec<_>>(), [Amp::A1, Amp::A2]);
}

/// CV-OA-07: 2 V/µs at 12 V peak is 26.5 kHz (NPTEL course 117107094, lecture 7); a textbook 0.5 V/µs at
/// 10 V is 7.96 kHz (from memory).
#[test]
fn full_power_bandwidth_is_published() {
    for (slew, width, gain, expected) in [(2e6, 24.0, 1.0, 26.5e3), (0.5e6, 2.0, 10.0, 7.96e3)] {
        let opamp = OpAmp { slew_rate_v_per_s: Some(slew), ..fast(1e6) };
        let stage = stage(&circuit(Topology::Difference, &difference(1e4, gain * 1e4), &opamp));
        let found = full_power(&stage, width).unwrap().unwrap();
        close(found.hz, expected, 1.5e-3);
        close(found.hz, slew / (TAU * width * gain / 2.0), 1e-12);
        assert_eq!(found.amp, Amp::A1);
    }
}

/// Three op amps with a second stage of 2: A1 swings `(1 + 2·RF/RG)/2` times half the width, A3 four times as
/// much. Whichever is short of slew rate first limits, and one that states none does not.
#[test]
fn the_op_amp_short_of_slew_rate_first_limits() {
    use Designator::{R1, R2, R3, R4, RF1, RF2, RG};
    let ohms = [(RG, 2e3), (RF1, 1e4), (RF2, 1e4), (R1, 1e4), (R2, 2e4), (R3, 1e4), (R4, 2e4)];
    let (width, first) = (0.1, 11.0 / 2.0);
    for (of_a1, of_a3, amp, hz) in [
        (Some(1e6), Some(3e6), Amp::A3, 3e6 / (TAU * 4.0 * first * width / 2.0)),
        (Some(1e6), Some(5e6), Amp::A1, 1e6 / (TAU * first * width / 2.0)),
        (Some(1e6), None, Amp::A1, 1e6 / (TAU * first * width / 2.0)),
        (None, Some(5e6), Amp::A3, 5e6 / (TAU * 4.0 * first * width / 2.0)),
    ] {
        let mut circuit = circuit(Topology::ThreeOpAmp, &ohms, &OpAmp::default());
        for (amp, slew_rate_v_per_s) in [(Amp::A1, of_a1), (Amp::A2, of_a1), (Amp::A3, of_a3)] {
            circuit.opamps.insert(amp, OpAmp { slew_rate_v_per_s, ..OpAmp::default() });
        }
        let found = full_power(&stage(&circuit), width).unwrap().unwrap();
        close(found.hz, hz, 1e-12);
        assert_eq!(found.amp, amp);
    }
}
