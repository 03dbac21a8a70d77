use super::Unit;
use std::ops::Range;

/// Why a text is not the quantity that is due: the text, the place in it, what is wrong, what would be right.
///
/// `Display` is the headline; [`QuantityFault::place`] is where a caret goes; [`QuantityFault::help`]
/// says what to write instead.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{kind}")]
pub struct QuantityFault {
    text: String,
    place: Range<usize>,
    kind: FaultKind,
    help: String,
}

/// What is wrong with the text of a quantity.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FaultKind {
    /// Nothing but space.
    #[error("{due} is due, but nothing is written")]
    Empty {
        /// What is due, with its article.
        due: &'static str,
    },
    /// More text than any quantity takes.
    #[error("{due} is due, but {length} bytes are written")]
    TooLong {
        /// How much stands there, bytes.
        length: usize,
        /// What is due, with its article.
        due: &'static str,
    },
    /// The text does not begin with a number.
    #[error("{due} is due, but `{read}` is not a number")]
    NoNumber {
        /// What stands there.
        read: String,
        /// What is due, with its article.
        due: &'static str,
    },
    /// NaN or an infinity.
    #[error("`{read}` is not a finite number")]
    NotFinite {
        /// What stands there.
        read: String,
    },
    /// `4,7`.
    #[error("`{read}` has a decimal comma")]
    DecimalComma {
        /// What stands there.
        read: String,
    },
    /// `1.2.3`.
    #[error("`{read}` has a second decimal point")]
    SecondPoint {
        /// What stands there.
        read: String,
    },
    /// `5E`.
    #[error("`{read}` looks like an exponent without digits")]
    ExponentWithoutDigits {
        /// What stands there.
        read: String,
    },
    /// A bare number where a unit is due.
    #[error("`{read}` has no unit, but {due} is due")]
    UnitMissing {
        /// What stands there.
        read: String,
        /// What is due, with its article.
        due: &'static str,
    },
    /// `meg`.
    #[error("`{read}` is not a prefix here")]
    Meg {
        /// What stands there.
        read: String,
    },
    /// Right but for the case of a letter.
    #[error("`{read}` is not a unit: case matters")]
    LetterCase {
        /// What stands there.
        read: String,
    },
    /// A unit of something else.
    #[error("`{read}` is {belongs}, but {due} is due")]
    WrongUnit {
        /// What stands there.
        read: String,
        /// What it would be, with its article.
        belongs: &'static str,
        /// What is due, with its article.
        due: &'static str,
    },
    /// No unit known here.
    #[error("`{read}` is not a unit of {due}")]
    UnknownUnit {
        /// What stands there.
        read: String,
        /// What is due, with its article.
        due: &'static str,
    },
    /// Well-formed up to here, then more text.
    #[error("`{read}` is left over after {due}")]
    LeftOver {
        /// What stands there.
        read: String,
        /// What is due, with its article.
        due: &'static str,
    },
    /// A range where one value is due.
    #[error("`{read}` is a range, but one value is due")]
    RangeNotDue {
        /// What stands there.
        read: String,
    },
    /// Larger than the greatest double.
    #[error("`{read}` is too large to be represented")]
    TooLarge {
        /// What stands there.
        read: String,
    },
    /// Not zero, but smaller than the least double.
    #[error("`{read}` is too small to be represented")]
    TooSmall {
        /// What stands there.
        read: String,
    },
    /// The low end lies above the high end.
    #[error("the range `{read}` runs downwards")]
    Reversed {
        /// What stands there.
        read: String,
    },
    /// A negative half-width after `±`.
    #[error("`{read}` is negative, but a half-width is due")]
    NegativeHalf {
        /// What stands there.
        read: String,
    },
    /// A bare number beside a prefix: `10 .. 100k`.
    #[error("it is not clear whether `{read}` is meant in the unit of the other end")]
    UnclearUnit {
        /// What stands there.
        read: String,
    },
    /// Decibels and a ratio on the two sides of `±`.
    #[error("`{read}` mixes decibels with a ratio")]
    MixedScales {
        /// What stands there.
        read: String,
    },
    /// Not a code of IEC 60062.
    #[error("`{read}` is not an IEC 60062 resistance code")]
    NotACode {
        /// What stands there.
        read: String,
    },
    /// A tolerance letter that the standard does not have.
    #[error("`{read}` is not a tolerance letter")]
    NotATolerance {
        /// What stands there.
        read: String,
    },
    /// Negative, or not a whole number.
    #[error("`{read}` is not a whole number")]
    NotWhole {
        /// What stands there.
        read: String,
    },
}

impl QuantityFault {
    pub(super) fn new(text: &str, place: Range<usize>, kind: FaultKind, help: String) -> Self {
        QuantityFault { text: text.to_owned(), place, kind, help }
    }

    /// The whole text that was to be read.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The bytes of [`QuantityFault::text`] that are at fault, on character boundaries; empty at the end when something is missing.
    pub fn place(&self) -> Range<usize> {
        self.place.clone()
    }

    /// What stands at that place.
    pub fn read(&self) -> &str {
        self.text.get(self.place.clone()).unwrap_or_default()
    }

    /// What is wrong.
    pub fn kind(&self) -> &FaultKind {
        &self.kind
    }

    /// What would be right, as an imperative: ``write `4.7 kΩ` ``.
    pub fn help(&self) -> &str {
        &self.help
    }
}

/// ``write `4.7 kΩ` `` for the unit that is due.
pub(super) fn example(unit: Unit) -> String {
    match unit {
        Unit::Plain => "write a plain number such as `100`".to_owned(),
        Unit::Rejection => "write it like `100 dB`, `100000:1` or `100 V/mV`".to_owned(),
        unit => format!("write {} like `{}`", unit.name(), unit.example()),
    }
}
