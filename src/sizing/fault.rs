use crate::designator::{Designator, Topology};
use crate::quantity::{Unit, exact, rounded};
use crate::textbook::TextbookFault;

/// A choice of values that can't be made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SizingFault {
    /// A value in the stock that is no resistance.
    #[error("{ohm} Ω is no resistance")]
    NotAResistance {
        /// What was read, Ω.
        ohm: f64,
    },
    /// No value between 1 Ω and 10 MΩ.
    #[error("the stock holds no value from 1 Ω to 10 MΩ")]
    EmptyStock,
    /// A gain that is not above zero.
    #[error("a gain of {gain} can't be asked for")]
    NotAGain {
        /// What was read, V/V.
        gain: f64,
    },
    /// The gain is below what the circuit can do.
    #[error("`{topology}` amplifies by {least} at least; {gain} was asked for")]
    BelowLeast {
        /// The circuit.
        topology: Topology,
        /// Its least gain, V/V.
        least: f64,
        /// Asked for, V/V.
        gain: f64,
    },
    /// The gain-set resistor would be none one can buy.
    #[error(
        "a gain of {gain} would need {name} = {}; 1 Ω to 10 MΩ is considered",
        rounded(*exact_ohm, Unit::Ohm, 4)
    )]
    OutOfReach {
        /// Asked for, V/V.
        gain: f64,
        /// The gain-set resistor.
        name: Designator,
        /// What it would have to be, Ω.
        exact_ohm: f64,
    },
    /// Nothing in the stock lies in the range of a resistor.
    #[error("there is no value for {name} from {} to {}", exact(*low, Unit::Ohm), exact(*high, Unit::Ohm))]
    NothingInRange {
        /// The resistor.
        name: Designator,
        /// Lower end, Ω.
        low: f64,
        /// Upper end, Ω.
        high: f64,
        /// True where the range was asked for, false where it is the usual one.
        asked: bool,
    },
    /// Only RG can be left out.
    #[error("{name} can't be open")]
    CantBeOpen {
        /// The resistor.
        name: Designator,
    },
    /// A single chip without its gain law.
    #[error("`single-chip` needs the constant K of its gain law")]
    NoChip,
    /// An equation could not be evaluated.
    #[error(transparent)]
    Textbook(#[from] TextbookFault),
}
