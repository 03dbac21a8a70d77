use super::{Bounds, Key, Kind};
use crate::designator::Topology::ThreeOpAmp;
use crate::quantity::Unit::{Celsius, Hertz, Ohm, Volt};

/// `[supply]`.
pub(super) const SUPPLY: &[Key] = &[
    Key::new("positive", Kind::Quantity(Volt), "Positive rail; needed by `negative` and `ripple`.")
        .sample(r#""5 V""#)
        .active(),
    Key::new("negative", Kind::Quantity(Volt), "Negative rail, below the positive one.")
        .or(r#""0 V""#)
        .sample(r#""0 V""#)
        .active(),
    Key::new("reference", Kind::Quantity(Volt), "Voltage the output rests at, within the supplies.")
        .rule("0 V inside a split supply, else half-way between the rails; chosen, where `target.output` is given")
        .sample(r#""2.5 V""#)
        .active(),
    Key::new("reference_resistance", Kind::Quantity(Ohm), "Resistance of whatever drives the reference.")
        .within(Bounds::FROM_ZERO)
        .or(r#""0 Ω""#)
        .sample(r#""0.1 Ω""#),
    Key::new("ripple", Kind::Quantity(Volt), "Ripple of the supply, peak.")
        .within(Bounds::FROM_ZERO)
        .or(r#""0 V""#)
        .sample(r#""10 mV""#),
    Key::new("ripple_frequency", Kind::Quantity(Hertz), "Frequency of the ripple.")
        .within(Bounds::POSITIVE)
        .rule("dc")
        .sample(r#""100 Hz""#),
];

/// `[environment]`.
pub(super) const ENVIRONMENT: &[Key] = &[
    Key::new("temperature", Kind::Range(Celsius), "Operating temperatures.")
        .within(Bounds::CELSIUS)
        .rule("`calibrated_at` alone")
        .sample(r#""-20 °C .. 70 °C""#)
        .active(),
    Key::new("calibrated_at", Kind::Quantity(Celsius), "Temperature at which calibration happens.")
        .within(Bounds::CELSIUS)
        .or(r#""25 °C""#)
        .sample(r#""25 °C""#)
        .active(),
];

/// `[target]`.
pub(super) const TARGET: &[Key] = &[
    Key::new("gain", Kind::Number, "The gain wanted, V/V.")
        .within(Bounds::POSITIVE)
        .instead_of("output")
        .rule("`output` is required")
        .sample("100")
        .active(),
    Key::new("output", Kind::Range(Volt), "The output range that the differential signal has to fill.")
        .instead_of("gain")
        .rule("`gain` is required")
        .sample(r#""0.5 V .. 4.5 V""#),
    Key::new(
        "prefer",
        Kind::Word(&["gain", "parts", "noise", "price"]),
        "Which wish comes second, after the limits, when values are chosen.",
    )
    .or(r#""gain""#)
    .sample(r#""parts""#),
];

/// `[output]`.
pub(super) const OUTPUT: &[Key] = &[
    Key::new("adc_bits", Kind::Count, "Resolution of the converter that reads the output.")
        .within(Bounds::closed(1.0, 32.0))
        .required()
        .sample("12"),
    Key::new("adc_range", Kind::Range(Volt), "Its input range.").required().sample(r#""0 V .. 5 V""#),
];

/// `[circuit]`.
pub(super) const CIRCUIT: &[Key] = &[
    Key::new(
        "topology",
        Kind::Word(&["difference", "buffered-difference", "three-op-amp", "two-op-amp", "single-chip"]),
        "The circuit.",
    )
    .or(r#""three-op-amp""#)
    .sample(r#""three-op-amp""#)
    .active(),
    Key::new("stage_two_gain", Kind::Number, "Gain of the difference stage, V/V.")
        .within(Bounds::POSITIVE)
        .only(&[ThreeOpAmp])
        .rule("chosen")
        .sample("1"),
];
