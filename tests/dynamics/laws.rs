//! Laws that hold whatever the values are.
use crate::bench::{circuit, close, difference, stage};
use evenkeel::designator::{Designator, Topology};
use evenkeel::part::OpAmp;
use evenkeel::predict::{Motion, amplifier_sources, loop_margins, noise, response, settling, thermal_sources};
use evenkeel::stage::{Circuit, Source};

fn three(k: f64) -> Circuit {
    use Designator::{R1, R2, R3, R4, RF1, RF2, RG};
    let ohms =
        [(RG, 1e3), (RF1, 47e3), (RF2, 39e3), (R1, 1e4), (R2, 2e4), (R3, 1.1e4), (R4, 2.2e4)].map(|(n, r)| (n, k * r));
    let opamp = OpAmp {
        gain_bandwidth_hz: Some(2e6),
        open_loop_gain: Some(1e5),
        input_capacitance_f: Some(5e-12 / k),
        ..OpAmp::default()
    };
    let mut circuit = circuit(Topology::ThreeOpAmp, &ohms, &opamp);
    circuit.surroundings.source = Source {
        resistance_ohm: k * 500.0,
        cable_capacitance_f: Some(200e-12 / k),
        bias_return_ohm: Some(k * 1e6),
        ..Source::default()
    };
    circuit
}

/// All resistances times k, all capacitances over k: nothing changes in volts over volts or in seconds,
/// and thermal noise grows by √k.
#[test]
fn impedance_scaling() {
    let (one, other) = (stage(&three(1.0)), stage(&three(7.3)));
    let (a, b) = (Motion::of(&one.network).unwrap(), Motion::of(&other.network).unwrap());
    let (x, y) = (response(&one, &a).unwrap(), response(&other, &b).unwrap());
    close(y.small_signal_hz.unwrap(), x.small_signal_hz.unwrap(), 1e-9);
    assert!((y.peaking_db.unwrap() - x.peaking_db.unwrap()).abs() < 1e-9);
    for (x, y) in loop_margins(&one, &a).unwrap().iter().zip(loop_margins(&other, &b).unwrap()) {
        close(y.phase_margin_deg, x.phase_margin_deg, 1e-8);
    }
    let time = |stage, motion| settling(stage, motion, 1.0, &[1e-4]).unwrap().linear_s[0].unwrap();
    close(time(&other, &b), time(&one, &a), 1e-8);
    for hz in [10.0, 1e4, 1e6] {
        let gain = |motion: &Motion<'_>, stage: &evenkeel::stage::Stage| {
            let z = motion.transfer(&stage.differential(), stage.ports.output).at(hz);
            libm::hypot(z.re, z.im)
        };
        close(gain(&b, &other), gain(&a, &one), 1e-9);
    }
    let thermal = |stage| noise(stage, &thermal_sources(stage, 300.0), Some((0.1, 1e6))).unwrap();
    let (x, y) = (thermal(&one), thermal(&other));
    close(y.density_v_per_rthz / x.density_v_per_rthz, 7.3_f64.sqrt(), 1e-9);
    close(y.rms_v.unwrap() / x.rms_v.unwrap(), 7.3_f64.sqrt(), 1e-8);
}

/// Time scaling: bandwidths times k and capacitances over k.
#[test]
fn twice_as_fast_settles_in_half_the_time() {
    let mut fast = three(1.0);
    for opamp in fast.opamps.values_mut() {
        opamp.gain_bandwidth_hz = opamp.gain_bandwidth_hz.map(|hz| 2.0 * hz);
        opamp.input_capacitance_f = opamp.input_capacitance_f.map(|farad| farad / 2.0);
    }
    fast.surroundings.source.cable_capacitance_f = Some(100e-12);
    let time = |circuit: &Circuit| {
        let stage = stage(circuit);
        settling(&stage, &Motion::of(&stage.network).unwrap(), 1.0, &[1e-5]).unwrap().linear_s[0].unwrap()
    };
    close(time(&fast), time(&three(1.0)) / 2.0, 1e-8);
}

/// R6 in parallel with R4 of a difference stage is one resistor `R4∥R6`: in noise, too, where the two are
/// separate sources. And a signal that is twice as large has no other noise.
#[test]
fn parallel_resistors_are_as_noisy_as_one() {
    let at = |ohms: &[(Designator, f64)]| {
        let stage = stage(&circuit(Topology::Difference, ohms, &OpAmp::default()));
        noise(&stage, &thermal_sources(&stage, 300.0), None).unwrap().density_v_per_rthz
    };
    use Designator::{R1, R2, R3, R4, R5, R6};
    let pair = at(&[(R1, 1e4), (R2, 1e5), (R3, 1e4), (R4, 3e5), (R5, 1e9), (R6, 1.5e5)]);
    let one = at(&[(R1, 1e4), (R2, 1e5), (R3, 1e4), (R4, 1e5), (R5, 1e9)]);
    close(pair, one, 1e-12);
}

/// The noise of a difference stage by hand: `RTO² = 4kT·(R2·(1 + G) + NG²·(R3∥R4)) + e_n²·NG² + i_n²·(R2² + NG²·(R3∥R4)²)`.
#[test]
fn a_difference_stage_by_hand() {
    let (r1, r2, e, i) = (1e4, 1e5, 10e-9, 1e-12);
    let opamp = OpAmp { voltage_noise_v_per_rthz: Some(e), current_noise_a_per_rthz: Some(i), ..OpAmp::default() };
    let stage = stage(&circuit(Topology::Difference, &difference(r1, r2), &opamp));
    let mut sources = thermal_sources(&stage, 300.0);
    sources.extend(amplifier_sources(&stage));
    let found = noise(&stage, &sources, None).unwrap().density_v_per_rthz;
    let (gain, noise_gain, side) = (r2 / r1, 1.0 + r2 / r1, r1 * r2 / (r1 + r2));
    let square = 4.0 * 1.380_649e-23 * 300.0 * (r2 * (1.0 + gain) + noise_gain * noise_gain * side)
        + e * e * noise_gain * noise_gain
        + i * i * (r2 * r2 + noise_gain * noise_gain * side * side);
    close(found, square.sqrt() / gain, 1e-12);
}
