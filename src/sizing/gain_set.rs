use super::circuit::{around, with_gain_set};
use super::fault::SizingFault;
use super::order::{Candidate, Shortlist, Side, TIE};
use super::pick::Pick;
use super::search::{Search, Setting, away};
use super::spread::{chip_spread, spread};
use super::stock::{GREATEST_OHM, LEAST_OHM, Stock};
use crate::designator::Topology;
use crate::quantity::{Unit, exact, rounded};
use crate::textbook::{GainLaw, GainSet, gain_law, least_gain};

/// Feedback resistors that are chosen lie here, Ω; R1 = R4 of the two-op-amp circuit too.
pub(crate) const FEEDBACK_OHM: (f64, f64) = (10e3, 100e3);
/// The feedback resistor one would take first, Ω.
pub(super) const PREFERRED_FEEDBACK_OHM: f64 = 24.9e3;
/// How many choices are listed.
const LISTED: usize = 5;

/// What is to be sized.
#[derive(Clone, Debug, PartialEq)]
pub struct Wanted {
    /// The circuit.
    pub topology: Topology,
    /// Gain, V/V, above zero.
    pub gain: f64,
    /// Feedback resistor, Ω; `None`: chosen.
    pub feedback_ohm: Option<f64>,
    /// Where values come from.
    pub stock: Stock,
    /// Tolerance of every resistor, a fraction below 1.
    pub tolerance: f64,
    /// True: series and parallel pairs too.
    pub pairs: bool,
    /// On which side of the gain the pick may lie.
    pub side: Side,
    /// Gain law of the chip, `single-chip` only.
    pub chip: Option<GainLaw>,
    /// Gain of the stage behind, `three-op-amp` only, V/V.
    pub stage_two_gain: f64,
}

/// One way to set the gain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GainSetting {
    /// The gain-set resistor.
    pub pick: Pick,
    /// The feedback resistor it goes with, Ω; `None` for a chip.
    pub feedback_ohm: Option<f64>,
    /// The gain-set resistor that would hit the target, Ω; `None`: left open.
    pub exact_ohm: Option<f64>,
    /// Gain with ideal op amps, V/V.
    pub gain: f64,
    /// Relative error against the target.
    pub error: f64,
    /// Least and greatest error over the tolerances.
    pub error_span: (f64, f64),
}

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Sizing {
    /// Best first.
    pub choices: Vec<GainSetting>,
    /// One step down and one step up from the best.
    pub neighbours: Vec<GainSetting>,
    /// Why there is no choice.
    pub shortfall: Option<Shortfall>,
}

/// Why no value can do it.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum Shortfall {
    /// The gain is below what the circuit can do.
    #[error("`{topology}` amplifies by {least} at least: no gain-set resistor makes it {gain}")]
    BelowLeast {
        /// The circuit.
        topology: Topology,
        /// Its least gain, V/V.
        least: f64,
        /// Asked for, V/V.
        gain: f64,
    },
    /// The exact value is no resistor one would buy.
    #[error(
        "the gain-set resistor would have to be {} with a feedback resistor of {}; 1 Ω to 10 MΩ is considered",
        rounded(*exact_ohm, Unit::Ohm, 4), exact(*feedback_ohm, Unit::Ohm)
    )]
    OutOfReach {
        /// The value nearest to the limits, Ω.
        exact_ohm: f64,
        /// The feedback resistor it goes with, Ω.
        feedback_ohm: f64,
    },
    /// The exact value of a chip's RG is no resistor one would buy.
    #[error("RG would have to be {}; 1 Ω to 10 MΩ is considered", rounded(*exact_ohm, Unit::Ohm, 4))]
    ChipOutOfReach {
        /// Ω.
        exact_ohm: f64,
    },
    /// The feedback resistor asked for is none one would buy.
    #[error("a feedback resistor of {} is outside 1 Ω to 10 MΩ", exact(*feedback_ohm, Unit::Ohm))]
    Feedback {
        /// Ω.
        feedback_ohm: f64,
    },
    /// Nothing on the side that was asked for.
    #[error("no value in the stock gives a gain on the side asked for")]
    NoneOnThatSide,
}

/// Feedback resistors to choose from: 10 kΩ to 100 kΩ, or all there are where the drawer has none of these.
fn open_feedbacks(stock: &Stock) -> &[f64] {
    let usual = stock.within(FEEDBACK_OHM.0, FEEDBACK_OHM.1);
    if usual.is_empty() { stock.values() } else { usual }
}

