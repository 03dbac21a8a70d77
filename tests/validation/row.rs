//! One reference case with what the program says to it.
use serde::Deserialize;

/// What a case rests on.
#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Eq, PartialOrd, Ord)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Kind {
    Seen,
    Memory,
    Witness,
    Law,
    Recomputed,
}

impl Kind {
    pub(crate) const ALL: [Self; 5] = [Self::Seen, Self::Memory, Self::Witness, Self::Law, Self::Recomputed];

    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::Seen => "published and seen",
            Self::Memory => "published, from memory",
            Self::Witness => "second witness",
            Self::Law => "law",
            Self::Recomputed => "recomputed only",
        }
    }

    /// From the words of the older data files.
    pub(crate) fn of_status(status: &str) -> Self {
        if status.contains("recomputed") {
            Self::Recomputed
        } else if status.starts_with("SEEN") {
            Self::Seen
        } else {
            Self::Memory
        }
    }
}

#[derive(Clone, Debug)]
pub(crate) struct Row {
    /// Identifier of the entry, with what tells its cases apart.
    pub(crate) entry: String,
    pub(crate) figure: String,
    pub(crate) source: String,
    pub(crate) kind: Kind,
    /// Digit for digit, with its unit.
    pub(crate) printed: String,
    /// What the source ought to print, where it is wrong or loose.
    pub(crate) ought: Option<String>,
    /// The number that the program has to meet, and what it gives.
    pub(crate) want: f64,
    pub(crate) got: f64,
    pub(crate) allowed: f64,
    pub(crate) reason: String,
}

impl Row {
    pub(crate) fn holds(&self) -> bool {
        (self.got - self.want).abs() <= self.allowed
    }
}

pub(crate) const HALF_A_DIGIT: &str = "half a unit of the last digit";

/// The number at the start of a text, and half a unit of its last digit (a little more, for ties).
pub(crate) fn read(printed: &str) -> (f64, f64) {
    let text = printed.trim_start_matches(|c: char| !(c.is_ascii_digit() || c == '-'));
    let end = text.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-')).unwrap_or(text.len());
    let number = &text[..end].trim_end_matches('.');
    let decimals = number.split_once('.').map_or(0, |(_, after)| after.len());
    let value: f64 = number.parse().unwrap_or_else(|fault| panic!("{printed}: {fault}"));
    (value, 0.500_001 * libm::pow(10.0, -(decimals as f64)))
}

#[test]
fn numbers_are_read_with_half_their_last_digit() {
    assert_eq!(read("approx. 74.0 dB").0, 74.0);
    assert!((read("74.0 dB").1 - 0.05).abs() < 1e-6);
    assert_eq!(read("-4.75 mV").0, -4.75);
    assert!((read("28000:1").1 - 0.5).abs() < 1e-5);
}
