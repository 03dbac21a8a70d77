use super::fault::{TextbookFault, need, positive};
use super::gains::{Bridge, Row};
use crate::designator::{Designator, Ohms, Topology};

/// How one resistor sets the gain: `G = base_gain + constant / R`.
///
/// RG of the circuits that have one, R1 (= R3) of the difference stages, whose `base_gain` is 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GainLaw {
    /// Gain with the resistor left out, V/V, zero or more.
    pub base_gain: f64,
    /// Ω, above zero.
    pub constant_ohm: f64,
}

/// What the gain-set resistor has to be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum GainSet {
    /// So many ohms.
    Ohm(f64),
    /// Left out: the gain wanted is the least one.
    Open,
    /// No resistor does it: the gain wanted is below the least one.
    Below,
}

impl GainLaw {
    /// A chip of gain law `base_gain + K/RG`, or a circuit's law by its numbers.
    ///
    /// # Errors
    /// [`TextbookFault::OutsideDomain`] unless `constant_ohm` is above zero and `base_gain` not below.
    pub fn new(base_gain: f64, constant_ohm: f64) -> Result<Self, TextbookFault> {
        positive("K", constant_ohm)?;
        super::fault::not_negative("base_gain", base_gain)?;
        Ok(Self { base_gain, constant_ohm })
    }

    /// `base_gain + constant/R`, V/V; `None` (open): `base_gain`. `ohm` above zero.
    #[must_use]
    pub fn gain(self, ohm: Option<f64>) -> f64 {
        ohm.map_or(self.base_gain, |ohm| self.base_gain + self.constant_ohm / ohm)
    }

    /// `R = constant/(G - base_gain)`, the inverse.
    ///
    /// ```
    /// use evenkeel::textbook::{GainLaw, GainSet};
    ///
    /// let law = GainLaw::new(5.0, 200e3)?; // AD627 data sheet, Rev. E, p. 16
    /// assert_eq!(law.resistor(25.0), GainSet::Ohm(10e3));
    /// assert_eq!(law.resistor(5.0), GainSet::Open);
    /// assert_eq!(law.resistor(4.0), GainSet::Below);
    /// # Ok::<(), evenkeel::textbook::TextbookFault>(())
    /// ```
    #[must_use]
    pub fn resistor(self, gain: f64) -> GainSet {
        let over = gain - self.base_gain;
        // a base gain that was computed (1 + R4/R3) may miss a round target by its last digit
        if over.abs() <= 4.0 * f64::EPSILON * self.base_gain {
            GainSet::Open
        } else if over > 0.0 {
            GainSet::Ohm(self.constant_ohm / over)
        } else {
            GainSet::Below
        }
    }
}

/// The gain law of a discrete circuit whose other resistors are given, balanced or not.
///
/// ```text
/// three-op-amp         base = (a + b)/2                            constant = a*RF2 + b*RF1
///   balanced           base = R2/R1                                constant = (RF1 + RF2)*R2/R1
/// two-op-amp           base = 1/2 + R4/R3 + R2*R4/(2*R1*R3)        constant = R4*(1 + R2/R3)
///   R1 = R4, R2 = R3   base = 1 + R4/R3                            constant = 2*R4
/// difference stages    base = 0                                    constant = R2   (for R1)
/// ```
///
/// `a`, `b` as in [`super::gains()`]. RG, or R1 of a difference stage, is not looked at.
///
/// # Errors
/// [`TextbookFault`] for a resistor that is missing or no resistance, and for `single-chip`.
///
/// Source: [`super::gains()`] solved for the gain-set resistor.
pub fn gain_law(topology: Topology, ohms: &Ohms) -> Result<GainLaw, TextbookFault> {
    match topology {
        Topology::Difference | Topology::BufferedDifference => GainLaw::new(0.0, need(topology, ohms, Designator::R2)?),
        Topology::ThreeOpAmp => {
            let stage = Bridge::read(topology, ohms)?;
            GainLaw::new(stage.mean(), stage.slope(topology, ohms)?)
        }
        Topology::TwoOpAmp => {
            let row = Row::read(ohms)?;
            GainLaw::new(row.open_gain(), row.slope())
        }
        Topology::SingleChip => Err(TextbookFault::NoResistors),
    }
}

