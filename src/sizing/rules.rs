use super::fault::SizingFault;
use super::pick::Pick;
use super::stock::Stock;
use crate::designator::{Designator, Ohms, Topology};
use crate::part::Fixed;
use crate::textbook::GainLaw;
use std::collections::BTreeMap;

/// What the resistors of a design have to do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wish {
    /// The circuit.
    pub topology: Topology,
    /// Gain, V/V, above zero.
    pub gain: f64,
    /// Gain of the difference stage of `three-op-amp`, V/V; `None`: 1.
    pub stage_two_gain: Option<f64>,
    /// Gain law of the chip, `single-chip` only.
    pub chip: Option<GainLaw>,
    /// Wiring in series with RG, Ω.
    pub wiring_ohm: f64,
    /// What stands in series with each input, Ω: it loads the `difference` circuit.
    pub source_ohm: f64,
    /// `1/A0` of the op amp of the `difference` circuit.
    pub inverse_gain: f64,
}

impl Wish {
    /// A gain from a circuit, everything else as usual.
    #[must_use]
    pub const fn new(topology: Topology, gain: f64) -> Self {
        Self { topology, gain, stage_two_gain: None, chip: None, wiring_ohm: 0.0, source_ohm: 0.0, inverse_gain: 0.0 }
    }

    /// What is left of the gain of a `difference` stage, R1 drawing from the source and the op amp's own gain being
    /// finite: `1/(1 + N/A0)` with the noise gain `N = 1 + R2/R1 + R2/R5`.
    pub(super) fn left_of_gain(&self, ohms: &Ohms) -> f64 {
        use Designator::{R1, R2, R5};
        let (Some(r1), Some(r2)) = (ohms.get(R1), ohms.get(R2)) else { return 1.0 };
        let over = r1 + self.source_ohm;
        let noise_gain = 1.0 + r2 / over + ohms.get(R5).map_or(0.0, |r5| r2 / r5);
        r1 / over / (1.0 + noise_gain * self.inverse_gain)
    }

    /// R2 over R1 and the source for a gain, the common mode divided by `division`: what the op amp takes is made up for.
    #[must_use]
    pub fn ratio(&self, gain: f64, division: f64) -> f64 {
        gain * (1.0 + (1.0 + gain * division) * self.inverse_gain)
    }
}

/// What values may be taken.
#[derive(Clone, Debug, PartialEq)]
pub struct Rules {
    /// Where values come from.
    pub stock: Stock,
    /// True: series and parallel pairs for RG too.
    pub pairs: bool,
    /// Least and greatest value by designator, Ω.
    pub range: BTreeMap<Designator, (f64, f64)>,
    /// What is decided.
    pub fixed: BTreeMap<Designator, Fixed>,
}

/// How free one value is that several resistors share.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Freedom {
    /// Decided.
    Decided(Pick),
    /// To be chosen from `low` to `high`; `asked`: the range is the user's.
    Open { low: f64, high: f64, asked: bool },
}

impl Rules {
    /// The decided value of the first of `names` that has one.
    pub(super) fn decided(&self, names: &[Designator]) -> Result<Option<Pick>, SizingFault> {
        for &name in names {
            match self.fixed.get(&name) {
                Some(Fixed::Ohm(ohm)) if !(*ohm > 0.0 && ohm.is_finite()) => {
                    return Err(SizingFault::NotAResistance { ohm: *ohm });
                }
                Some(Fixed::Ohm(ohm)) => return Ok(Some(Pick::single(*ohm))),
                Some(Fixed::Open) if name == Designator::RG => return Ok(Some(Pick::OPEN)),
                Some(Fixed::Open) => return Err(SizingFault::CantBeOpen { name }),
                None => {}
            }
        }
        Ok(None)
    }

    /// How free the value is that `names` share: decided by any of them, else within the ranges
    /// asked for, else within the `usual` one.
    pub(super) fn freedom(&self, names: &[Designator], usual: (f64, f64)) -> Result<Freedom, SizingFault> {
        if let Some(pick) = self.decided(names)? {
            return Ok(Freedom::Decided(pick));
        }
        let asked: Vec<_> = names.iter().filter_map(|name| self.range.get(name)).collect();
        let low = asked.iter().map(|range| range.0).fold(f64::NEG_INFINITY, f64::max);
        let high = asked.iter().map(|range| range.1).fold(f64::INFINITY, f64::min);
        let (low, high) = if asked.is_empty() { usual } else { (low, high) };
        if low > high || low.is_nan() || high.is_nan() {
            let name = names.first().copied().unwrap_or(Designator::RG);
            return Err(SizingFault::NothingInRange { name, low, high, asked: true });
        }
        Ok(Freedom::Open { low, high, asked: !asked.is_empty() })
    }

    /// The values a shared resistor may have: the decided one, else those of the stock in its range
    /// and `also`, values decided for its partners, which therefore are at hand.
    pub(super) fn values(
        &self,
        names: &[Designator],
        freedom: &Freedom,
        also: &[f64],
    ) -> Result<Vec<f64>, SizingFault> {
        match *freedom {
            Freedom::Decided(pick) => match (pick.ohm(), names.first()) {
                (None, Some(&name)) => Err(SizingFault::CantBeOpen { name }),
                (ohm, _) => Ok(ohm.into_iter().collect()),
            },
            Freedom::Open { low, high, asked } => {
                let mut values = self.stock.within(low, high).to_vec();
                for ohm in also.iter().filter(|ohm| !asked || (low..=high).contains(*ohm)) {
                    if let Err(place) = values.binary_search_by(|value| value.total_cmp(ohm)) {
                        values.insert(place, *ohm);
                    }
                }
                if values.is_empty() {
                    let name = names.first().copied().unwrap_or(Designator::RG);
                    return Err(SizingFault::NothingInRange { name, low, high, asked });
                }
                Ok(values)
            }
        }
    }
}
