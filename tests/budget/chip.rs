//! The single chip as a network, figures.md section 14, and published data sheets.
use crate::nodal::{C, Dice, Part, near, solve};
use evenkeel::corners;
use evenkeel::designator::{Amp, Designator, Ohms, Topology};
use evenkeel::part::{AtGain, Chip, Grade, OpAmp};
use evenkeel::predict::{Excursion, amplifier_sources, chip_sources, gains, noise, offset, thermal_sources};
use evenkeel::stage::{Cause, Circuit, Lot, Source, Stage, Strays, Surroundings};
use evenkeel::topology::build;
use std::collections::BTreeMap;

pub(crate) fn list(pairs: &[(f64, f64)]) -> Vec<AtGain> {
    pairs.iter().map(|&(gain, value)| AtGain { gain, value }).collect()
}

/// An invented part.
pub(crate) fn part() -> Chip {
    Chip {
        gain_constant_ohm: 50e3,
        base_gain: 1.0,
        gain_error: list(&[(1.0, 5e-4), (100.0, 3e-3)]),
        rejection: list(&[(1.0, 1e4), (100.0, 316_227.766)]),
        bandwidth: list(&[(1.0, 1e6), (100.0, 120e3)]),
        ..Chip::default()
    }
}

pub(crate) fn circuit(chip: Chip, rg: Option<f64>, surroundings: Surroundings) -> Circuit {
    let mut ohms = Ohms::default();
    ohms.set(Designator::RG, rg);
    Circuit { topology: Topology::SingleChip, ohms, opamps: BTreeMap::new(), chip: Some(chip), surroundings }
}

fn stage(chip: Chip, rg: Option<f64>) -> Stage {
    build(&circuit(chip, rg, Surroundings::default())).unwrap()
}

#[test]
fn the_gain_law_reproduces_published_rows() {
    // AD8220 data sheet table 5 (K = 49.4 kΩ): gains as printed, four digits. Check value CV-RG-01.
    for (rg, printed) in [(49.9e3, 1.990), (12.4e3, 4.984), (5.49e3, 9.998)] {
        let chip = Chip { gain_constant_ohm: 49.4e3, base_gain: 1.0, ..Chip::default() };
        let read = gains::<f64>(&stage(chip, Some(rg)), 0.0).unwrap().differential;
        near(read, printed, 1.0, 5e-4);
    }
    // A base gain of 5 and an open RG: nothing but the base.
    let chip = Chip { gain_constant_ohm: 200e3, base_gain: 5.0, ..Chip::default() };
    assert_eq!(chip.gain(None), 5.0);
    near(gains::<f64>(&stage(chip, Some(40.2e3)), 0.0).unwrap().differential, 5.0 + 200.0 / 40.2, 1.0, 1e-12);
}

#[test]
fn lists_are_read_as_section_14_says() {
    let chip = part();
    let at = |gain: f64| {
        let (c, e, b) = (chip.rejection_at(gain), chip.gain_error_at(gain), chip.bandwidth_at(gain));
        [c, e, b].map(|one| one.map(|one| (one.value, one.beyond)).unwrap())
    };
    assert_eq!(at(50.0)[..2], [(1e4, false), (3e-3, false)]);
    assert_eq!(at(1.0), [(1e4, false), (5e-4, false), (1e6, false)]);
    assert_eq!(at(100.0), [(316_227.766, false), (3e-3, false), (120e3, false)]);
    assert_eq!(at(500.0), [(316_227.766, true), (3e-3, true), (120e3, true)]);
    assert_eq!(at(0.5), [(1e4, true), (5e-4, true), (1e6, true)]);
    // Halfway between the gains is halfway between the bandwidths, both as decades: √(1 MHz · 120 kHz).
    near(at(10.0)[2].0, 346_410.16, 346_410.16, 1e-8);
    assert!(Chip::default().rejection_at(10.0).is_none());
}

/// AD620 data sheet, small-signal bandwidth: 800 kHz, 120 kHz and 12 kHz at 10, 100 and 1000 (from memory). What is read
/// between the outer two is near the one between; a straight line with the bandwidth itself would read 406 kHz.
#[test]
fn a_bandwidth_between_far_rows_is_near_the_published_one() {
    let rows = [(10.0, 800e3), (1000.0, 12e3)].map(|(gain, value)| AtGain { gain, value });
    let chip = Chip { bandwidth: rows.to_vec(), ..Chip::default() };
    near(chip.bandwidth_at(100.0).unwrap().value, 120e3, 120e3, 0.2);
}

