use super::pick::Pick;
use crate::designator::{Designator, Ohms};

/// One resistor of the design.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Value {
    /// Its designator.
    pub name: Designator,
    /// What it is put together from.
    pub pick: Pick,
    /// True when it was chosen here, false when it was decided.
    pub chosen: bool,
}

/// All resistors of a design.
#[derive(Clone, Debug, PartialEq)]
pub struct Filled {
    /// In drawing order; R5 and R6 only where decided or where the common mode asks for them.
    pub values: Vec<Value>,
    /// Gain with ideal op amps, wiring in series with RG included, V/V.
    pub gain: f64,
}

impl Filled {
    /// The values by designator; the wiring is not in RG.
    #[must_use]
    pub fn ohms(&self) -> Ohms {
        self.values.iter().filter_map(|v| v.pick.ohm().map(|ohm| (v.name, ohm))).collect()
    }
}
