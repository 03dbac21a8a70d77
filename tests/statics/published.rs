//! Published numbers: tests/data/statics.toml tells where they are from.
use crate::bench::{Case, case, common_modes_without_difference, near};
use evenkeel::designator::Topology;
use evenkeel::predict::{filter_alone, protection};
use evenkeel::stage::InputFilter;
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Deserialize)]
struct Published {
    voltages: Vec<Voltages>,
    common_mode: Vec<CommonMode>,
    impedance: Vec<ImpedanceCase>,
    filter: Vec<Filter>,
}

#[derive(Deserialize)]
struct Voltages {
    entry: String,
    topology: String,
    ohms: BTreeMap<String, f64>,
    common_mode: (f64, f64),
    differential: (f64, f64),
    reference: f64,
    extremes: BTreeMap<String, (f64, f64)>,
}

#[derive(Deserialize)]
struct CommonMode {
    entry: String,
    topology: String,
    ohms: BTreeMap<String, f64>,
    supply: f64,
    output: f64,
    input: f64,
    greatest: f64,
    limiting: Vec<String>,
}

#[derive(Deserialize)]
struct ImpedanceCase {
    topology: String,
    ohms: BTreeMap<String, f64>,
    differential: f64,
    common_mode: f64,
    positive: f64,
    negative: f64,
}

#[derive(Deserialize)]
struct Filter {
    resistor: f64,
    common: f64,
    across: f64,
    differential_hz: f64,
    common_mode_hz: f64,
    within: f64,
}

fn published() -> Published {
    toml::from_str(include_str!("../data/statics.toml")).unwrap()
}

fn of(topology: &str, ohms: &BTreeMap<String, f64>) -> Case {
    let ohms: Vec<(&str, f64)> = ohms.iter().map(|(name, &ohm)| (name.as_str(), ohm)).collect();
    case(topology.parse::<Topology>().unwrap(), &ohms)
}

/// The voltages of ideal op amps: all digits.
const EXACT: f64 = 1e-12;

#[test]
fn inner_voltages_are_the_published_ones() {
    for one in published().voltages {
        let mut case = of(&one.topology, &one.ohms).supply(-15.0, 15.0).signals(one.common_mode, one.differential);
        case.reference_v = one.reference;
        let figure = case.headroom();
        for (name, (lowest, highest)) in &one.extremes {
            let point = figure.points.iter().find(|point| point.name == *name);
            let point = point.unwrap_or_else(|| panic!("{}: no {name}", one.entry));
            near(point.lowest_v, *lowest, EXACT);
            near(point.highest_v, *highest, EXACT);
        }
    }
}

#[test]
fn the_greatest_common_mode_is_the_published_one() {
    for one in published().common_mode {
        for sign in [1.0, -1.0] {
            let at = sign * one.greatest;
            let case = of(&one.topology, &one.ohms)
                .supply(-one.supply, one.supply)
                .rails(one.output, one.input)
                .signals((at, at), (0.0, 0.0));
            let figure = case.headroom();
            near(figure.margin_v, 0.0, 1e-12);
            assert!(figure.fits, "{}: on the limit is inside", one.entry);
            assert!(one.limiting.contains(&figure.limiting), "{}: {}", one.entry, figure.limiting);
            let beyond = case.signals((1.001 * at, 1.001 * at), (0.0, 0.0)).headroom();
            assert!(!beyond.fits && beyond.margin_v < 0.0);
            // The window shows it too: on the side of the signal all of it, on the other three supplies at the most.
            let (low, high) = common_modes_without_difference(&figure);
            let other = one.greatest.min(3.0 * one.supply);
            near(low, if sign < 0.0 { -one.greatest } else { -other }, 1e-9);
            near(high, if sign > 0.0 { one.greatest } else { other }, 1e-9);
        }
    }
}