#[test]
fn input_and_output_offset_combine() {
    // AD624 data sheet p. 7 (CV-IA3-05): +250 µV at the output, -50 µV at the input: 200 µV at G = 1 and
    // -4.75 mV at G = 100, both at the output. The stated signs are kept here; a data sheet's limits are not signed.
    for (rg, at_output) in [(None, 200e-6), (Some(40e3 / 99.0), -4.75e-3)] {
        let chip = Chip {
            gain_constant_ohm: 40e3,
            base_gain: 1.0,
            offset_in_v: Some(-50e-6),
            offset_out_v: Some(250e-6),
            ..Chip::default()
        };
        let stage = stage(chip, rg);
        let figure = offset(&stage, Excursion::default()).unwrap();
        let gain = gains::<f64>(&stage, 0.0).unwrap().differential;
        near(figure.rti_worst_v * gain, f64::abs(at_output), at_output, 1e-12);
        assert_eq!(figure.causes[0].source.to_string(), "A1 offset voltage");
    }
}

#[test]
fn drifts_combine_like_offsets() {
    // (3 + 10/10) µV/K of the AD627A budget, CV-EB-05.
    let chip = Chip {
        gain_constant_ohm: 9e3,
        base_gain: 1.0,
        offset_in_drift_v_per_k: Some(3e-6),
        offset_out_drift_v_per_k: Some(10e-6),
        ..Chip::default()
    };
    near(offset(&stage(chip, Some(1e3)), Excursion::default()).unwrap().drift_v_per_k, 4e-6, 4e-6, 1e-12);
}

#[test]
fn noise_combines_as_published() {
    // AD8421 data sheet Rev. 0 p. 24 (CV-NZ-04): source resistances of 4 kΩ and 1 kΩ, G = 100 with 100 Ω,
    // 60 and 3.2 nV/√Hz, 0.2 pA/√Hz. With 4kT at 298.15 K: source 9.073, in-amp √(0.6² + 3.2² + RG²) = 3.500,
    // currents 0.825, total 9.760 (recomputed; 9.6 printed with 4 nV per √kΩ).
    let chip = Chip {
        gain_constant_ohm: 9900.0,
        base_gain: 1.0,
        noise_in_v_per_rthz: Some(3.2e-9),
        noise_out_v_per_rthz: Some(60e-9),
        noise_out_corner_hz: Some(1e3),
        ..Chip::default()
    };
    let source = Source { resistance_ohm: 2500.0, imbalance_ohm: 3000.0, ..Source::default() };
    let around = Surroundings { source, ..Surroundings::default() };
    let mut circuit = circuit(chip, Some(100.0), around);
    circuit.opamps.insert(Amp::A1, OpAmp { current_noise_a_per_rthz: Some(0.2e-12), ..OpAmp::default() });
    let stage = build(&circuit).unwrap();
    assert_eq!(circuit.opamp(Amp::A1).voltage_noise_v_per_rthz, None, "the two stages are booked apart");
    let mut sources = thermal_sources(&stage, 298.15);
    sources.extend(amplifier_sources(&stage));
    sources.extend(chip_sources(&stage, 298.15));
    let read = noise(&stage, &sources, None).unwrap();
    let line = |cause: &str| {
        let found = read.causes.iter().find(|one| one.cause == cause);
        found.unwrap_or_else(|| panic!("no line {cause}")).density_v_per_rthz
    };
    near(line("source"), 9.073e-9, 9.073e-9, 1e-4);
    near(line("A1 input stage"), 3.2e-9, 3.2e-9, 1e-12);
    // At 1 kHz, its corner, the output stage has twice the power.
    near(line("A1 output stage"), 0.6e-9 * 2_f64.sqrt(), 1e-9, 1e-9);
    // The sheet counts RG whole where the circuit passes (G - 1)/G of it.
    let amplifier = (3.2_f64.powi(2) + 0.6_f64.powi(2) + (line("RG") * 1e9 / 0.99).powi(2)).sqrt();
    near(amplifier, 3.500, 3.5, 2e-4);
    // Nominal legs are 2.5 kΩ each here: √2·0.5 nV where the unequal ones give 0.825.
    near(line("A1 + current"), 0.5e-9, 0.5e-9, 1e-9);
    near(line("A1 - current"), 0.5e-9, 0.5e-9, 1e-9);
    let source_and_amplifier = libm::hypot(libm::hypot(line("source") * 1e9, amplifier), 0.825);
    near(source_and_amplifier, 9.760, 9.76, 1e-4);
}

