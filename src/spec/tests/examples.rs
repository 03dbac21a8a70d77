//! The specs in `examples/` and the page in `docs/`.
use super::{Shelf, spec};
use crate::designator::{Amp, Topology};
use crate::part::Fixed;
use crate::spec::{format_page, read};
use std::collections::BTreeMap;

pub(super) const HOOK_LOAD: &str = include_str!("../../../examples/hook-load.toml");
pub(super) const BATTERY_SHUNT: &str = include_str!("../../../examples/battery-shunt.toml");
pub(super) const GEOPHONE: &str = include_str!("../../../examples/geophone.toml");
pub(super) const LOW_DRIFT: &str = include_str!("../../../examples/parts/low-drift.toml");

#[test]
fn the_hook_load_takes_its_op_amps_from_a_part_file() {
    let shelf = Shelf(BTreeMap::from([("parts/low-drift.toml", LOW_DRIFT)]));
    let spec = read("examples/hook-load.toml", HOOK_LOAD, &shelf).unwrap_or_else(|faults| panic!("{faults}"));
    let q = &spec.channels[0].question;
    assert_eq!(q.topology, Topology::ThreeOpAmp);
    assert_eq!(q.opamps[&Amp::A3].offset_v, Some(15e-6));
}

#[test]
fn the_battery_shunt_keeps_the_op_amp_in_its_range() {
    let spec = spec(BATTERY_SHUNT);
    let q = &spec.channels[0].question;
    let ohm = |name: &str| match q.resistors.fixed[&name.parse().expect("a name")] {
        Fixed::Ohm(ohm) => ohm,
        Fixed::Open => f64::INFINITY,
    };
    // Node voltage by Millman's theorem: 58 V through R3, 0 V through R4 = R2 and R6.
    let highest = q.signal.common_mode.expect("stated").high;
    let node = highest / ohm("R1") / (1.0 / ohm("R1") + 1.0 / ohm("R2") + 1.0 / ohm("R6"));
    let limit = q.supply.expect("stated").positive_v - q.opamps[&Amp::A1].input_range.expect("stated").from_positive_v;
    assert!((7.0..8.0).contains(&node) && node + 1.0 < limit, "{node} V of {limit} V");
}

#[test]
fn the_geophone_floats() {
    let spec = spec(GEOPHONE);
    let q = &spec.channels[0].question;
    assert!(q.topology == Topology::TwoOpAmp && q.source.floating && q.source.bias_return_ohm == Some(1e6));
}

#[test]
fn the_page_of_keys_is_current() {
    let page = include_str!("../../../docs/spec-format.md");
    if std::env::var_os("EVENKEEL_WRITE_DOCS").is_some() {
        std::fs::write(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/spec-format.md"), format_page()).expect("written");
    } else {
        assert!(
            page == format_page(),
            "docs/spec-format.md is old: run EVENKEEL_WRITE_DOCS=1 cargo test --lib page_of_keys"
        );
    }
}