#[test]
fn a_reference_shifts_the_common_mode_of_an_attenuating_stage() {
    // CV-DA-11: upper limit 11 (VS - 1.2 V) - 10 VREF.
    let ohms = [("R1", 100e3), ("R2", 10e3), ("R3", 100e3), ("R4", 10e3)];
    let mut case = case(Topology::Difference, &ohms).supply(-15.0, 15.0).rails(0.0, 1.2);
    case.reference_v = 2.0;
    let upper = 11.0 * 13.8 - 20.0;
    near(case.clone().signals((upper, upper), (0.0, 0.0)).headroom().margin_v, 0.0, 1e-12);
    // A volt more at the input is an eleventh at the node.
    near(case.signals((upper + 1.0, upper + 1.0), (0.0, 0.0)).headroom().margin_v, -1.0 / 11.0, 1e-12);
}

#[test]
fn input_resistances_are_the_published_ones() {
    for one in published().impedance {
        let told = of(&one.topology, &one.ohms).impedance();
        for (told, want) in [
            (told.differential_ohm, one.differential),
            (told.common_mode_ohm, one.common_mode),
            (told.positive_ohm, one.positive),
            (told.negative_ohm, one.negative),
        ] {
            near(told.unwrap() / want, 1.0, 1e-12);
        }
    }
}

fn filter(resistor_ohm: f64, common_capacitor_f: f64, differential_capacitor_f: f64) -> InputFilter {
    InputFilter {
        resistor_ohm,
        common_capacitor_f,
        differential_capacitor_f,
        resistor_tolerance: 0.01,
        capacitor_tolerance: 0.05,
        fault_voltage_v: None,
        fault_current_a: None,
    }
}

#[test]
fn filter_bandwidths_are_the_published_ones() {
    for one in published().filter {
        let filter = filter(one.resistor, one.common, one.across);
        let alone = filter_alone(&filter);
        near(alone.differential_hz.unwrap() / one.differential_hz, 1.0, one.within);
        near(alone.common_mode_hz.unwrap() / one.common_mode_hz, 1.0, one.within);
        // A voltage source and op amps that draw nothing: the network has nothing to add.
        let mut case = case(
            Topology::ThreeOpAmp,
            &[("RG", 1e3), ("RF1", 1e4), ("RF2", 1e4), ("R1", 1e4), ("R2", 1e4), ("R3", 1e4), ("R4", 1e4)],
        );
        case.circuit.surroundings.filter = Some(filter);
        case.question.filter = Some(filter);
        let told = evenkeel::study::filter::figure(&case.question, &case.stage()).unwrap();
        let figure = told.figure.unwrap();
        near(figure.in_circuit.differential_hz.unwrap() / alone.differential_hz.unwrap(), 1.0, 1e-9);
        near(figure.in_circuit.common_mode_hz.unwrap() / alone.common_mode_hz.unwrap(), 1.0, 1e-9);
        assert!(told.warnings.is_empty() && told.not_predicted.is_empty());
        // Source resistance adds to each leg.
        case.circuit.surroundings.source.resistance_ohm = one.resistor;
        let figure = evenkeel::study::filter::figure(&case.question, &case.stage()).unwrap().figure.unwrap();
        near(figure.in_circuit.differential_hz.unwrap() / alone.differential_hz.unwrap(), 0.5, 1e-9);
        assert_eq!(figure.alone, alone);
    }
}

#[test]
fn a_filter_without_capacitors_has_no_corner() {
    let bare = filter(1e3, 0.0, 0.0);
    assert_eq!(filter_alone(&bare).differential_hz, None);
    assert_eq!(filter_alone(&bare).common_mode_hz, None);
}

#[test]
fn a_protection_resistor_is_sized_by_ohms_law() {
    let mut stated = filter(10e3, 1e-9, 1e-8);
    assert_eq!(protection(&stated), None);
    stated.fault_voltage_v = Some(99.0);
    assert_eq!(protection(&stated), None);
    stated.fault_current_a = Some(10e-3);
    // 99 V over 9.9 kΩ, the low end of 10 kΩ ± 1 %.
    let told = protection(&stated).unwrap();
    near(told.current_a, 10e-3, 1e-12);
    near(told.needed_ohm, 10e3, 1e-6);
    near(told.power_w, 0.99, 1e-9);
    assert!(told.enough);
    stated.fault_current_a = Some(5e-3);
    let told = protection(&stated).unwrap();
    assert!(!told.enough);
    near(told.needed_ohm, 20e3, 1e-6);
}
