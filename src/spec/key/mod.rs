//! The one table of keys: reader, nearest-key help, starter spec and the page of keys all come from it.
//!
//! A row is plain data, so that a schema can be made of it. Rows nest as the spec does.
mod board;
mod bounds;
mod chip;
mod environment;
mod limits;
mod opamp;
mod resistors;
mod root;
mod signal;
mod walk;

pub use bounds::{Bounds, Edge};
pub use opamp::PART_FILE;
pub use root::ROOT;
pub(crate) use walk::join;
pub use walk::{Leaf, Level, find, leaves};

use crate::designator::Topology;
use crate::quantity::Unit;

/// One key of the spec.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Key {
    /// Its name inside its table.
    pub name: &'static str,
    /// What may stand behind it.
    pub kind: Kind,
    /// One sentence: what it means.
    pub sentence: &'static str,
    /// What holds where it is left out.
    pub default: Default,
    /// Least and greatest value, SI; of both ends for a range, of each element for a list.
    pub bounds: Bounds,
    /// The topologies that can use it; `None`: all.
    pub uses: Option<&'static [Topology]>,
    /// The key of the same table that excludes this one.
    pub instead_of: Option<&'static str>,
    /// A value as TOML, for the starter spec; empty for a table that gets its own heading.
    pub sample: &'static str,
    /// True where the starter spec has the key active, false where it is commented out.
    pub active: bool,
}

/// What holds where a key is left out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Default {
    /// The table can't do without the key.
    Required,
    /// Whatever it describes is absent or ideal, or the figure that needs it is not predicted.
    Absent,
    /// This value, as TOML.
    Value(&'static str),
    /// A value that depends on others, in words.
    Rule(&'static str),
}

/// What may stand behind a key.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kind {
    /// Text with a unit.
    Quantity(Unit),
    /// `"low .. high"`, `"centre ± half"`, or one value.
    Range(Unit),
    /// A rejection that stays in decibels.
    Decibels,
    /// A bare number (a gain, a price), or the same as text.
    Number,
    /// A whole number.
    Count,
    /// `true` or `false`.
    Flag,
    /// Any text without control characters.
    Text,
    /// A file or folder below the spec's own.
    Path,
    /// One of these words.
    Word(&'static [&'static str]),
    /// A resistance, or `"open"`.
    OhmOrOpen,
    /// A change: `"0.1 dB"`, `"10 ppm"`, `"1 µV"`, by the figure it is set for.
    Change,
    /// A list of texts with a unit.
    Quantities(Unit),
    /// A list of designators.
    Members,
    /// A table with these keys.
    Table(&'static [Key]),
    /// A list of such tables.
    Tables(&'static [Key]),
    /// A table whose keys are names, each with a value of this row.
    Each(Names, &'static Key),
}

/// What kind of names a table is keyed by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Names {
    /// Designators of resistors; RF stands for RF1 and RF2.
    Resistors,
    /// `all`, or an op amp.
    Amps,
    /// Columns of a bill of materials.
    Columns,
    /// Figures and limits, for `check --against`.
    Figures,
}

/// A figure whose change can be bounded: its name, the unit of an absolute change, and whether a
/// fraction is relative to the baseline.
pub const FIGURES: [(&str, Unit, bool); 13] = [
    ("gain", Unit::Plain, true),
    ("gain_error", Unit::Fraction, false),
    ("rejection", Unit::Decibel, true),
    ("rejection_at_interference", Unit::Decibel, true),
    ("headroom", Unit::Volt, true),
    ("impedance", Unit::Ohm, true),
    ("differential_impedance", Unit::Ohm, true),
    ("offset", Unit::Volt, true),
    ("noise", Unit::Volt, true),
    ("bandwidth", Unit::Hertz, true),
    ("budget", Unit::Fraction, false),
    ("total_error", Unit::Fraction, false),
    ("yield", Unit::Fraction, false),
];

impl Names {
    /// The names that are known, in the order they are listed to people.
    #[must_use]
    pub fn known(self) -> Vec<&'static str> {
        match self {
            Self::Resistors => {
                std::iter::once("RF").chain(crate::designator::Designator::ALL.map(|d| d.name())).collect()
            }
            Self::Amps => vec!["all", "A1", "A2", "A3"],
            Self::Columns => vec!["reference", "value", "tolerance"],
            Self::Figures => FIGURES.iter().map(|(name, ..)| *name).collect(),
        }
    }

    /// How a name stands in a path of the documentation.
    #[must_use]
    pub const fn placeholder(self) -> &'static str {
        match self {
            Self::Resistors => "<resistor>",
            Self::Amps => "<op amp>",
            Self::Columns => "<column>",
            Self::Figures => "<figure>",
        }
    }
}

impl Key {
    const fn new(name: &'static str, kind: Kind, sentence: &'static str) -> Self {
        Self {
            name,
            kind,
            sentence,
            default: Default::Absent,
            bounds: Bounds::ANY,
            uses: None,
            instead_of: None,
            sample: "",
            active: false,
        }
    }
    const fn required(mut self) -> Self {
        self.default = Default::Required;
        self
    }
    const fn or(mut self, toml: &'static str) -> Self {
        self.default = Default::Value(toml);
        self
    }
    const fn rule(mut self, words: &'static str) -> Self {
        self.default = Default::Rule(words);
        self
    }
    const fn within(mut self, bounds: Bounds) -> Self {
        self.bounds = bounds;
        self
    }
    const fn only(mut self, topologies: &'static [Topology]) -> Self {
        self.uses = Some(topologies);
        self
    }
    const fn instead_of(mut self, other: &'static str) -> Self {
        self.instead_of = Some(other);
        self
    }
    const fn sample(mut self, toml: &'static str) -> Self {
        self.sample = toml;
        self
    }
    const fn active(mut self) -> Self {
        self.active = true;
        self
    }

    /// True where a circuit of this topology can use the key.
    #[must_use]
    pub fn usable_by(&self, topology: Topology) -> bool {
        self.uses.is_none_or(|uses| uses.contains(&topology))
    }
}