/// The gain-set resistor from a stock, for one gain.
///
/// Order: least |error|, then fewest parts, then feedback nearest 24.9 kΩ on a log scale, then the
/// smaller value.
///
/// # Errors
/// [`SizingFault`] for a gain not above zero and for `single-chip` without its law; a gain that
/// can't be met is no error but a [`Shortfall`].
///
/// ```
/// use evenkeel::designator::Topology;
/// use evenkeel::sizing::{Side, Stock, Wanted, gain_set};
///
/// let wanted = Wanted {
///     topology: Topology::ThreeOpAmp,
///     gain: 100.0,
///     feedback_ohm: Some(24.9e3),
///     stock: Stock::new([453.0, 499.0, 511.0])?,
///     tolerance: 0.01,
///     pairs: false,
///     side: Side::Nearest,
///     chip: None,
///     stage_two_gain: 1.0,
/// };
/// assert_eq!(gain_set(&wanted)?.choices[0].pick.ohm(), Some(499.0));
/// # Ok::<(), evenkeel::sizing::SizingFault>(())
/// ```
pub fn gain_set(wanted: &Wanted) -> Result<Sizing, SizingFault> {
    if !(wanted.gain > 0.0 && wanted.gain.is_finite()) {
        return Err(SizingFault::NotAGain { gain: wanted.gain });
    }
    let chip = match wanted.topology {
        Topology::SingleChip => Some(wanted.chip.ok_or(SizingFault::NoChip)?),
        _ => None,
    };
    let least = chip.map_or_else(|| least_gain(wanted.topology, wanted.stage_two_gain), |law| Some(law.base_gain));
    let least = least.unwrap_or(0.0);
    let never_reached = wanted.topology == Topology::TwoOpAmp && wanted.gain <= least;
    if never_reached || wanted.gain < least * (1.0 - TIE) {
        return Ok(none(Shortfall::BelowLeast { topology: wanted.topology, least, gain: wanted.gain }));
    }
    let feedbacks = match (chip, wanted.feedback_ohm) {
        (Some(_), _) => vec![None],
        (None, Some(ohm)) if !(LEAST_OHM..=GREATEST_OHM).contains(&ohm) => {
            return Ok(none(Shortfall::Feedback { feedback_ohm: ohm }));
        }
        (None, Some(ohm)) => vec![Some(ohm)],
        (None, None) => open_feedbacks(&wanted.stock).iter().copied().map(Some).collect(),
    };
    let search = Search::new(wanted.stock.values(), wanted.pairs, (LEAST_OHM, GREATEST_OHM), 0.0);
    let mut list = Shortlist::new(LISTED, wanted.side);
    let mut out_of_reach = None;
    for feedback_ohm in feedbacks {
        let at = Setting { feedback_ohm, law: law(wanted, chip, feedback_ohm)?, target: wanted.gain };
        match at.law.resistor(at.target) {
            GainSet::Ohm(exact) if (LEAST_OHM..=GREATEST_OHM).contains(&exact) => {
                search.offer_near(&mut list, at, &nearest_preferred);
            }
            GainSet::Ohm(exact) => out_of_reach = nearer_reach(out_of_reach, (exact, feedback_ohm)),
            GainSet::Open | GainSet::Below => search.offer_decided(&mut list, at, Pick::OPEN, &nearest_preferred),
        }
    }
    let mut best = list.finish();
    if best.first().is_some_and(|c| c.pick == Pick::OPEN) {
        best.truncate(1); // any feedback does: it only repeats itself
    }
    let Some(first) = best.first().copied() else {
        return Ok(none(match out_of_reach {
            Some((exact_ohm, Some(feedback_ohm))) => Shortfall::OutOfReach { exact_ohm, feedback_ohm },
            Some((exact_ohm, None)) => Shortfall::ChipOutOfReach { exact_ohm },
            None => Shortfall::NoneOnThatSide,
        }));
    };
    let steps = search.steps(first.pick.ohm());
    let finish = |feedback_ohm, pick| setting(wanted, chip, feedback_ohm, pick);
    Ok(Sizing {
        choices: best.iter().map(|c: &Candidate| finish(c.feedback_ohm, c.pick)).collect::<Result<_, _>>()?,
        neighbours: steps
            .into_iter()
            .flatten()
            .map(|pick| finish(first.feedback_ohm, pick))
            .collect::<Result<_, _>>()?,
        shortfall: None,
    })
}

fn none(shortfall: Shortfall) -> Sizing {
    Sizing { choices: Vec::new(), neighbours: Vec::new(), shortfall: Some(shortfall) }
}

fn nearest_preferred(feedback_ohm: Option<f64>, _: Option<f64>) -> [f64; 2] {
    [away(feedback_ohm, PREFERRED_FEEDBACK_OHM), 0.0]
}

/// Of two values out of reach, the one less so.
fn nearer_reach(held: Option<(f64, Option<f64>)>, new: (f64, Option<f64>)) -> Option<(f64, Option<f64>)> {
    let beyond = |ohm: f64| (LEAST_OHM / ohm).max(ohm / GREATEST_OHM);
    match held {
        Some(old) if beyond(old.0) <= beyond(new.0) => Some(old),
        _ => Some(new),
    }
}

fn law(wanted: &Wanted, chip: Option<GainLaw>, feedback_ohm: Option<f64>) -> Result<GainLaw, SizingFault> {
    match (chip, feedback_ohm) {
        (None, Some(ohm)) => {
            Ok(gain_law(wanted.topology, &around(wanted.topology, ohm, wanted.gain, wanted.stage_two_gain)?)?)
        }
        (Some(law), _) => Ok(law),
        (None, None) => Err(SizingFault::NoChip),
    }
}

fn setting(
    wanted: &Wanted,
    chip: Option<GainLaw>,
    feedback_ohm: Option<f64>,
    pick: Pick,
) -> Result<GainSetting, SizingFault> {
    let law = law(wanted, chip, feedback_ohm)?;
    let (low, high) = match (chip, feedback_ohm) {
        (None, Some(ohm)) => {
            let ohms = around(wanted.topology, ohm, wanted.gain, wanted.stage_two_gain)?;
            spread(wanted.topology, &with_gain_set(wanted.topology, ohms, pick.ohm()), wanted.tolerance)?
        }
        _ => chip_spread(law, pick.ohm(), wanted.tolerance),
    };
    let gain = law.gain(pick.ohm());
    let error = |gain: f64| (gain - wanted.gain) / wanted.gain;
    let exact_ohm = match law.resistor(wanted.gain) {
        GainSet::Ohm(ohm) => Some(ohm),
        GainSet::Open | GainSet::Below => None,
    };
    Ok(GainSetting { pick, feedback_ohm, exact_ohm, gain, error: error(gain), error_span: (error(low), error(high)) })
}
