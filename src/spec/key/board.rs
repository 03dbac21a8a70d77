use super::{Bounds, Key, Kind, Names};
use crate::quantity::Unit::{Fraction, Ohm, PerKelvin};

const DESIGNATOR: Key = Key::new("<resistor>", Kind::Text, "Its designator in the bill of materials.");
const COLUMN: Key = Key::new("<column>", Kind::Text, "Its heading.");
const CHANGE: Key = Key::new("<figure>", Kind::Change, "Greatest change.");

/// `[trimmer]`.
pub(super) const TRIMMER: &[Key] = &[
    Key::new(
        "tolerance",
        Kind::Quantity(Fraction),
        "Tolerance of the trimmer's whole resistance (a multi-turn cermet trimmer).",
    )
    .within(Bounds::SHARE)
    .or(r#""10 %""#)
    .sample(r#""10 %""#),
    Key::new(
        "end_resistance",
        Kind::Quantity(Ohm),
        "Resistance left at the end of travel (a multi-turn cermet trimmer).",
    )
    .within(Bounds::FROM_ZERO)
    .rule("1 % of the trimmer, 2 Ω at least")
    .sample(r#""2 Ω""#),
    Key::new(
        "tempco",
        Kind::Quantity(PerKelvin),
        "Temperature coefficient of the trimmer (100 ppm/K: customary for cermet).",
    )
    .within(Bounds::FROM_ZERO)
    .or(r#""100 ppm/K""#)
    .sample(r#""100 ppm/K""#),
    Key::new(
        "adjustability",
        Kind::Quantity(Fraction),
        "Smallest step that can be set, of the whole resistance (0.05 %: a multi-turn trimmer).",
    )
    .within(Bounds::above_to(0.0, 1.0))
    .or(r#""0.05 %""#)
    .sample(r#""0.05 %""#),
];

/// `[switch]`.
pub(super) const SWITCH: &[Key] = &[
    Key::new("on_resistance", Kind::Quantity(Ohm), "On-resistance of a closed switch.")
        .within(Bounds::FROM_ZERO)
        .sample(r#""5 Ω""#),
    Key::new("on_resistance_match", Kind::Quantity(Ohm), "Greatest difference of on-resistance between two switches.")
        .within(Bounds::FROM_ZERO)
        .rule("the on-resistance itself")
        .sample(r#""0.5 Ω""#),
    Key::new(
        "tempco",
        Kind::Quantity(PerKelvin),
        "Temperature coefficient of the on-resistance (0.5 %/K: customary for CMOS switches).",
    )
    .within(Bounds::FROM_ZERO)
    .or(r#""0.5 %/K""#)
    .sample(r#""0.5 %/K""#),
];

/// `[yield]`.
pub(super) const YIELD: &[Key] = &[
    Key::new("boards", Kind::Count, "Number of boards drawn.")
        .within(Bounds::closed(1.0, 1e12))
        .rule("the command's")
        .sample("100000"),
    Key::new("seed", Kind::Count, "Seed of the draw; the same seed draws the same boards.")
        .within(Bounds::closed(0.0, 9.223_372_036_854_775e18))
        .rule("the command's")
        .sample("1"),
    Key::new(
        "shape",
        Kind::Word(&["uniform", "normal"]),
        "Distribution on each bound: uniform, or normal with sigma a third of it, truncated.",
    )
    .rule("the command's")
    .sample(r#""normal""#),
    Key::new(
        "temperature",
        Kind::Word(&["limit", "uniform"]),
        "Temperature of each board: at its limit, or drawn uniformly.",
    )
    .rule("the command's")
    .sample(r#""uniform""#),
];

/// `[board]`.
pub(super) const BOARD: &[Key] = &[
    Key::new("bom", Kind::Path, "The bill of materials, a CSV file relative to this file.").sample(r#""bom.csv""#),
    Key::new("designators", Kind::Each(Names::Resistors, &DESIGNATOR), "Which line of the bill is which resistor.")
        .sample(r#"{ R1 = "R101" }"#),
    Key::new("columns", Kind::Each(Names::Columns, &COLUMN), "Headings of the bill's columns.")
        .rule("found by heading")
        .sample(r#"{ reference = "Designator", value = "Value", tolerance = "Tol" }"#),
];

/// `[check]`.
pub(super) const CHECK: &[Key] = &[Key::new(
    "allow",
    Kind::Each(Names::Figures, &CHANGE),
    "By how much a figure may move for `check --against`: decibels, a fraction of the baseline, or so much in its own unit.",
)
.sample(r#"{ rejection = "0.1 dB", gain = "10 ppm" }"#)];
