use super::{Bounds, Key, Kind, Names};
use crate::designator::Topology::{BufferedDifference, Difference, ThreeOpAmp, TwoOpAmp};
use crate::quantity::Unit::{Decibel, Fraction, KelvinPerWatt, Ohm, PerKelvin};

const RANGE: Key = Key::new("<resistor>", Kind::Range(Ohm), "Values allowed.").within(Bounds::POSITIVE);
const FIXED: Key = Key::new("<resistor>", Kind::OhmOrOpen, "The value.").within(Bounds::POSITIVE);

const PART: Key =
    Key::new("<resistor>", Kind::Table(GRADE_OF_ONE), "Grade of one resistor that differs from the others.");

const GRADE_OF_ONE: &[Key] = &[
    Key::new("tolerance", Kind::Quantity(Fraction), "Tolerance of this resistor.")
        .within(Bounds::SHARE)
        .rule("the tolerance of `[resistors]`")
        .sample(r#""0.05 %""#),
    Key::new("tempco", Kind::Quantity(PerKelvin), "Temperature coefficient of this resistor.")
        .within(Bounds::FROM_ZERO)
        .rule("the tempco of `[resistors]`")
        .sample(r#""10 ppm/K""#),
];

const NETWORK: &[Key] = &[
    Key::new("members", Kind::Members, "The resistors on one substrate, two at least, each in one network only.")
        .required()
        .sample(r#"["R1", "R2", "R3", "R4"]"#),
    Key::new("match", Kind::Quantity(Fraction), "The ratio of any two members stays within this of nominal.")
        .within(Bounds::SHARE)
        .required()
        .sample(r#""0.01 %""#),
    Key::new("match_tempco", Kind::Quantity(PerKelvin), "Change of such a ratio per kelvin.")
        .within(Bounds::FROM_ZERO)
        .rule("twice the tempco: no better than single resistors")
        .sample(r#""2 ppm/K""#),
    Key::new("tolerance", Kind::Quantity(Fraction), "Tolerance of what the members share.")
        .within(Bounds::SHARE)
        .rule("the tolerance of `[resistors]`")
        .sample(r#""0.1 %""#),
    Key::new("tempco", Kind::Quantity(PerKelvin), "Temperature coefficient of what the members share.")
        .within(Bounds::FROM_ZERO)
        .rule("the tempco of `[resistors]`")
        .sample(r#""25 ppm/K""#),
];

const GRADE: &[Key] = &[
    Key::new("tolerance", Kind::Quantity(Fraction), "Tolerance of the grade.")
        .within(Bounds::SHARE)
        .required()
        .sample(r#""0.1 %""#),
    Key::new("tempco", Kind::Quantity(PerKelvin), "Temperature coefficient of the grade.")
        .within(Bounds::FROM_ZERO)
        .rule("the tempco of `[resistors]`")
        .sample(r#""25 ppm/K""#),
    Key::new("price", Kind::Number, "Price of one resistor.").within(Bounds::FROM_ZERO).required().sample("0.04"),
];

/// `[resistors]`.
pub(super) const RESISTORS: &[Key] = &[
    Key::new(
        "series",
        Kind::Word(&["E3", "E6", "E12", "E24", "E48", "E96", "E192"]),
        "The preferred numbers that values are chosen from.",
    )
    .instead_of("stock")
    .or(r#""E96""#)
    .sample(r#""E96""#)
    .active(),
    Key::new("stock", Kind::Quantities(Ohm), "The values at hand, instead of a series.")
        .within(Bounds::POSITIVE)
        .instead_of("series")
        .sample(r#"["100", "470", "4k7", "10k", "22k", "47k"]"#),
    Key::new("parts", Kind::Count, "Resistors per place: 1, or 2 for series and parallel pairs too.")
        .within(Bounds::closed(1.0, 2.0))
        .or("1")
        .sample("2"),
    Key::new("tolerance", Kind::Quantity(Fraction), "Tolerance of a resistor that has no grade of its own.")
        .within(Bounds::SHARE)
        .rule("customary for the series: E3 40 %, E6 20 %, E12 10 %, E24 5 %, E48 2 %, E96 1 %, E192 0.5 %; stock 1 %")
        .sample(r#""0.1 %""#)
        .active(),
    Key::new(
        "tempco",
        Kind::Quantity(PerKelvin),
        "Temperature coefficient of a resistor that has no grade of its own (100 ppm/K: customary for film chips).",
    )
    .within(Bounds::FROM_ZERO)
    .or(r#""100 ppm/K""#)
    .sample(r#""25 ppm/K""#)
    .active(),
    Key::new("range", Kind::Each(Names::Resistors, &RANGE), "Values allowed, by designator.")
        .sample(r#"{ R1 = "1k .. 100k" }"#),
    Key::new(
        "fixed",
        Kind::Each(Names::Resistors, &FIXED),
        "What is decided, by designator; the rest is chosen. `RG = \"open\"` leaves RG out.",
    )
    .sample(r#"{ R1 = "10k" }"#),
    Key::new(
        "noise_index",
        Kind::Quantity(Decibel),
        "Excess noise of the resistors: 0 dB is 1 µV per volt across and decade of frequency.",
    )
    .within(Bounds::closed(-100.0, 60.0))
    .sample(r#""-30 dB""#),
    Key::new(
        "thermal_resistance",
        Kind::Quantity(KelvinPerWatt),
        "Self-heating of a resistor, for the nonlinearity that it causes.",
    )
    .within(Bounds::FROM_ZERO)
    .sample(r#""200 K/W""#),
    Key::new(
        "part",
        Kind::Each(Names::Resistors, &PART),
        "Resistors of another grade, by designator: `[resistors.part.RG]`.",
    ),
    Key::new("network", Kind::Tables(NETWORK), "Resistors of one substrate; may be repeated.").only(&[
        Difference,
        BufferedDifference,
        ThreeOpAmp,
        TwoOpAmp,
    ]),
    Key::new(
        "grade",
        Kind::Tables(GRADE),
        "A grade to choose from, the cheapest that meets the limits; may be repeated.",
    ),
];
