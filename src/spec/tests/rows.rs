//! No row of the table is idle: each key changes the question, and each bound is held.
use super::Shelf;
use crate::designator::Topology;
use crate::spec::key::{Default, Kind, Leaf, ROOT, leaves};
use crate::spec::read;
use std::collections::BTreeMap;

/// A spec with the keys that others need, and one more.
fn text(leaf: &Leaf, topology: Topology, value: Option<&str>) -> String {
    let path = leaf
        .path
        .replace("<op amp>", "all")
        .replace("<resistor>", if topology.gain_set_by_one() { "RG" } else { "R1" });
    let mut lines: Vec<(String, String)> = vec![
        ("target.gain".into(), "100".into()),
        ("circuit.topology".into(), format!("\"{topology}\"")),
        ("supply.positive".into(), "\"5 V\"".into()),
        ("signal.differential".into(), "\"± 10 mV\"".into()),
        ("source.resistance".into(), "\"200 Ω\"".into()),
        ("interference.frequency".into(), "\"60 Hz\"".into()),
        ("input_filter.resistor".into(), "\"2k\"".into()),
        ("output.adc_bits".into(), "10".into()),
        ("output.adc_range".into(), "\"0 V .. 1 V\"".into()),
    ];
    if topology == Topology::SingleChip {
        lines.push(("chip.gain_constant".into(), "\"10k\"".into()));
    }
    lines.retain(|(key, _)| {
        *key != path && leaf.key.instead_of.is_none_or(|other| *key != path.replace(leaf.key.name, other))
    });
    let mut out = String::new();
    if path == "resistors.network[].members" && value.is_none() {
        return text(leaf, topology, Some("[\"R1\", \"R3\"]"));
    }
    if let Some((list, key)) = path.split_once("[].") {
        let mut row: BTreeMap<&str, &str> = match list {
            "resistors.network" => BTreeMap::from([("members", "[\"R1\", \"R2\"]"), ("match", "\"1 %\"")]),
            _ => BTreeMap::from([("tolerance", "\"1 %\""), ("price", "1")]),
        };
        if let Some(value) = value {
            row.insert(key, value);
        }
        for (key, value) in lines {
            out += &format!("{key} = {value}\n");
        }
        out += &format!("[[{list}]]\n");
        for (key, value) in row {
            out += &format!("{key} = {value}\n");
        }
        return out;
    }
    if let Some(value) = value {
        lines.push((path, value.to_owned()));
    }
    lines.iter().map(|(key, value)| format!("{key} = {value}\n")).collect()
}

#[test]
fn every_key_changes_the_question() {
    let shelf = Shelf(BTreeMap::from([("parts/low-drift.toml", "offset = \"3 mV\"\n")]));
    for leaf in leaves(ROOT) {
        for topology in &leaf.uses {
            // Pairs within one key, and the topology itself: the test of the contract's block reads them.
            if leaf.path == "circuit.topology" || leaf.key.name.starts_with("from_") {
                continue;
            }
            let question =
                |value: Option<&str>| {
                    let value = value.map(|v: &str| {
                        if *topology == Topology::SingleChip { v.replace("{ R1", "{ RG") } else { v.to_owned() }
                    });
                    let text = text(&leaf, *topology, value.as_deref());
                    let spec = read("a.toml", &text, &shelf).unwrap_or_else(|faults| panic!("{text}\n{faults}"));
                    spec.channels[0].question.clone()
                };
            // A sample that repeats the default shows nothing: another value is taken.
            let sample = match leaf.path.as_str() {
                "signal.noise_from" => "\"2 Hz\"",
                "supply.negative" => "\"-5 V\"",
                "supply.reference" => "\"1 V\"",
                "environment.calibrated_at" => "\"20 °C\"",
                "input_filter.resistor_tolerance" | "trimmer.tolerance" => "\"2 %\"",
                "input_filter.capacitor_tolerance" => "\"10 %\"",
                "resistors.series" => "\"E24\"",
                "chip.base_gain" => "5",
                "trimmer.end_resistance" => "\"5 Ω\"",
                "trimmer.tempco" | "switch.tempco" => "\"50 ppm/K\"",
                "trimmer.adjustability" => "\"1 %\"",
                _ => leaf.key.sample,
            };
            let without = if leaf.key.default == Default::Required && leaf.path.starts_with("chip.") {
                continue;
            } else if matches!(
                leaf.path.as_str(),
                "interference.frequency"
                    | "input_filter.resistor"
                    | "output.adc_bits"
                    | "output.adc_range"
                    | "target.gain"
                    | "target.output"
            ) {
                continue; // Required by their own table; the test of the contract's block reads them.
            } else {
                question(None)
            };
            assert_ne!(question(Some(sample)), without, "{} does nothing in {topology}", leaf.path);
        }
    }
}

#[test]
fn every_default_is_a_value_of_its_own_row() {
    for leaf in leaves(ROOT) {
        if let Default::Value(toml) = leaf.key.default {
            let path = leaf.path.replace("<op amp>", "all").replace("<resistor>", "R1");
            assert!(crate::spec::tree::default_value(&path).is_some(), "{path} = {toml}");
        }
    }
}

#[test]
fn every_word_is_accepted_and_every_bound_is_told() {
    for leaf in leaves(ROOT) {
        let topology = leaf.uses[0];
        if let Kind::Word(words) = leaf.key.kind
            && leaf.path != "circuit.topology"
        {
            for word in words {
                let text = text(&leaf, topology, Some(&format!("\"{word}\"")));
                assert!(read("a.toml", &text, &crate::spec::NoFiles).is_ok(), "{} {word}", leaf.path);
            }
        }
        let below = match leaf.key.kind {
            Kind::Quantity(_) | Kind::Number | Kind::OhmOrOpen if !leaf.key.bounds.allow(-1.0) => {
                leaf.key.sample.replacen(|c: char| c.is_ascii_digit(), "-1", 1)
            }
            _ => continue,
        };
        let text = text(&leaf, topology, Some(&below));
        let faults = read("a.toml", &text, &crate::spec::NoFiles).expect_err(&leaf.path).0;
        assert!(faults.iter().any(|f| f.code == "out-of-range"), "{} {below}: {faults:?}", leaf.path);
    }
}
