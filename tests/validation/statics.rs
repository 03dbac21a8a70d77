//! tests/data/statics.toml: voltages inside, common modes that still fit, input resistances, input filters.
use crate::bench::{Case, case};
use crate::row::{Kind, Row};
use evenkeel::designator::Topology;
use evenkeel::predict::filter_alone;
use evenkeel::stage::InputFilter;
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Deserialize)]
struct Published {
    voltages: Vec<Voltages>,
    common_mode: Vec<CommonMode>,
    impedance: Vec<Impedance>,
    filter: Vec<Filter>,
}

#[derive(Deserialize)]
struct Head {
    entry: String,
    source: String,
    status: String,
}

#[derive(Deserialize)]
struct Voltages {
    #[serde(flatten)]
    head: Head,
    topology: String,
    ohms: BTreeMap<String, f64>,
    common_mode: (f64, f64),
    differential: (f64, f64),
    reference: f64,
    extremes: BTreeMap<String, (f64, f64)>,
}

#[derive(Deserialize)]
struct CommonMode {
    #[serde(flatten)]
    head: Head,
    topology: String,
    ohms: BTreeMap<String, f64>,
    supply: f64,
    output: f64,
    input: f64,
    greatest: f64,
}

#[derive(Deserialize)]
struct Impedance {
    #[serde(flatten)]
    head: Head,
    topology: String,
    ohms: BTreeMap<String, f64>,
    differential: f64,
}

#[derive(Deserialize)]
struct Filter {
    #[serde(flatten)]
    head: Head,
    resistor: f64,
    common: f64,
    across: f64,
    differential_hz: f64,
    common_mode_hz: f64,
    within: f64,
}

fn of(topology: &str, ohms: &BTreeMap<String, f64>) -> Case {
    let ohms: Vec<(&str, f64)> = ohms.iter().map(|(name, &ohm)| (name.as_str(), ohm)).collect();
    case(topology.parse::<Topology>().unwrap(), &ohms)
}

fn row(head: &Head, figure: &str, printed: String, (want, got): (f64, f64), within: (f64, &str)) -> Row {
    Row {
        entry: head.entry.clone(),
        figure: figure.to_owned(),
        source: head.source.clone(),
        kind: Kind::of_status(&head.status),
        printed,
        ought: None,
        want,
        got,
        allowed: within.0,
        reason: within.1.to_owned(),
    }
}

pub(crate) fn rows() -> Vec<Row> {
    let published: Published = toml::from_str(include_str!("../data/statics.toml")).unwrap();
    let mut rows = Vec::new();
    let ideal = (1e-11, "ideal op amps: rounding alone");
    for one in published.voltages {
        let mut case = of(&one.topology, &one.ohms).supply(-15.0, 15.0).signals(one.common_mode, one.differential);
        case.reference_v = one.reference;
        let figure = case.headroom();
        for (name, &(low, high)) in &one.extremes {
            let point = figure.points.iter().find(|point| point.name == *name).unwrap();
            let printed = format!("{} V, lowest at {name}", shortly(low));
            rows.push(row(&one.head, "headroom", printed, (low, point.lowest_v), ideal));
            let printed = format!("{} V, highest at {name}", shortly(high));
            rows.push(row(&one.head, "headroom", printed, (high, point.highest_v), ideal));
        }
    }
    for one in published.common_mode {
        let at = |common: f64| {
            let case = of(&one.topology, &one.ohms).supply(-one.supply, one.supply).rails(one.output, one.input);
            case.signals((common, common), (0.0, 0.0)).headroom().margin_v
        };
        // The margin falls evenly with the common mode: two of them tell where it is gone.
        let (first, second) = (at(0.9 * one.greatest), at(1.1 * one.greatest));
        let got = one.greatest * (0.9 + 0.2 * first / (first - second));
        let printed = format!("{} V, greatest common mode", shortly(one.greatest));
        rows.push(row(&one.head, "headroom", printed, (one.greatest, got), (1e-9, ideal.1)));
    }
    for one in published.impedance {
        let got = of(&one.topology, &one.ohms).impedance().differential_ohm.unwrap();
        let printed = format!("{} Ω between the inputs", one.differential);
        rows.push(row(&one.head, "input impedance", printed, (one.differential, got), (1e-6, ideal.1)));
    }
    for one in published.filter {
        let alone = filter_alone(&InputFilter {
            resistor_ohm: one.resistor,
            common_capacitor_f: one.common,
            differential_capacitor_f: one.across,
            resistor_tolerance: 0.0,
            capacitor_tolerance: 0.0,
            fault_voltage_v: None,
            fault_current_a: None,
        });
        for (what, want, got) in [
            ("differential", one.differential_hz, alone.differential_hz.unwrap()),
            ("common-mode", one.common_mode_hz, alone.common_mode_hz.unwrap()),
        ] {
            let printed = format!("{want} Hz, {what}, recomputed from the printed parts");
            let allowed = (want * one.within, "half a unit of the recomputed digits");
            rows.push(row(&one.head, "input filter", printed, (want, got), allowed));
        }
    }
    rows
}

/// Without the rounding of a double.
fn shortly(value: f64) -> f64 {
    (value * 1e9).round() / 1e9
}
