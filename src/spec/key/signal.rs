use super::{Bounds, Key, Kind};
use crate::designator::Topology::{SingleChip, ThreeOpAmp, TwoOpAmp};
use crate::quantity::Unit::{Ampere, Farad, Fraction, Hertz, Kelvin, Ohm, Volt, VoltPerKelvin};

/// `[signal]`.
pub(super) const SIGNAL: &[Key] = &[
    Key::new("differential", Kind::Range(Volt), "Differential signal between its least and its greatest value.")
        .sample(r#""-18 mV .. 18 mV""#)
        .active(),
    Key::new("common_mode", Kind::Range(Volt), "Common-mode voltage of the two inputs.")
        .sample(r#""2.45 V .. 2.55 V""#)
        .active(),
    Key::new(
        "dc_offset",
        Kind::Range(Volt),
        "Differential offset beside the signal; counts for headroom, not for full scale.",
    )
    .sample(r#""± 1 mV""#),
    Key::new("bandwidth", Kind::Quantity(Hertz), "Highest frequency of interest.")
        .within(Bounds::POSITIVE)
        .sample(r#""200 Hz""#)
        .active(),
    Key::new("noise_from", Kind::Quantity(Hertz), "Lowest frequency that counts for noise.")
        .within(Bounds::POSITIVE)
        .or(r#""0.1 Hz""#)
        .sample(r#""0.1 Hz""#),
    Key::new(
        "noise_bandwidth",
        Kind::Word(&["brick-wall", "single-pole"]),
        "How the noise band ends: sharply, or as behind one pole (its upper end times π/2).",
    )
    .or(r#""brick-wall""#)
    .sample(r#""single-pole""#),
];

/// `[source]`.
pub(super) const SOURCE: &[Key] = &[
    Key::new("resistance", Kind::Quantity(Ohm), "Resistance of each leg of the source.")
        .within(Bounds::FROM_ZERO)
        .or(r#""0 Ω""#)
        .sample(r#""175 Ω""#)
        .active(),
    Key::new(
        "imbalance",
        Kind::Quantity(Ohm),
        "Greatest difference between the two legs, less than twice the resistance.",
    )
    .within(Bounds::FROM_ZERO)
    .or(r#""0 Ω""#)
    .sample(r#""2 Ω""#)
    .active(),
    Key::new(
        "floating",
        Kind::Flag,
        "The source has no dc path of its own to the supplies (raises a review note, changes no figure).",
    )
    .or("false")
    .sample("true"),
    Key::new("bias_return", Kind::Quantity(Ohm), "Resistor from each amplifier input to the reference voltage.")
        .within(Bounds::POSITIVE)
        .sample(r#""10 MΩ""#),
    Key::new("bias_return_tolerance", Kind::Quantity(Fraction), "Tolerance of the bias-return resistors.")
        .within(Bounds::SHARE)
        .rule("the tolerance of `[resistors]`")
        .sample(r#""1 %""#),
    Key::new("cable_capacitance", Kind::Quantity(Farad), "Capacitance of each leg to ground, at the source.")
        .within(Bounds::POSITIVE)
        .sample(r#""100 pF""#),
    Key::new(
        "cable_tolerance",
        Kind::Quantity(Fraction),
        "Tolerance of the cable capacitance, each leg by itself (10 %: two cores of one cable).",
    )
    .within(Bounds::SHARE)
    .or(r#""10 %""#)
    .sample(r#""5 %""#),
    Key::new("on_body", Kind::Flag, "The source may be a person (raises a caution).").or("false").sample("true"),
    Key::new("mains_connected", Kind::Flag, "The source is connected to the mains (raises a caution).")
        .or("false")
        .sample("true"),
];

/// `[strays]`.
pub(super) const STRAYS: &[Key] = &[
    Key::new("rg_resistance", Kind::Quantity(Ohm), "Wiring in series with RG.")
        .within(Bounds::FROM_ZERO)
        .or(r#""0 Ω""#)
        .only(&[ThreeOpAmp, TwoOpAmp, SingleChip])
        .sample(r#""0.05 Ω""#),
    Key::new(
        "rg_capacitance",
        Kind::Quantity(Farad),
        "Difference between the capacitances of RG's two ends to ground.",
    )
    .within(Bounds::FROM_ZERO)
    .or(r#""0 F""#)
    .only(&[ThreeOpAmp, TwoOpAmp])
    .sample(r#""2 pF""#),
    Key::new(
        "thermal_emf",
        Kind::Quantity(VoltPerKelvin),
        "Thermal EMF of a joint against copper, for the two gradients below.",
    )
    .within(Bounds::FROM_ZERO)
    .sample(r#""3 µV/K""#),
    Key::new(
        "leg_gradient",
        Kind::Quantity(Kelvin),
        "Greatest temperature difference between the joints of one input leg; its EMF adds in each leg.",
    )
    .within(Bounds::FROM_ZERO)
    .or(r#""0 K""#)
    .sample(r#""0.1 K""#),
    Key::new("rg_gradient", Kind::Quantity(Kelvin), "Greatest temperature difference between the two ends of RG.")
        .within(Bounds::FROM_ZERO)
        .or(r#""0 K""#)
        .only(&[ThreeOpAmp, TwoOpAmp, SingleChip])
        .sample(r#""0.05 K""#),
];

/// `[input_filter]`.
pub(super) const FILTER: &[Key] = &[
    Key::new("resistor", Kind::Quantity(Ohm), "Filter or protection resistor in each leg.")
        .within(Bounds::POSITIVE)
        .required()
        .sample(r#""1k""#),
    Key::new("common_capacitor", Kind::Quantity(Farad), "Capacitor from each input to ground; 0 F: none.")
        .within(Bounds::FROM_ZERO)
        .or(r#""0 F""#)
        .sample(r#""1 nF""#),
    Key::new("differential_capacitor", Kind::Quantity(Farad), "Capacitor across the inputs; 0 F: none.")
        .within(Bounds::FROM_ZERO)
        .or(r#""0 F""#)
        .sample(r#""10 nF""#),
    Key::new(
        "resistor_tolerance",
        Kind::Quantity(Fraction),
        "Tolerance of the filter resistors (1 %: customary for film chips).",
    )
    .within(Bounds::SHARE)
    .or(r#""1 %""#)
    .sample(r#""1 %""#),
    Key::new(
        "capacitor_tolerance",
        Kind::Quantity(Fraction),
        "Tolerance of the filter capacitors (5 %: customary for class-1 ceramic).",
    )
    .within(Bounds::SHARE)
    .or(r#""5 %""#)
    .sample(r#""5 %""#),
    Key::new(
        "fault_voltage",
        Kind::Quantity(Volt),
        "Voltage at an input that must be survived; sizes the resistor as protection.",
    )
    .within(Bounds::POSITIVE)
    .sample(r#""24 V""#),
    Key::new("fault_current", Kind::Quantity(Ampere), "Current the amplifier's input survives.")
        .within(Bounds::POSITIVE)
        .sample(r#""10 mA""#),
];

/// `[interference]`.
pub(super) const INTERFERENCE: &[Key] = &[
    Key::new("frequency", Kind::Quantity(Hertz), "Frequency of the common-mode pick-up.")
        .within(Bounds::POSITIVE)
        .required()
        .sample(r#""50 Hz""#),
    Key::new(
        "amplitude",
        Kind::Quantity(Volt),
        "Its peak, common mode; 0 V: only the rejection at its frequency is asked.",
    )
    .within(Bounds::FROM_ZERO)
    .or(r#""0 V""#)
    .sample(r#""0.2 V""#),
];