/// The resistor that gives a wanted gain: RG, or R1 = R3 of a difference stage.
///
/// `gain` above zero, V/V. See [`gain_law`] for the equations.
///
/// # Errors
/// [`TextbookFault`] as [`gain_law`], and for a gain that is not above zero.
///
/// ```
/// use evenkeel::designator::{Designator, Ohms, Topology};
/// use evenkeel::textbook::{GainSet, gain_resistor};
/// use Designator::{R1, R2, R3, R4, RF1, RF2};
///
/// let ohms: Ohms =
///     [(RF1, 25e3), (RF2, 25e3), (R1, 10e3), (R2, 10e3), (R3, 10e3), (R4, 10e3)].into_iter().collect();
/// assert_eq!(gain_resistor(Topology::ThreeOpAmp, 501.0, &ohms), Ok(GainSet::Ohm(100.0)));
/// ```
pub fn gain_resistor(topology: Topology, gain: f64, ohms: &Ohms) -> Result<GainSet, TextbookFault> {
    positive("G", gain)?;
    Ok(gain_law(topology, ohms)?.resistor(gain))
}

/// The balanced gain of figures.md section 2, V/V.
///
/// ```text
/// difference, buffered-difference   R2/R1
/// three-op-amp                      (1 + (RF1 + RF2)/RG)*R2/R1
/// two-op-amp                        1 + R4/R3 + 2*R4/RG
/// ```
///
/// Holds with R3 = R1, R4 = R2, R6 = R5 (two-op-amp: R4 = R1, R3 = R2); RG absent: open.
///
/// # Errors
/// [`TextbookFault`] for a resistor that is missing or no resistance, and for `single-chip`.
///
/// Source: Sedra/Smith, *Microelectronic Circuits* (difference and three-op-amp, from memory);
/// two-op-amp: Analog Devices AD627 data sheet, Rev. E.
pub fn ideal_gain(topology: Topology, ohms: &Ohms) -> Result<f64, TextbookFault> {
    let of = |name| need(topology, ohms, name);
    let rg = super::fault::optional(ohms, Designator::RG)?;
    match topology {
        Topology::Difference | Topology::BufferedDifference => Ok(of(Designator::R2)? / of(Designator::R1)?),
        Topology::ThreeOpAmp => {
            let feedback = of(Designator::RF1)? + of(Designator::RF2)?;
            Ok((1.0 + rg.map_or(0.0, |rg| feedback / rg)) * (of(Designator::R2)? / of(Designator::R1)?))
        }
        Topology::TwoOpAmp => {
            let r4 = of(Designator::R4)?;
            Ok(1.0 + r4 / of(Designator::R3)? + rg.map_or(0.0, |rg| 2.0 * r4 / rg))
        }
        Topology::SingleChip => Err(TextbookFault::NoResistors),
    }
}

/// The least gain a topology can be given, V/V: the stage-two gain of a three-op-amp circuit, 1 of
/// the two-op-amp circuit (never quite reached: R4 would be 0), 0 of difference stages.
///
/// `None` for `single-chip`, whose law says it.
#[must_use]
pub const fn least_gain(topology: Topology, stage_two_gain: f64) -> Option<f64> {
    match topology {
        Topology::Difference | Topology::BufferedDifference => Some(0.0),
        Topology::ThreeOpAmp => Some(stage_two_gain),
        Topology::TwoOpAmp => Some(1.0),
        Topology::SingleChip => None,
    }
}

/// `R4/R3` of the two-op-amp circuit for a wanted gain: 1 from gain 2 upwards, below it
/// `(G - 1)/2`, so that half of what exceeds 1 is left for RG to set.
///
/// # Errors
/// [`TextbookFault::OutsideDomain`] unless the gain is above 1.
///
/// Source: the convention of this crate's `size`.
pub fn two_op_amp_ratio(gain: f64) -> Result<f64, TextbookFault> {
    if gain > 1.0 && gain.is_finite() {
        Ok(if gain >= 2.0 { 1.0 } else { (gain - 1.0) / 2.0 })
    } else {
        Err(TextbookFault::OutsideDomain { symbol: "G", value: gain, right: "a finite gain above 1" })
    }
}
