//! The names on the drawing: topologies, resistors, op amps.
//!
//! Every room above speaks of parts by these names; which element of a network stands
//! behind a name is told by [`crate::stage`].
use serde::Serialize;
use std::{fmt, str::FromStr};

/// A circuit this crate knows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Topology {
    /// One op amp and four resistors (six with the dividing pair R5, R6).
    Difference,
    /// The difference stage behind two followers.
    BufferedDifference,
    /// Two input op amps that share RG, and a difference stage.
    ThreeOpAmp,
    /// Two op amps in a row, high impedance at both inputs.
    TwoOpAmp,
    /// One amplifier sold as a part, described by its gain law.
    SingleChip,
}

/// A resistor of the circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "UPPERCASE")]
#[allow(missing_docs, reason = "designators explain themselves on the drawing")]
pub enum Designator {
    R1,
    R2,
    R3,
    R4,
    R5,
    R6,
    RF1,
    RF2,
    RG,
}

/// An op amp of the circuit (or the one amplifier of a single chip, A1).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[allow(missing_docs, reason = "designators explain themselves on the drawing")]
pub enum Amp {
    A1,
    A2,
    A3,
}

/// The text is no such name.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{read}` is no {kind}; known: {known}")]
pub struct UnknownName {
    /// What was read.
    pub read: String,
    /// What was looked for.
    pub kind: &'static str,
    /// The names that would be right, comma-separated.
    pub known: String,
}

impl Topology {
    /// All of them, in the order they are listed to people.
    pub const ALL: [Self; 5] =
        [Self::Difference, Self::BufferedDifference, Self::ThreeOpAmp, Self::TwoOpAmp, Self::SingleChip];

    /// The name in specs, flags and JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Difference => "difference",
            Self::BufferedDifference => "buffered-difference",
            Self::ThreeOpAmp => "three-op-amp",
            Self::TwoOpAmp => "two-op-amp",
            Self::SingleChip => "single-chip",
        }
    }

    /// The resistors the circuit must have; R5 and R6 of `difference` are optional and not among them.
    #[must_use]
    pub const fn resistors(self) -> &'static [Designator] {
        use Designator::{R1, R2, R3, R4, RF1, RF2, RG};
        match self {
            Self::Difference | Self::BufferedDifference => &[R1, R2, R3, R4],
            Self::ThreeOpAmp => &[RG, RF1, RF2, R1, R2, R3, R4],
            Self::TwoOpAmp => &[RG, R1, R2, R3, R4],
            Self::SingleChip => &[RG],
        }
    }

    /// The op amps of the circuit, from the inputs to the output.
    #[must_use]
    pub const fn amps(self) -> &'static [Amp] {
        use Amp::{A1, A2, A3};
        match self {
            Self::Difference | Self::SingleChip => &[A1],
            Self::TwoOpAmp => &[A1, A2],
            Self::BufferedDifference | Self::ThreeOpAmp => &[A1, A2, A3],
        }
    }

    /// True where one resistor, RG, sets the gain.
    #[must_use]
    pub const fn gain_set_by_one(self) -> bool {
        matches!(self, Self::ThreeOpAmp | Self::TwoOpAmp | Self::SingleChip)
    }
}

impl Designator {
    /// All of them, in the order they are listed to people.
    pub const ALL: [Self; 9] =
        [Self::RG, Self::RF1, Self::RF2, Self::R1, Self::R2, Self::R3, Self::R4, Self::R5, Self::R6];

    /// The name on the drawing.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::R1 => "R1",
            Self::R2 => "R2",
            Self::R3 => "R3",
            Self::R4 => "R4",
            Self::R5 => "R5",
            Self::R6 => "R6",
            Self::RF1 => "RF1",
            Self::RF2 => "RF2",
            Self::RG => "RG",
        }
    }

    /// The designators a name stands for: `RF` is RF1 and RF2, any other name itself.
    ///
    /// # Errors
    /// [`UnknownName`] when the text is none of them; case matters.
    pub fn expand(name: &str) -> Result<Vec<Self>, UnknownName> {
        if name == "RF" {
            return Ok(vec![Self::RF1, Self::RF2]);
        }
        name.parse().map(|one| vec![one])
    }
}

impl Amp {
    /// The name on the drawing.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::A1 => "A1",
            Self::A2 => "A2",
            Self::A3 => "A3",
        }
    }
}

macro_rules! named {
    ($type:ty, $kind:literal, $all:expr) => {
        impl fmt::Display for $type {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.pad(self.name())
            }
        }
        impl FromStr for $type {
            type Err = UnknownName;
            fn from_str(text: &str) -> Result<Self, UnknownName> {
                $all.into_iter().find(|one| one.name() == text).ok_or_else(|| UnknownName {
                    read: text.to_owned(),
                    kind: $kind,
                    known: $all.map(|one| one.name()).join(", "),
                })
            }
        }
    };
}
named!(Topology, "topology", Topology::ALL);
named!(Designator, "resistor", Designator::ALL);
named!(Amp, "op amp", [Amp::A1, Amp::A2, Amp::A3]);

/// A value for each resistor on the drawing; one without a value is absent (RG: open).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Ohms([Option<f64>; 9]);

impl Ohms {
    /// The value of one resistor, Ω; `None`: absent or open.
    #[must_use]
    pub const fn get(&self, name: Designator) -> Option<f64> {
        self.0[name as usize]
    }

    /// Gives one resistor a value, or takes it away.
    pub const fn set(&mut self, name: Designator, ohm: Option<f64>) {
        self.0[name as usize] = ohm;
    }

    /// The resistors that are there, in drawing order.
    pub fn present(&self) -> impl Iterator<Item = (Designator, f64)> + '_ {
        Designator::ALL.into_iter().filter_map(|name| self.get(name).map(|ohm| (name, ohm)))
    }
}

impl FromIterator<(Designator, f64)> for Ohms {
    fn from_iter<I: IntoIterator<Item = (Designator, f64)>>(items: I) -> Self {
        let mut all = Self::default();
        for (name, ohm) in items {
            all.set(name, Some(ohm));
        }
        all
    }
}
