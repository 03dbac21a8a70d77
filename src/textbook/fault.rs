use crate::designator::{Designator, Ohms, Topology};

/// An equation that can't be evaluated.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum TextbookFault {
    /// The circuit needs a resistor that has no value.
    #[error("`{topology}` needs a value for {name}")]
    Missing {
        /// The circuit.
        topology: Topology,
        /// The resistor.
        name: Designator,
    },
    /// A resistor that is no resistance.
    #[error("{name} = {ohm} Ω is no resistance; a finite value above zero would be right")]
    NotAResistance {
        /// The resistor.
        name: Designator,
        /// What was read, Ω.
        ohm: f64,
    },
    /// A value outside an equation's domain.
    #[error("{symbol} = {value}; {right} would be right")]
    OutsideDomain {
        /// The symbol in the formula.
        symbol: &'static str,
        /// What was read, SI.
        value: f64,
        /// What would be right.
        right: &'static str,
    },
    /// A single chip has a gain law and no resistors inside that could be told.
    #[error("a single chip is described by its gain law, not by resistors")]
    NoResistors,
}

pub(super) fn need(topology: Topology, ohms: &Ohms, name: Designator) -> Result<f64, TextbookFault> {
    optional(ohms, name)?.ok_or(TextbookFault::Missing { topology, name })
}

pub(super) fn optional(ohms: &Ohms, name: Designator) -> Result<Option<f64>, TextbookFault> {
    match ohms.get(name) {
        Some(ohm) if !(ohm > 0.0 && ohm.is_finite()) => Err(TextbookFault::NotAResistance { name, ohm }),
        value => Ok(value),
    }
}

pub(super) fn positive(symbol: &'static str, value: f64) -> Result<f64, TextbookFault> {
    if value > 0.0 && value.is_finite() {
        Ok(value)
    } else {
        Err(TextbookFault::OutsideDomain { symbol, value, right: "a finite value above zero" })
    }
}

pub(super) fn not_negative(symbol: &'static str, value: f64) -> Result<f64, TextbookFault> {
    if value >= 0.0 && value.is_finite() {
        Ok(value)
    } else {
        Err(TextbookFault::OutsideDomain { symbol, value, right: "a finite value of zero or more" })
    }
}
