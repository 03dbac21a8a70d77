use super::{Bounds, Key, Kind, opamp};
use crate::quantity::Unit::{Fraction, Hertz, Ohm, PerKelvin, Rejection, Volt, VoltPerKelvin, VoltPerRootHertz};

const GAIN: Key =
    Key::new("gain", Kind::Number, "The gain it holds at, V/V.").within(Bounds::POSITIVE).required().sample("1");

const GAIN_ERROR: &[Key] = &[
    GAIN,
    Key::new("error", Kind::Quantity(Fraction), "Greatest relative gain error there.")
        .within(Bounds::SHARE)
        .required()
        .sample(r#""0.05 %""#),
];
const REJECTION: &[Key] = &[
    GAIN,
    Key::new("at", Kind::Quantity(Rejection), "Least rejection there.")
        .within(Bounds::ABOVE_ONE)
        .required()
        .sample(r#""80 dB""#),
];
const BANDWIDTH: &[Key] = &[
    GAIN,
    Key::new("at", Kind::Quantity(Hertz), "Bandwidth there.").within(Bounds::POSITIVE).required().sample(r#""1 MHz""#),
];

/// `[chip]`.
pub(super) const CHIP: &[Key] = &[
    Key::new("gain_constant", Kind::Quantity(Ohm), "K of the gain law G = base_gain + K/RG.")
        .within(Bounds::POSITIVE)
        .required()
        .sample(r#""50k""#)
        .active(),
    Key::new("base_gain", Kind::Number, "Gain with RG left out, V/V.")
        .within(Bounds::POSITIVE)
        .or("1")
        .sample("1")
        .active(),
    Key::new("gain_error", Kind::Tables(GAIN_ERROR), "Greatest relative gain error by gain, without RG's own.")
        .sample(r#"[{ gain = 1, error = "0.05 %" }, { gain = 100, error = "0.3 %" }]"#)
        .active(),
    Key::new("rejection", Kind::Tables(REJECTION), "Least common-mode rejection by gain.")
        .sample(r#"[{ gain = 1, at = "80 dB" }, { gain = 100, at = "110 dB" }]"#)
        .active(),
    Key::new("bandwidth", Kind::Tables(BANDWIDTH), "Bandwidth by gain.")
        .sample(r#"[{ gain = 1, at = "1 MHz" }, { gain = 100, at = "120 kHz" }]"#)
        .active(),
    Key::new("rejection_corner", Kind::Quantity(Hertz), "Frequency above which the rejection falls.")
        .within(Bounds::POSITIVE)
        .sample(r#""200 Hz""#),
    Key::new("gain_drift", Kind::Quantity(PerKelvin), "Greatest change of gain per kelvin, without RG's own.")
        .within(Bounds::FROM_ZERO)
        .sample(r#""25 ppm/K""#),
    Key::new("nonlinearity", Kind::Quantity(Fraction), "Greatest departure from a straight line, of full scale.")
        .within(Bounds::SHARE)
        .sample(r#""20 ppm""#),
    Key::new("offset_in", Kind::Quantity(Volt), "Greatest offset of the input stage.")
        .within(Bounds::FROM_ZERO)
        .sample(r#""50 µV""#)
        .active(),
    Key::new(
        "offset_out",
        Kind::Quantity(Volt),
        "Greatest offset of the output stage; divided by the gain when referred to the input.",
    )
    .within(Bounds::FROM_ZERO)
    .sample(r#""250 µV""#)
    .active(),
    Key::new("offset_in_drift", Kind::Quantity(VoltPerKelvin), "Drift of the input stage's offset.")
        .within(Bounds::FROM_ZERO)
        .sample(r#""0.5 µV/K""#),
    Key::new("offset_out_drift", Kind::Quantity(VoltPerKelvin), "Drift of the output stage's offset.")
        .within(Bounds::FROM_ZERO)
        .sample(r#""5 µV/K""#),
    Key::new("noise_in", Kind::Quantity(VoltPerRootHertz), "White noise of the input stage.")
        .within(Bounds::FROM_ZERO)
        .sample(r#""10 nV/√Hz""#)
        .active(),
    Key::new(
        "noise_out",
        Kind::Quantity(VoltPerRootHertz),
        "White noise of the output stage; divided by the gain when referred to the input.",
    )
    .within(Bounds::FROM_ZERO)
    .sample(r#""80 nV/√Hz""#)
    .active(),
    Key::new("noise_in_corner", Kind::Quantity(Hertz), "Frequency below which the input stage's noise rises as 1/f.")
        .within(Bounds::FROM_ZERO)
        .sample(r#""2 Hz""#),
    Key::new("noise_out_corner", Kind::Quantity(Hertz), "Frequency below which the output stage's noise rises as 1/f.")
        .within(Bounds::FROM_ZERO)
        .sample(r#""5 Hz""#),
    Key::new("stage_one_gain", Kind::Number, "Gain of the first stage, V/V, for the voltages of the inner nodes.")
        .within(Bounds::POSITIVE)
        .rule("the whole gain")
        .sample("10"),
    opamp::SLEW_RATE,
    opamp::SUPPLY_REJECTION,
    opamp::SUPPLY_REJECTION_CORNER,
    opamp::BIAS_CURRENT,
    opamp::OFFSET_CURRENT,
    opamp::BIAS_CURRENT_DOUBLING,
    opamp::CURRENT_NOISE,
    opamp::CURRENT_NOISE_CORNER,
    opamp::OUTPUT_SWING,
    opamp::INPUT_RANGE,
    opamp::INPUT_RESISTANCE,
    opamp::INPUT_CAPACITANCE,
    opamp::PRICE,
];
