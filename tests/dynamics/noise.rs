//! Noise against Nyquist's formula, closed forms of integrals, and published examples.
use crate::bench::{circuit, close, difference, stage};
use evenkeel::designator::{Amp, Topology};
use evenkeel::network::{AmplifierValue, Builder, Element, Excitation, GROUND};
use evenkeel::part::OpAmp;
use evenkeel::predict::{Excess, Noise, NoiseSource, amplifier_sources, excess_sources, noise, thermal_sources};
use evenkeel::stage::{Circuit, Leg, Ports, Role, Stage};

const CELSIUS_25: f64 = 298.15;

/// Two source resistances into an ideal amplifier of gain 100: what a person draws for "the noise of R".
fn two_legs(positive_ohm: f64, negative_ohm: f64, opamp: &OpAmp) -> Stage {
    let mut b = Builder::new();
    let [p, n, r, pi, ni, out] = ["p", "n", "r", "pi", "ni", "out"].map(|name| b.node(name));
    let [positive, negative, reference] = [p, n, r].map(|node| b.source("EMF", node, GROUND));
    let legs = [b.resistor("RP", p, pi, positive_ohm), b.resistor("RN", n, ni, negative_ohm)];
    let value = AmplifierValue { inverse_gain: 0.01, ..AmplifierValue::default() };
    let amp = b.fixed_gain("A1", (pi, ni), (out, r), value);
    Stage {
        circuit: circuit(Topology::Difference, &difference(1.0, 1.0), opamp),
        network: b.finish().unwrap(),
        ports: Ports { positive, negative, reference, output: out, inputs: (pi, ni) },
        roles: vec![
            (Role::SourceLeg(Leg::Positive), legs[0]),
            (Role::SourceLeg(Leg::Negative), legs[1]),
            (Role::Amp(Amp::A1), amp),
        ],
    }
}

fn all(stage: &Stage, kelvin: f64, band: Option<(f64, f64)>) -> Noise {
    let mut sources = thermal_sources(stage, kelvin);
    sources.extend(amplifier_sources(stage));
    noise(stage, &sources, band).unwrap()
}

/// CV-NZ-01 and CV-NZ-13: Nyquist, recomputed with the exact constant; 4.07 nV/√Hz of 1 kΩ at 300 K is published.
#[test]
fn thermal_density_is_nyquists() {
    for (ohm, kelvin, nanovolt) in [
        (50.0, 290.0, 0.8949),
        (50.0, 298.15, 0.9073),
        (100.0, 300.0, 1.2872),
        (1e3, 290.0, 4.0019),
        (1e3, 298.15, 4.0578),
        (1e3, 300.0, 4.0704),
        (4e3, 300.0, 8.1407),
        (1e4, 298.15, 12.832),
        (1e5, 300.0, 40.704),
        (1e6, 290.0, 126.55),
        (350.0, 298.15, 2.40),
    ] {
        let density = all(&two_legs(ohm, 1e-9, &OpAmp::default()), kelvin, None).density_v_per_rthz;
        close(density, nanovolt * 1e-9, if ohm == 350.0 { 2e-3 } else { 6e-5 });
    }
}

/// CV-NZ-02: 100 kΩ, 300 K, 1 MHz: 40.69 µV published with k = 1.38e-23 (tutorial "Noise in electronic
/// components"). CV-NZ-03: 1 kΩ, 10 kHz: 400 nV at room temperature.
#[test]
fn thermal_noise_over_a_band_is_published() {
    let rms =
        |ohm, kelvin, high| all(&two_legs(ohm, 1e-9, &OpAmp::default()), kelvin, Some((1e-3, high))).rms_v.unwrap();
    close(rms(1e5, 300.0, 1e6), 40.69e-6, 4e-4);
    close(rms(1e5, 300.0, 1e6), 40.704e-6, 2e-5);
    close(rms(1e3, 290.0, 1e4), 400.2e-9, 2e-4);
}

