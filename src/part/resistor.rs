use crate::designator::Designator;

/// How far a resistor may be from its marking.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grade {
    /// Greatest relative deviation at the calibration temperature, a fraction below 1.
    pub tolerance: f64,
    /// Greatest relative change per kelvin.
    pub tempco_per_k: f64,
}

/// A grade that can be bought, with the price of one resistor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PricedGrade {
    /// The grade.
    pub grade: Grade,
    /// Price of one, in whatever currency the spec is written in.
    pub price: f64,
}

/// A resistor whose value is decided.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fixed {
    /// So many ohms, above zero.
    Ohm(f64),
    /// Left out (RG only).
    Open,
}

/// Resistors on one substrate, whose ratios hold better than their values.
#[derive(Clone, Debug, PartialEq)]
pub struct Matched {
    /// The members, two at least, none of them in another network.
    pub members: Vec<Designator>,
    /// The ratio of any two members stays within this fraction of nominal.
    pub match_fraction: f64,
    /// Change of that ratio per kelvin.
    pub match_tempco_per_k: f64,
    /// Grade of the common factor, where it differs from the other resistors'.
    pub grade: Option<Grade>,
}

impl Grade {
    /// Greatest relative deviation `reach_k` kelvin away from the calibration.
    #[must_use]
    pub fn bound(self, reach_k: f64) -> f64 {
        self.tolerance + self.tempco_per_k * reach_k
    }
}

impl Matched {
    /// Bound on each member's own deviation: half the match, so that the ratio of any two stays within it.
    #[must_use]
    pub fn own_bound(&self, reach_k: f64) -> f64 {
        (self.match_fraction + self.match_tempco_per_k * reach_k) / 2.0
    }
}
