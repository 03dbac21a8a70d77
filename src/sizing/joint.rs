//! Every value together: the sets of values that may be best, in the order of wishes.
//!
//! A frame is everything but the gain-set resistor. Frames of one gain law differ in scale alone, and noise
//! rises with scale; of the gain-set values a frame allows, only those that count as equal or are nearest
//! can be best. So the best set is among few, and no loop runs over all sets.
use super::circuit::gain_set_names;
use super::fault::SizingFault;
use super::fill::{Filled, Value};
use super::gain_set::PREFERRED_FEEDBACK_OHM;
use super::merit::{Merit, Wishes};
use super::order::{TIE, same_value};
use super::pick::Pick;
use super::rules::{Freedom, Rules, Wish};
use super::search::{Search, away};
use super::stock::{GREATEST_OHM, LEAST_OHM};
use crate::designator::{Designator, Ohms, Topology};
use crate::textbook::{GainLaw, GainSet, gains, white_noise};

/// One set of values and what it is worth.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranked {
    /// The values.
    pub filled: Filled,
    /// Gain error with ideal op amps, signed, a fraction.
    pub error: f64,
    /// Resistors of the gain-set value: 0 open, 1 single, 2 a pair.
    pub parts: usize,
    /// White noise density with ideal op amps, V/√Hz; 0 for a chip, whose values make no difference.
    pub noise: f64,
    pub(super) merit: Merit,
}

impl Ranked {
    /// The same set, its gain error told by someone who knows it better.
    #[must_use]
    pub fn with_error(mut self, error: f64, wishes: &Wishes) -> Self {
        self.error = error;
        self.merit = self.merit.with_error(error, wishes);
        self
    }

    /// Which of two sets is the better one.
    #[must_use]
    pub fn compare(&self, other: &Self, first: super::First) -> std::cmp::Ordering {
        self.merit.compare(&other.merit, first)
    }
}

/// Everything but the gain-set resistor.
#[derive(Clone, Debug)]
pub(super) struct Frame {
    pub(super) ohms: Ohms,
    pub(super) law: GainLaw,
    pub(super) feedback_ohm: Option<f64>,
}

/// Ranks the sets of values for `wish`, best first, `keep` at the most.
///
/// Order: gain error, where all up to [`Wishes::equal`] counts as equal; then fewest parts; then least
/// white noise ([`white_noise`]); then feedback nearest 24.9 kΩ, then the smaller value;
/// [`Wishes::first`] puts one of them in front. With a wish for least noise in front only the gain-set
/// values nearest the gain are looked at.
///
/// # Errors
/// As [`super::fill`].
pub fn rank(wish: &Wish, rules: &Rules, wishes: &Wishes, keep: usize) -> Result<Vec<Ranked>, SizingFault> {
    for gain in [wish.gain, wish.stage_two_gain.unwrap_or(1.0)] {
        if !(gain > 0.0 && gain.is_finite()) {
            return Err(SizingFault::NotAGain { gain });
        }
    }
    let frames = super::frames::frames(wish, rules, wishes)?;
    let mut all = Vec::new();
    let names = gain_set_names(wish.topology);
    if matches!(wish.topology, Topology::Difference | Topology::BufferedDifference) {
        for frame in &frames {
            all.push(judged(wish, rules, wishes, frame, None)?);
        }
    } else {
        match rules.freedom(names, (LEAST_OHM, GREATEST_OHM))? {
            Freedom::Decided(pick) => {
                for frame in &frames {
                    all.push(judged(wish, rules, wishes, frame, Some(pick))?);
                }
            }
            Freedom::Open { low, high, asked } => {
                all = open(wish, rules, wishes, &frames, (low, high, asked))?;
            }
        }
    }
    all.sort_by(|a, b| a.merit.compare(&b.merit, wishes.first));
    all.truncate(keep);
    if all.is_empty() { Err(SizingFault::EmptyStock) } else { Ok(all) }
}