/// CV-NZ-04 (ADI AD8421 data sheet Rev. 0 p. 24) and CV-NZ-06 (AD8429 p. 17): source 4 kΩ and 1 kΩ, 3.2 nV
/// of input and 60 nV of output noise at a gain of 100, RG of 100 Ω, 0.2 pA. Published 8.9, 3.5, 0.8, total 9.6
/// with "4 nV·√kΩ"; 9.760 with the exact constant at 298 K.
#[test]
fn a_published_example_adds_up() {
    let opamp = OpAmp { current_noise_a_per_rthz: Some(0.2e-12), ..OpAmp::default() };
    let stage = two_legs(4e3, 1e3, &opamp);
    let amp = stage.element(Role::Amp(Amp::A1)).unwrap();
    let voltage = |cause: &str, density: f64| NoiseSource {
        cause: cause.to_owned(),
        drive: Excitation::default().and_offset(amp, 1.0),
        white: density * density,
        flicker: 0.0,
    };
    let mut sources = thermal_sources(&stage, 298.0);
    sources.extend(amplifier_sources(&stage));
    sources.push(voltage("amplifier", 3.2e-9));
    sources.push(voltage("amplifier", 60e-9 / 100.0));
    sources.push(voltage("amplifier", 4.0567e-9 * 0.1_f64.sqrt()));
    let found = noise(&stage, &sources, None).unwrap();
    let of = |cause: &str| found.causes.iter().find(|one| one.cause == cause).unwrap().density_v_per_rthz;
    close(of("source"), 8.9e-9, 2.2e-2);
    close(of("source"), 9.073e-9, 3e-4);
    close(of("amplifier"), 3.500e-9, 3e-4);
    close(libm::hypot(of("A1 + current"), of("A1 - current")), 0.825e-9, 5e-4);
    close(found.density_v_per_rthz, 9.760e-9, 3e-4);
    close(found.density_v_per_rthz, 9.6e-9, 2e-2);
}

/// CV-NZ-09: 10 µV rms is 66 µV peak to peak. CV-NZ-10: ±3.3 sigma of a Gaussian leaves 0.10 % outside.
#[test]
fn the_crest_factor_is_the_customary_one() {
    let found = all(&two_legs(1e5, 1e-9, &OpAmp::default()), 300.0, Some((1.0, 1e6)));
    close(found.peak_to_peak_v.unwrap() / found.rms_v.unwrap(), 66.0 / 10.0, 1e-12);
    let outside = |factor: f64| libm::erfc(factor / 2.0 / 2.0_f64.sqrt());
    for (factor, share) in [(2.0, 0.3173), (4.0, 0.0455), (6.0, 0.0027), (6.6, 0.000_967)] {
        close(outside(factor), share, 2e-3);
    }
    assert!(outside(found.peak_to_peak_v.unwrap() / found.rms_v.unwrap()) < 1e-3);
}

/// CV-NZ-11: `e_n·√(f_c·ln(f_H/f_L) + f_H − f_L)` (ADI MT-048, Motchenbacher; from memory): 36.23 nV and
/// 14.18 nV. At the corner the density is √2 of the white one.
#[test]
fn flicker_and_white_integrate_to_the_closed_form() {
    for (density, corner, rms, peak) in [(10e-9, 0.7, 36.23e-9, 0.239e-6), (3e-9, 2.7, 14.18e-9, 93.6e-9)] {
        let opamp = OpAmp {
            voltage_noise_v_per_rthz: Some(density),
            voltage_noise_corner_hz: Some(corner),
            ..OpAmp::default()
        };
        let stage = two_legs(1e-9, 1e-9, &opamp);
        let found = all(&stage, 0.0, Some((0.1, 10.0)));
        close(found.rms_v.unwrap(), rms, 2e-4);
        close(found.peak_to_peak_v.unwrap(), peak, 1e-3);
        let exact = density * (corner * libm::log(100.0) + 9.9).sqrt();
        close(found.rms_v.unwrap(), exact, found.integration_error.max(1e-13));
        assert!(found.integration_error < 1e-9);
        let at_corner = OpAmp { voltage_noise_corner_hz: Some(1e3), ..opamp };
        close(all(&two_legs(1e-9, 1e-9, &at_corner), 0.0, None).density_v_per_rthz, density * 2.0_f64.sqrt(), 1e-12);
    }
}

/// A chain of equal RC sections between followers, white noise at its front.
fn chain(sections: usize) -> (Stage, NoiseSource) {
    let mut b = Builder::new();
    let [p, n, r] = ["p", "n", "r"].map(|name| b.node(name));
    let [positive, negative, reference] = [p, n, r].map(|node| b.source("EMF", node, GROUND));
    let follower = AmplifierValue { inverse_gain: 1.0, ..AmplifierValue::default() };
    let mut first: Option<Element> = None;
    let mut at = (p, n);
    for _ in 0..sections {
        let [driven, slow] = ["driven", "slow"].map(|name| b.node(name));
        let amp = b.fixed_gain("A1", at, (driven, GROUND), follower);
        b.resistor("R", driven, slow, 1e3);
        b.capacitor("C", slow, GROUND, 1.0 / (std::f64::consts::TAU * 1e3));
        first = first.or(Some(amp));
        at = (slow, GROUND);
    }
    let drive = Excitation::default().and_offset(first.unwrap(), 1.0);
    let stage = Stage {
        circuit: circuit(Topology::Difference, &difference(1.0, 1.0), &OpAmp::default()),
        network: b.finish().unwrap(),
        ports: Ports { positive, negative, reference, output: at.0, inputs: (p, n) },
        roles: vec![],
    };
    (stage, NoiseSource { cause: "white".to_owned(), drive, white: 1.0, flicker: 0.0 })
}

