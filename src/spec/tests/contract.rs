//! The block of the contract's section 3, value by value; the SI values are converted by hand.
use super::{Shelf, one};
use crate::designator::{Amp, Designator, Topology};
use crate::part::{AtGain, Fixed, Grade, PricedGrade, Rails};
use crate::series::Series;
use crate::spec::read;
use crate::study::{Allowance, Converter, GainWish, InputFilter, Interference, Prefer, Question, Span, Stock, Supply};
use std::collections::BTreeMap;

/// Without the chip: a section that a three-op-amp circuit can't use is an error.
const BLOCK: &str = include_str!("contract.toml");
const PART: &str = include_str!("../../../examples/parts/low-drift.toml");

fn question() -> Question {
    let shelf = Shelf(BTreeMap::from([("parts/low-drift.toml", PART)]));
    let spec = read("a.toml", BLOCK, &shelf).unwrap_or_else(|faults| panic!("{faults}"));
    assert!(spec.titled);
    spec.channels[0].question.clone()
}

#[test]
fn what_is_amplified() {
    let q = question();
    assert_eq!(q.title, "Boom angle");
    assert_eq!(q.signal.differential, Some(Span { low: -0.018, high: 0.018 }));
    assert_eq!(q.signal.common_mode, Some(Span { low: 2.45, high: 2.55 }));
    assert_eq!(q.signal.dc_offset, Some(Span::point(0.0)));
    assert_eq!((q.signal.bandwidth_hz, q.signal.noise_from_hz), (Some(200.0), Some(0.1)));
    assert!(!q.signal.single_pole_noise);
    assert_eq!((q.source.resistance_ohm, q.source.imbalance_ohm), (175.0, 2.0));
    assert_eq!((q.source.bias_return_ohm, q.source.cable_capacitance_f), (Some(10e6), Some(100e-12)));
    assert!(!q.source.floating && !q.source.on_body && !q.source.mains_connected);
    assert_eq!(
        q.filter,
        Some(InputFilter {
            resistor_ohm: 1000.0,
            common_capacitor_f: 1e-9,
            differential_capacitor_f: 10e-9,
            resistor_tolerance: 0.01,
            capacitor_tolerance: 0.05,
            fault_voltage_v: None,
            fault_current_a: None,
        })
    );
    assert_eq!(q.interference, Some(Interference { frequency_hz: 50.0, amplitude_v: 0.2 }));
}

#[test]
fn what_is_around() {
    let q = question();
    let supply = Supply { positive_v: 5.0, negative_v: 0.0, ripple_v: 0.01, ripple_frequency_hz: None };
    assert_eq!(q.supply, Some(supply));
    assert_eq!((q.reference_v, q.reference_resistance_ohm), (Some(2.5), 0.0));
    assert_eq!(q.environment.temperature_c, Span { low: -20.0, high: 70.0 });
    assert_eq!((q.environment.calibrated_at_c, q.environment.reach_k()), (25.0, 45.0));
    assert_eq!((q.target.gain, q.target.prefer), (GainWish::Ratio(100.0), Prefer::Gain));
    assert_eq!(q.converter, Some(Converter { bits: 12, range_v: Span { low: 0.0, high: 5.0 } }));
    assert_eq!((q.topology, q.stage_two_gain), (Topology::ThreeOpAmp, Some(1.0)));
}

#[test]
fn how_resistors_are_bought() {
    let r = question().resistors;
    let grade = Grade { tolerance: 0.001, tempco_per_k: 25e-6 };
    assert_eq!((&r.stock, r.parts, r.grade), (&Stock::Series(Series::E96), 1, grade));
    let range = Span { low: 10e3, high: 100e3 };
    assert_eq!(r.range, BTreeMap::from([(Designator::RF1, range), (Designator::RF2, range)]));
    assert_eq!(r.fixed, BTreeMap::from([(Designator::R1, Fixed::Ohm(10e3))]));
    assert_eq!(r.grade_of(Designator::RG), Grade { tolerance: 0.0005, ..grade });
    assert_eq!(r.grade_of(Designator::R2), grade);
    assert_eq!(r.networks.len(), 1);
    assert_eq!(r.networks[0].members, [Designator::R1, Designator::R2, Designator::R3, Designator::R4]);
    assert_eq!((r.networks[0].match_fraction, r.networks[0].match_tempco_per_k), (0.0001, 2e-6));
    assert_eq!(r.networks[0].grade, None);
    assert_eq!(r.grades, [PricedGrade { grade, price: 0.04 }]);
}

