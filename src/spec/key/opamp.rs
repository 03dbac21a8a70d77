use super::{Bounds, Key, Kind, Names};
use crate::designator::Topology::{BufferedDifference, Difference, ThreeOpAmp, TwoOpAmp};
use crate::quantity::Unit::{
    Ampere, AmperePerRootHertz, Farad, Fraction, Hertz, Kelvin, Ohm, Rejection, Volt, VoltPerKelvin, VoltPerRootHertz,
    VoltPerSecond,
};

const RAILS: &[Key] = &[
    Key::new("from_negative", Kind::Quantity(Volt), "Distance from the negative rail; below zero reaches beyond it.")
        .required()
        .sample(r#""0.1 V""#),
    Key::new("from_positive", Kind::Quantity(Volt), "Distance from the positive rail; below zero reaches beyond it.")
        .required()
        .sample(r#""0.1 V""#),
];

const OPEN_LOOP_GAIN: Key = Key::new("open_loop_gain", Kind::Quantity(Rejection), "Least dc open-loop gain.")
    .within(Bounds::ABOVE_ONE)
    .sample(r#""120 dB""#)
    .active();
const GAIN_BANDWIDTH: Key = Key::new("gain_bandwidth", Kind::Quantity(Hertz), "Gain-bandwidth product.")
    .within(Bounds::POSITIVE)
    .sample(r#""1 MHz""#)
    .active();
const GAIN_BANDWIDTH_TOLERANCE: Key = Key::new(
    "gain_bandwidth_tolerance",
    Kind::Quantity(Fraction),
    "Tolerance of the gain-bandwidth product, each op amp by itself; 0 %: taken as exact.",
)
.within(Bounds::SHARE)
.or(r#""0 %""#)
.sample(r#""30 %""#);
const REJECTION: Key = Key::new("rejection", Kind::Quantity(Rejection), "Least common-mode rejection, dc.")
    .within(Bounds::ABOVE_ONE)
    .sample(r#""100 dB""#)
    .active();
const REJECTION_CORNER: Key =
    Key::new("rejection_corner", Kind::Quantity(Hertz), "Frequency above which the common-mode rejection falls.")
        .within(Bounds::POSITIVE)
        .sample(r#""100 Hz""#)
        .active();
const OFFSET: Key = Key::new("offset", Kind::Quantity(Volt), "Greatest offset voltage.")
    .within(Bounds::FROM_ZERO)
    .sample(r#""50 µV""#)
    .active();
const OFFSET_DRIFT: Key =
    Key::new("offset_drift", Kind::Quantity(VoltPerKelvin), "Greatest drift of the offset voltage.")
        .within(Bounds::FROM_ZERO)
        .sample(r#""0.5 µV/K""#)
        .active();
const VOLTAGE_NOISE: Key = Key::new("voltage_noise", Kind::Quantity(VoltPerRootHertz), "White voltage noise.")
    .within(Bounds::FROM_ZERO)
    .sample(r#""10 nV/√Hz""#)
    .active();
const VOLTAGE_NOISE_CORNER: Key =
    Key::new("voltage_noise_corner", Kind::Quantity(Hertz), "Frequency below which the voltage noise rises as 1/f.")
        .within(Bounds::FROM_ZERO)
        .sample(r#""3 Hz""#)
        .active();
pub(super) const SLEW_RATE: Key = Key::new("slew_rate", Kind::Quantity(VoltPerSecond), "Slew rate of the output.")
    .within(Bounds::POSITIVE)
    .sample(r#""0.5 V/µs""#)
    .active();
pub(super) const SUPPLY_REJECTION: Key =
    Key::new("supply_rejection", Kind::Quantity(Rejection), "Least rejection of supply changes, dc.")
        .within(Bounds::ABOVE_ONE)
        .sample(r#""100 dB""#);
pub(super) const SUPPLY_REJECTION_CORNER: Key =
    Key::new("supply_rejection_corner", Kind::Quantity(Hertz), "Frequency above which the supply rejection falls.")
        .within(Bounds::POSITIVE)
        .sample(r#""100 Hz""#);
pub(super) const BIAS_CURRENT: Key =
    Key::new("bias_current", Kind::Quantity(Ampere), "Greatest bias current of an input.")
        .within(Bounds::FROM_ZERO)
        .sample(r#""2 nA""#)
        .active();
pub(super) const OFFSET_CURRENT: Key =
    Key::new("offset_current", Kind::Quantity(Ampere), "Greatest difference of the two bias currents.")
        .within(Bounds::FROM_ZERO)
        .sample(r#""0.5 nA""#)
        .active();
pub(super) const BIAS_CURRENT_DOUBLING: Key = Key::new(
    "bias_current_doubling",
    Kind::Quantity(Kelvin),
    "Temperature rise that doubles the bias current (FET inputs: about 10 K).",
)
.within(Bounds::POSITIVE)
.sample(r#""10 K""#);
pub(super) const CURRENT_NOISE: Key =
    Key::new("current_noise", Kind::Quantity(AmperePerRootHertz), "White current noise of each input.")
        .within(Bounds::FROM_ZERO)
        .sample(r#""0.1 pA/√Hz""#)
        .active();
pub(super) const CURRENT_NOISE_CORNER: Key =
    Key::new("current_noise_corner", Kind::Quantity(Hertz), "Frequency below which the current noise rises as 1/f.")
        .within(Bounds::FROM_ZERO)
        .sample(r#""10 Hz""#);
pub(super) const OUTPUT_SWING: Key =
    Key::new("output_swing", Kind::Table(RAILS), "How near the output comes to the rails.")
        .rule("0 V from either rail, with a warning")
        .sample(r#"{ from_negative = "0.1 V", from_positive = "0.1 V" }"#)
        .active();
pub(super) const INPUT_RANGE: Key =
    Key::new("input_range", Kind::Table(RAILS), "How near the inputs may come to the rails.")
        .rule("0 V from either rail, with a warning")
        .sample(r#"{ from_negative = "0 V", from_positive = "1.2 V" }"#)
        .active();
pub(super) const INPUT_RESISTANCE: Key =
    Key::new("input_resistance", Kind::Quantity(Ohm), "Resistance of each input to ground.")
        .within(Bounds::POSITIVE)
        .sample(r#""1 GΩ""#);
pub(super) const INPUT_CAPACITANCE: Key =
    Key::new("input_capacitance", Kind::Quantity(Farad), "Capacitance of each input to ground.")
        .within(Bounds::FROM_ZERO)
        .sample(r#""3 pF""#);
pub(super) const PRICE: Key = Key::new("price", Kind::Number, "Price of one.").within(Bounds::FROM_ZERO).sample("1.20");

macro_rules! rows {
    ($($more:expr),* $(,)?) => {
        &[
            $($more,)*
            OPEN_LOOP_GAIN, GAIN_BANDWIDTH, GAIN_BANDWIDTH_TOLERANCE, SLEW_RATE, REJECTION, REJECTION_CORNER,
            SUPPLY_REJECTION, SUPPLY_REJECTION_CORNER, OFFSET, OFFSET_DRIFT, BIAS_CURRENT, OFFSET_CURRENT,
            BIAS_CURRENT_DOUBLING, VOLTAGE_NOISE, VOLTAGE_NOISE_CORNER, CURRENT_NOISE, CURRENT_NOISE_CORNER,
            OUTPUT_SWING, INPUT_RANGE, INPUT_RESISTANCE, INPUT_CAPACITANCE, PRICE,
        ]
    };
}

const ONE: Key = Key::new("<op amp>", Kind::Table(OPAMP), "What the data sheet states.");

/// `[opamp.all]`, `[opamp.A1]` …
const OPAMP: &[Key] = rows![
    Key::new("from", Kind::Path, "A part file, relative to this file; keys here win over it.")
        .instead_of("candidates")
        .sample(r#""parts/low-drift.toml""#),
    Key::new(
        "candidates",
        Kind::Path,
        "A folder of part files to choose from, relative to this file; in `[opamp.all]` only."
    )
    .instead_of("from")
    .sample(r#""parts/""#),
];

/// The whole of a part file.
pub const PART_FILE: &[Key] = rows![
    Key::new("title", Kind::Text, "What the part is called.")
        .rule("the name of the file")
        .sample(r#""Low-drift op amp""#)
];

/// `[opamp]`.
pub(super) const OPAMPS: Key = Key::new(
    "opamp",
    Kind::Each(Names::Amps, &ONE),
    "Op amps: `[opamp.all]` holds for all of the circuit, `[opamp.A1]` … for one, and its keys win. What is not given counts as ideal.",
)
.only(&[Difference, BufferedDifference, ThreeOpAmp, TwoOpAmp]);