/// CV-NZ-12: noise bandwidth over −3 dB bandwidth of one pole (π/2) and of 2 to 5 equal poles (TI noise
/// material, from memory; recomputed). The corner of each section is 1 Hz.
#[test]
fn noise_bandwidth_of_equal_poles() {
    for (sections, factor) in [(1, 1.571), (2, 1.220), (3, 1.155), (4, 1.129), (5, 1.114)] {
        let (stage, source) = chain(sections);
        let rms = noise(&stage, &[source], Some((1e-6, 1e7))).unwrap().rms_v.unwrap();
        let three_db = (libm::pow(2.0, 1.0 / sections as f64) - 1.0).sqrt();
        close(rms * rms / three_db, factor, 6e-4);
    }
}

/// kT/C: whatever the resistor, the noise of a resistor and a capacitor is √(kT/C).
#[test]
fn a_capacitor_holds_its_share_of_heat() {
    for ohm in [10.0, 1e4, 1e7] {
        let farad = 10e-12;
        let mut b = Builder::new();
        let [p, n, r, out] = ["p", "n", "r", "out"].map(|name| b.node(name));
        let [positive, negative, reference] = [p, n, r].map(|node| b.source("EMF", node, GROUND));
        let leg = b.resistor("R", p, out, ohm);
        b.capacitor("C", out, GROUND, farad);
        let stage = Stage {
            circuit: circuit(Topology::Difference, &difference(1.0, 1.0), &OpAmp::default()),
            network: b.finish().unwrap(),
            ports: Ports { positive, negative, reference, output: out, inputs: (p, n) },
            roles: vec![(Role::SourceLeg(Leg::Positive), leg)],
        };
        let found = all(&stage, CELSIUS_25, Some((1e-6, 1e16)));
        // The gain from the difference is one half.
        close(found.rms_v.unwrap() / 2.0, (1.380_649e-23 * CELSIUS_25 / farad).sqrt(), 1e-6);
    }
}

/// Noise index: 0 dB is 1 µV per volt in a decade. One volt across R1 of a difference stage, 0 dB, one decade.
#[test]
fn excess_noise_is_a_microvolt_per_volt_and_decade() {
    let circuit: Circuit = circuit(Topology::Difference, &difference(1e4, 1e4), &OpAmp::default());
    let stage = stage(&circuit);
    // 2 V of difference about 0: the nodes sit at 0.5 V, 0.5 V across R3 and R4, 1.5 V across R1 and R2.
    let excess = Excess { index_db: 0.0, differential_v: (0.0, 2.0), common_mode_v: (0.0, 0.0), reference_v: 0.0 };
    let sources = excess_sources(&stage, &excess).unwrap();
    let found = noise(&stage, &sources, Some((1.0, 10.0))).unwrap();
    for line in &found.causes {
        let volt = if ["R1", "R2"].contains(&line.cause.as_str()) { 1.5 } else { 0.5 };
        close(line.rms_v.unwrap(), 1e-6 * volt, 1e-9);
    }
    let louder = excess_sources(&stage, &Excess { index_db: 20.0, ..excess }).unwrap();
    close(noise(&stage, &louder, Some((1.0, 10.0))).unwrap().rms_v.unwrap(), 10.0 * found.rms_v.unwrap(), 1e-12);
}

/// The lines' squares add up to the whole.
#[test]
fn the_lines_add_up() {
    let opamp = OpAmp {
        voltage_noise_v_per_rthz: Some(10e-9),
        current_noise_a_per_rthz: Some(1e-12),
        current_noise_corner_hz: Some(100.0),
        gain_bandwidth_hz: Some(1e5),
        ..OpAmp::default()
    };
    let found = all(&stage(&circuit(Topology::Difference, &difference(1e4, 1e5), &opamp)), 300.0, Some((0.1, 1e6)));
    let squares: f64 = found.causes.iter().map(|one| one.rms_v.unwrap() * one.rms_v.unwrap()).sum();
    close(squares.sqrt(), found.rms_v.unwrap(), 1e-14);
    let names: Vec<_> = found.causes.iter().map(|one| one.cause.as_str()).collect();
    assert_eq!(names, ["R1", "R2", "R3", "R4", "A1 voltage", "A1 + current", "A1 - current"]);
}