#[test]
fn op_amps() {
    let q = question();
    assert_eq!(q.opamps.keys().copied().collect::<Vec<_>>(), [Amp::A1, Amp::A2, Amp::A3]);
    for a in q.opamps.values() {
        assert_eq!(a.title.as_deref(), Some("Puffin LD7"));
        assert_eq!((a.open_loop_gain, a.gain_bandwidth_hz, a.gain_bandwidth_tolerance), (Some(1e6), Some(1e6), 0.3));
        assert_eq!(a.slew_rate_v_per_s, Some(0.5e6));
        // The part file says 110 dB and 15 µV; keys of the spec win.
        assert_eq!((a.rejection, a.rejection_corner_hz, a.supply_rejection), (Some(1e5), Some(100.0), Some(1e5)));
        assert_eq!((a.offset_v, a.offset_drift_v_per_k), (Some(50e-6), Some(0.5e-6)));
        // Only the part file says this one.
        assert_eq!(a.supply_rejection_corner_hz, Some(100.0));
        assert_eq!((a.bias_current_a, a.offset_current_a), (Some(2e-9), Some(0.5e-9)));
        assert_eq!((a.voltage_noise_v_per_rthz, a.voltage_noise_corner_hz), (Some(10e-9), Some(3.0)));
        assert_eq!((a.current_noise_a_per_rthz, a.current_noise_corner_hz), (Some(0.1e-12), Some(10.0)));
        assert_eq!(a.output_swing, Some(Rails { from_negative_v: 0.1, from_positive_v: 0.1 }));
        assert_eq!(a.input_range, Some(Rails { from_negative_v: 0.0, from_positive_v: 1.2 }));
        assert_eq!((a.input_resistance_ohm, a.input_capacitance_f), (Some(1e9), Some(3e-12)));
        assert_eq!((a.price, a.bias_current_doubling_k), (Some(1.2), None));
    }
}

#[test]
fn the_board_and_the_limits() {
    let q = question();
    let board = q.board.expect("a board");
    assert_eq!(board.bom.as_deref(), Some("bom.csv"));
    assert_eq!(board.designators[&Designator::RF1], "R102");
    assert_eq!(board.columns["tolerance"], "Tol");
    assert_eq!((q.allow["rejection"], q.allow["gain"]), (Allowance::Absolute(0.1), Allowance::Relative(10e-6)));
    let l = q.limits;
    assert_eq!((l.gain_error, l.rejection_db, l.rejection_at_interference_db), (Some(0.006), Some(90.0), Some(80.0)));
    assert_eq!((l.headroom_v, l.offset_v, l.noise_v), (Some(0.1), Some(150e-6), Some(2e-6)));
    assert_eq!((l.bandwidth_hz, l.differential_impedance_ohm), (Some(200.0), Some(1e6)));
    assert_eq!((l.total_error, l.yield_fraction), (Some(0.012), Some(0.997)));
}

#[test]
fn a_chip() {
    let q = one(r#"
[target]
gain = 100
[circuit]
topology = "single-chip"
[chip]
gain_constant = "50k"              # K in G = base_gain + K/RG
base_gain     = 1
gain_error    = [{ gain = 100, error = "0.3 %" }, { gain = 1, error = "0.05 %" }]
rejection     = [{ gain = 1, at = "80 dB" }, { gain = 100, at = "110 dB" }]
bandwidth     = [{ gain = 1, at = "1 MHz" }, { gain = 100, at = "120 kHz" }]
rejection_corner = "200 Hz"
bias_current = "2 nA"
output_swing = { from_negative = "0.1 V", from_positive = "0.2 V" }
price = 3
"#)
    .question;
    let chip = q.chip.expect("a chip");
    assert_eq!((chip.gain_constant_ohm, chip.base_gain), (50e3, 1.0));
    assert_eq!(chip.gain_error, [AtGain { gain: 1.0, value: 0.0005 }, AtGain { gain: 100.0, value: 0.003 }]);
    assert_eq!(chip.rejection[0], AtGain { gain: 1.0, value: 1e4 });
    assert_eq!(chip.bandwidth[1], AtGain { gain: 100.0, value: 120e3 });
    assert_eq!(chip.rejection_corner_hz, Some(200.0));
    let amp = &q.opamps[&Amp::A1];
    assert_eq!((amp.bias_current_a, amp.price, amp.rejection_corner_hz), (Some(2e-9), Some(3.0), None));
    assert_eq!(amp.output_swing, Some(Rails { from_negative_v: 0.1, from_positive_v: 0.2 }));
    assert_eq!(q.opamps.len(), 1);
}

#[test]
fn only_a_target_is_required_and_the_defaults_are_those_of_the_page() {
    let q = one("[target]\ngain = 10\n").question;
    assert_eq!(q.topology, Topology::ThreeOpAmp);
    assert_eq!(q.resistors.stock, Stock::Series(Series::E96));
    assert_eq!(q.resistors.grade, Grade { tolerance: 0.01, tempco_per_k: 100e-6 });
    assert_eq!((q.source.cable_tolerance, q.signal.noise_from_hz), (0.1, Some(0.1)));
    assert_eq!((q.environment.temperature_c, q.environment.calibrated_at_c), (Span::point(25.0), 25.0));
    assert_eq!((q.supply, q.reference_v, q.filter, q.interference), (None, None, None, None));
    assert!(q.opamps.is_empty() && q.limits == crate::study::Limits::default());
    let e24 = one("[target]\ngain = 10\n[resistors]\nseries = \"E24\"\n").question;
    assert_eq!(e24.resistors.grade.tolerance, 0.05);
    let warm = one("[target]\ngain = 10\n[environment]\ncalibrated_at = \"40 °C\"\n").question;
    assert_eq!((warm.environment.temperature_c, warm.environment.reach_k()), (Span::point(40.0), 0.0));
    let network = one("[target]\ngain = 10\n[[resistors.network]]\nmembers = [\"R1\", \"R2\"]\nmatch = \"0.1 %\"\n");
    assert_eq!(network.question.resistors.networks[0].match_tempco_per_k, 200e-6);
}