/// Gain-set values for each frame: singles, and pairs where they can win.
fn open(
    wish: &Wish,
    rules: &Rules,
    wishes: &Wishes,
    frames: &[Frame],
    (low, high, asked): (f64, f64, bool),
) -> Result<Vec<Ranked>, SizingFault> {
    let mut refused = None;
    let mut live = Vec::new();
    for frame in frames {
        match frame.law.resistor(wish.gain) {
            GainSet::Ohm(exact) if !asked && exact - wish.wiring_ohm < low => refused = Some(exact - wish.wiring_ohm),
            _ => live.push(frame),
        }
    }
    let search = |pairs: bool| Search::new(rules.stock.values(), pairs, (low, high), wish.wiring_ohm);
    let mut all = Vec::new();
    let singles = search(false);
    for frame in &live {
        if !asked {
            all.push(judged(wish, rules, wishes, frame, Some(Pick::OPEN))?);
        }
        for pick in near(&singles, wish, wishes, frame) {
            all.push(judged(wish, rules, wishes, frame, Some(pick))?);
        }
    }
    // one part that counts as equal beats every pair; otherwise a pair may be nearer
    let single_wins = all.iter().any(|one| one.merit.error == 0.0 && one.parts == 1);
    let pairs_may_win = match wishes.first {
        super::First::Gain => !single_wins,
        super::First::Parts => all.is_empty(),
        super::First::Noise => true,
    };
    if rules.pairs && pairs_may_win {
        let pairs = search(true);
        for frame in &live {
            for pick in near(&pairs, wish, wishes, frame).into_iter().filter(|pick| pick.parts_ohm().len() == 2) {
                all.push(judged(wish, rules, wishes, frame, Some(pick))?);
            }
        }
    }
    match refused {
        Some(exact_ohm) if all.is_empty() => {
            Err(SizingFault::OutOfReach { gain: wish.gain, name: Designator::RG, exact_ohm })
        }
        _ if all.is_empty() => Err(SizingFault::NothingInRange { name: Designator::RG, low, high, asked }),
        _ => Ok(all),
    }
}

/// The gain-set values of one frame that may be best: of those that count as equal the least on each
/// side, else the nearest; of equal values the first found.
fn near(search: &Search, wish: &Wish, wishes: &Wishes, frame: &Frame) -> Vec<Pick> {
    let mut best: Vec<(f64, Pick)> = Vec::new();
    let mut bound = f64::INFINITY;
    let error = |pick: Pick| (frame.law.gain(pick.ohm().map(|ohm| ohm + wish.wiring_ohm)) / wish.gain - 1.0).abs();
    search.offer_all(frame.law, wish.gain, &mut |pick| {
        let off = error(pick);
        if off > wishes.equal.max(bound) + TIE {
            return false;
        }
        bound = bound.min(off);
        // noise falls with the gain-set value, so of what counts as equal the smallest is best
        let smaller = |held: Pick| pick.ohm().zip(held.ohm()).is_some_and(|(new, old)| new < old * (1.0 - TIE));
        let twin = |held: Pick| pick.ohm().zip(held.ohm()).is_some_and(|(new, old)| same_value(new, old));
        if best.iter().any(|(_, held)| twin(*held)) {
            return true;
        }
        if off <= wishes.equal {
            match best.iter().position(|(held, _)| *held <= wishes.equal) {
                Some(at) if smaller(best[at].1) => best[at] = (off, pick),
                Some(_) => {}
                None => best.push((off, pick)),
            }
        } else {
            best.push((off, pick));
        }
        true
    });
    best.retain(|(off, _)| *off <= wishes.equal.max(bound) + TIE);
    best.into_iter().map(|(_, pick)| pick).collect()
}

fn judged(
    wish: &Wish,
    rules: &Rules,
    wishes: &Wishes,
    frame: &Frame,
    pick: Option<Pick>,
) -> Result<Ranked, SizingFault> {
    let mut ohms = frame.ohms;
    let mut values = Vec::new();
    for name in Designator::ALL {
        let own = if name == Designator::RG { pick } else { frame.ohms.get(name).map(Pick::single) };
        if let Some(pick) = own {
            values.push(Value { name, pick, chosen: rules.decided(&[name])?.is_none() });
        }
    }
    if let Some(pick) = pick {
        ohms.set(Designator::RG, pick.ohm().map(|ohm| ohm + wish.wiring_ohm));
    }
    let gain = match wish.topology {
        Topology::SingleChip => frame.law.gain(ohms.get(Designator::RG)),
        _ => gains(wish.topology, &ohms)?.differential,
    };
    let noise = match wish.topology {
        Topology::SingleChip => 0.0,
        _ => white_noise(wish.topology, &ohms, &wishes.noise)?,
    };
    let set = pick.unwrap_or(Pick::single(frame.ohms.get(Designator::R1).unwrap_or(0.0)));
    let loaded = match wish.topology {
        // the source stands in series with R1 and R3
        Topology::Difference => gain * wish.share_of_source(frame.ohms.get(Designator::R1)),
        _ => gain,
    };
    let error = loaded / wish.gain - 1.0;
    let merit = Merit::new(wishes, error, set, noise, frame.feedback_ohm.map_or(1.0, |ohm| away(Some(ohm), PREFERRED_FEEDBACK_OHM)));
    Ok(Ranked { filled: Filled { values, gain }, error, parts: set.parts_ohm().len(), noise, merit })
}
