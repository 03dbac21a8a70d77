//! Self-heating and excess noise against closed forms.
use crate::chip::{circuit, list};
use crate::nodal::near;
use evenkeel::designator::{Designator, Ohms, Topology};
use evenkeel::part::Chip;
use evenkeel::predict::{
    Excess, Noise, Operating, excess_sources, gain_slopes, noise, resistor_voltages, self_heating,
};
use evenkeel::stage::{Circuit, Stage, Surroundings};
use evenkeel::topology::build;
use std::collections::BTreeMap;

fn difference(ohm: f64) -> Stage {
    let ohms: Ohms = Topology::Difference.resistors().iter().map(|&name| (name, ohm)).collect();
    let surroundings = Surroundings::default();
    build(&Circuit { topology: Topology::Difference, ohms, opamps: BTreeMap::new(), chip: None, surroundings }).unwrap()
}

fn chip(rg: f64, bandwidth: f64) -> Stage {
    let chip =
        Chip { gain_constant_ohm: 9900.0, base_gain: 1.0, bandwidth: list(&[(100.0, bandwidth)]), ..Chip::default() };
    build(&circuit(chip, Some(rg), Surroundings::default())).unwrap()
}

#[test]
fn warming_of_a_difference_amplifier_is_seven_eighths() {
    // Derivation, gain 1, ±v/2 about 0: R1 and R2 see 3v/4 with slopes of 3/4, R3 and R4 see v/4 with
    // slopes of 1/4: Σ|S|·V²/R = (2·(3/4)³ + 2·(1/4)³)·v²/R = 7/8·v²/R.
    let stage = difference(10e3);
    let tempcos: BTreeMap<Designator, f64> =
        Topology::Difference.resistors().iter().map(|&name| (name, 25e-6)).collect();
    let points = [-4.0, 10.0].map(|differential_v| Operating { differential_v, ..Operating::default() });
    let read = self_heating(&stage, &points, &tempcos, 200.0).unwrap();
    let expected = 10.0 * 0.875 * (100.0 / 10e3) * 25e-6 * 200.0;
    near(read.rti_v, expected, expected, 1e-12);
    assert_eq!(read.causes.len(), 4);
}

#[test]
fn a_chips_gain_resistor_counts_by_its_share() {
    let stage = chip(100.0, 1e6);
    assert_eq!(gain_slopes(&stage).unwrap().len(), 1);
    near(gain_slopes(&stage).unwrap()[0].1, -0.99, 1.0, 1e-12);
    let at = Operating { differential_v: 0.05, common_v: 2.0, reference_v: 2.5 };
    let across = resistor_voltages(&stage, &at).unwrap();
    near(across[0].volt, 0.05, 0.05, 1e-12);
}

fn excess(stage: &Stage, index_db: f64, volt: f64, band_hz: (f64, f64)) -> Noise {
    let excess = Excess { index_db, differential_v: (0.0, volt), common_mode_v: (0.0, 0.0), reference_v: 0.0 };
    noise(stage, &excess_sources(stage, &excess).unwrap(), Some(band_hz)).unwrap()
}

#[test]
fn excess_noise_against_its_closed_form() {
    // Noise index 0 dB: 1 µV per volt and decade. One pole at f0: ∫ df/(f·(1 + (f/f0)²)) is
    // ½·ln(f²/(f² + f0²)); 1 V across RG of a chip with G = 100, so 0.99 of it counts.
    let f0 = 1e3;
    let stage = chip(100.0, f0);
    let integral = |f: f64| 0.5 * (f * f / (f * f + f0 * f0)).ln();
    for (low, high) in [(0.1, 10.0), (0.1, 1e4), (10.0, 1e6)] {
        let read = excess(&stage, 0.0, 1.0, (low, high));
        let expected = 0.99e-6 * ((integral(high) - integral(low)) / 10_f64.ln()).sqrt();
        near(read.rms_v.unwrap(), expected, expected, 1e-7);
        // At the pole: half the power.
        let density = 0.99e-6 / (2.0 * 1e3 * 10_f64.ln()).sqrt();
        near(read.density_v_per_rthz, density, density, 1e-9);
    }
    // 20 dB more is ten times the voltage; two decades without a pole are √2 of one.
    let wide = chip(100.0, 1e12);
    let one = excess(&wide, 20.0, 1.0, (1.0, 10.0)).rms_v.unwrap();
    near(one, 9.9e-6, 9.9e-6, 1e-9);
    near(excess(&wide, 20.0, 1.0, (1.0, 100.0)).rms_v.unwrap(), one * 2_f64.sqrt(), one, 1e-9);
}

#[test]
fn excess_noise_of_a_resistor_on_the_drawing() {
    // Difference amplifier, gain 1: a voltage in series with R2 shows whole at the output, with R1
    // whole too, with R3 or R4 as R4/(R3 + R4)·2 = 1; 10 V of difference: 7.5 V across R1 and R2, 2.5 V across R3 and R4.
    let stage = difference(10e3);
    let read = excess(&stage, -20.0, 10.0, (1.0, 10.0));
    let expected = 0.1e-6 * (2.0 * 7.5 * 7.5 + 2.0 * 2.5 * 2.5_f64).sqrt();
    near(read.rms_v.unwrap(), expected, expected, 1e-9);
}