#[test]
fn corners_are_those_of_the_gain_law() {
    let mut chip = part();
    chip.gain_drift_per_k = Some(10e-6);
    let around =
        Surroundings { strays: Strays { rg_resistance_ohm: 0.5, ..Strays::default() }, ..Surroundings::default() };
    let stage = build(&circuit(chip, Some(1e3), around)).unwrap();
    let grade = Grade { tolerance: 1e-3, tempco_per_k: 25e-6 };
    let lot = Lot { grades: [(Designator::RG, grade)].into(), reach_k: 45.0, ..Lot::default() };
    let quantities = stage.quantities(&lot, 0.0);
    let names: Vec<&str> = quantities.iter().map(|one| one.name.as_str()).collect();
    assert_eq!(names, ["RG", "A1 gain", "A1 rejection"]);
    let worst = corners::at_dc(&stage, &quantities).unwrap();
    let (e, g) = (1e-3 + 25e-6 * 45.0, 3e-3 + 10e-6 * 45.0);
    let high = (1.0 + 50e3 / (1e3 * (1.0 - e) + 0.5)) * (1.0 + g);
    let low = (1.0 + 50e3 / (1e3 * (1.0 + e) + 0.5)) * (1.0 - g);
    near(worst.gain_high, high, high, 1e-12);
    near(worst.gain_low, low, low, 1e-12);
    near(worst.rejection, 1e4, 1e4, 1e-9);
    let causes: Vec<Option<Cause>> = quantities.iter().map(|one| stage.cause(&one.effects[0])).collect();
    assert_eq!(causes, [Some(Cause::GainSetResistors), None, Some(Cause::OutputOpAmp)]);
}

#[test]
fn one_pole_and_the_corner_of_the_rejection() {
    let mut chip = part();
    chip.rejection_corner_hz = Some(200.0);
    let stage = stage(chip, Some(50e3 / 9.0));
    // G = 10: bandwidth √(1 MHz · 120 kHz), there 3 dB less; and rejection 80 dB falling from 200 Hz.
    let at = gains::<C>(&stage, 1.2e11_f64.sqrt()).unwrap().differential;
    near(at.norm(), 10.0 / 2_f64.sqrt(), 10.0, 1e-12);
    near(at.arg(), -std::f64::consts::FRAC_PI_4, 1.0, 1e-12);
    let quantities = stage.quantities(&Lot::default(), 2e3);
    let worst = corners::at_frequency(&stage, &quantities, 2e3, 16).unwrap();
    let expected = 1e4 / 101_f64.sqrt();
    // 80 dB is listed: 1e4 to nine digits.
    near(worst.rejection, expected, expected, 1e-6);
}

#[test]
fn random_sources_and_frequencies_match_an_independent_assembly() {
    let mut dice = Dice(21);
    for _ in 0..40 {
        let (rg, rs, ri) = (dice.log(100.0, 1e4), dice.log(10.0, 1e5), dice.log(1e6, 1e9));
        let (cable, cin, hz) = (dice.log(1e-12, 1e-9), dice.log(1e-12, 1e-11), dice.log(1.0, 1e6));
        let source = Source { resistance_ohm: rs, cable_capacitance_f: Some(cable), ..Source::default() };
        let around = Surroundings { source, reference_resistance_ohm: 10.0, ..Surroundings::default() };
        let mut circuit = circuit(part(), Some(rg), around);
        let load = OpAmp { input_resistance_ohm: Some(ri), input_capacitance_f: Some(cin), ..OpAmp::default() };
        circuit.opamps.insert(Amp::A1, load);
        let stage = build(&circuit).unwrap();
        let gain = 1.0 + 50e3 / rg;
        let bandwidth = match gain {
            g if g >= 100.0 => 120e3,
            g => 1e6 * libm::pow(0.12, libm::log(g) / libm::log(100.0)),
        };
        let mut parts = vec![Part::V(1, 0.7), Part::V(2, -0.3)];
        for (emf, input) in [(1, 3), (2, 4)] {
            parts.extend([Part::R(emf, input, rs), Part::R(input, 0, ri), Part::Cap(input, 0, cin)]);
            parts.push(Part::Cap(input, 0, cable));
        }
        let (a, per_gbw) = (1.0 / gain, 1.0 / (gain * bandwidth));
        parts.push(Part::Amp { plus: 3, minus: 4, out: 5, base: 0, a, per_gbw, offset: 0.0 });
        let expected = solve(&parts, hz)[5];
        let read = gains::<C>(&stage, hz).unwrap();
        near((read.differential - expected).norm(), 0.0, expected.norm(), 1e-9);
        near(read.common.norm(), 0.0, expected.norm(), 1e-9);
    }
}

#[test]
fn an_ideal_input_leaves_the_source_alone() {
    let source = Source { resistance_ohm: 1e3, imbalance_ohm: 100.0, ..Source::default() };
    let around = Surroundings { source, ..Surroundings::default() };
    let stage = build(&circuit(part(), Some(1e3), around)).unwrap();
    assert!(stage.quantities(&Lot::default(), 0.0).iter().all(|one| one.name != "source imbalance"));
}

#[test]
fn a_chip_without_data_is_refused() {
    let mut bare = circuit(part(), None, Surroundings::default());
    bare.chip = None;
    assert!(matches!(build(&bare), Err(evenkeel::topology::BuildFault::NoChip)));
    let nothing = Chip::default();
    assert!(matches!(
        build(&circuit(nothing, None, Surroundings::default())),
        Err(evenkeel::topology::BuildFault::Gain(_))
    ));
}
