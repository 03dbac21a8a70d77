//! Every value together: the sets of values that may be best, in the order of wishes.
//!
//! A frame is everything but the gain-set resistor. Frames of one gain law differ in scale alone, and noise
//! rises with scale; of the gain-set values a frame allows, only those that count as equal or are nearest
//! can be best. So the best set is among few, and no loop runs over all sets.
use super::circuit::gain_set_names;
use super::fault::SizingFault;
use super::filled::{Filled, Value};
use super::gain_set::PREFERRED_FEEDBACK_OHM;
use super::light::{Light, Lightly, Nearest};
use super::merit::{First, Merit, Wishes};
use super::order::{TIE, same_value};
use super::pair_table::{PairTable, Pairs, Walked};
use super::pick::Pick;
use super::reach::Reach;
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

    /// True where R1 to R4 are of one value.
    #[must_use]
    pub const fn alike(&self) -> bool {
        self.merit.values <= 1
    }

    /// Which of two sets is the better one.
    #[must_use]
    pub fn compare(&self, other: &Self, first: First) -> std::cmp::Ordering {
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
/// Order: gain error, where all up to [`Wishes::equal`] counts as equal; then fewest parts, and fewest different
/// values of R1 to R4; then least white noise ([`white_noise`]); then feedback nearest 24.9 kΩ, then the smaller value;
/// [`Wishes::first`] puts one of them in front. With a wish for least noise in front only the gain-set
/// values nearest the gain are looked at.
///
/// # Errors
/// [`SizingFault`] for a gain that is none or below the circuit's least, for ranges without a value,
/// and for a gain-set resistor out of reach.
pub fn rank(wish: &Wish, rules: &Rules, wishes: &Wishes, keep: usize) -> Result<Vec<Ranked>, SizingFault> {
    rank_with(wish, rules, wishes, keep, None)
}

/// [`rank`] with the pairs of the stock kept in a table: for many questions of one stock.
///
/// # Errors
/// As [`rank`].
pub fn rank_with(
    wish: &Wish,
    rules: &Rules,
    wishes: &Wishes,
    keep: usize,
    table: Option<&PairTable>,
) -> Result<Vec<Ranked>, SizingFault> {
    let survey = survey(wish, rules, wishes, &Reach::default(), table)?;
    let all: Vec<Ranked> = survey.sets().take(keep).collect::<Result<_, _>>()?;
    if all.is_empty() { Err(SizingFault::EmptyStock) } else { Ok(all) }
}

/// Every set of values in reach, in the order of wishes; each put together when it is asked for.
#[derive(Clone, Debug)]
pub struct Survey<'a> {
    ask: Ask<'a>,
    frames: Vec<Frame>,
    found: Vec<Seen>,
}

/// A set that was seen, and what it is worth.
#[derive(Clone, Copy, Debug)]
struct Seen {
    frame: usize,
    pick: Option<Pick>,
    error: f64,
    merit: Merit,
}

impl Survey<'_> {
    /// How many sets there are.
    #[must_use]
    pub const fn len(&self) -> usize {
        self.found.len()
    }

    /// True where there is none.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.found.is_empty()
    }

    /// The sets, best first.
    pub fn sets(&self) -> impl Iterator<Item = Result<Ranked, SizingFault>> + '_ {
        (0..self.found.len()).map(|at| self.set(at))
    }

    /// One of the sets; the first is the best.
    ///
    /// # Errors
    /// [`SizingFault::EmptyStock`] where there are not so many.
    pub fn set(&self, at: usize) -> Result<Ranked, SizingFault> {
        let Some(seen) = self.found.get(at) else { return Err(SizingFault::EmptyStock) };
        put_together(&self.ask, &self.frames[seen.frame], seen)
    }

    /// Ranks a set as if its gain error were as small as `within` of what it seems: no set comes after one that
    /// is better than it by the gains of the whole network, if those differ by no more.
    #[must_use]
    pub fn at_best(mut self, within: f64) -> Self {
        let wishes = *self.ask.wishes;
        for seen in &mut self.found {
            seen.merit = seen.merit.with_error((seen.error.abs() - within).max(0.0), &wishes);
        }
        self.found.sort_by(|a, b| a.merit.compare(&b.merit, wishes.first));
        self
    }
}

/// Looks at every set of values in reach.
///
/// # Errors
/// As [`rank`]; no fault where a split has no values.
pub fn survey<'a>(
    wish: &'a Wish,
    rules: &'a Rules,
    wishes: &'a Wishes,
    reach: &Reach,
    table: Option<&PairTable>,
) -> Result<Survey<'a>, SizingFault> {
    for gain in [wish.gain, wish.stage_two_gain.unwrap_or(1.0)] {
        if !(gain > 0.0 && gain.is_finite()) {
            return Err(SizingFault::NotAGain { gain });
        }
    }
    let ask = Ask { wish, rules, wishes };
    // noise falls with the gain-set value, so the nearest to the gain is not enough
    let coarse =
        Reach { every: reach.every.or((wishes.first == First::Noise).then_some(COARSE.max(wishes.equal))), ..*reach };
    let (mut frames, mut found) = look(&ask, &coarse, table)?;
    if found.is_empty() && coarse != *reach {
        (frames, found) = look(&ask, reach, table)?;
    }
    if let Some(every) = coarse.every {
        // a set far off the gain is no answer, however little noise it makes
        let least = found.iter().map(|seen| seen.error.abs()).fold(f64::INFINITY, f64::min);
        found.retain(|seen| seen.error.abs() <= every.max(least) + TIE);
    }
    found.sort_by(|a, b| a.merit.compare(&b.merit, wishes.first));
    Ok(Survey { ask, frames, found })
}

/// The frames in reach, and every set of values that may be taken of them.
fn look(ask: &Ask<'_>, reach: &Reach, table: Option<&PairTable>) -> Result<(Vec<Frame>, Vec<Seen>), SizingFault> {
    let Ask { wish, rules, wishes } = *ask;
    let frames = super::frames::frames(wish, rules, wishes, reach)?;
    let mut found: Vec<Seen> = Vec::with_capacity(frames.len());
    let mut see = |frame: usize, pick: Option<Pick>| -> Result<(), SizingFault> {
        let seen = seen(ask, &frames, frame, pick)?;
        if seen.merit.noise <= reach.quieter * (1.0 + 1e-8) {
            found.push(seen);
        }
        Ok(())
    };
    let mut all = |pick: Option<Pick>| (0..frames.len()).try_for_each(|at| see(at, pick));
    if wish.topology.gain_set_by_one() {
        match rules.freedom(gain_set_names(wish.topology), (LEAST_OHM, GREATEST_OHM))? {
            Freedom::Decided(pick) => all(Some(pick))?,
            Freedom::Open { .. } if frames.is_empty() => {}
            Freedom::Open { low, high, asked } => {
                for one in open(ask, &frames, (low, high, asked), reach.every, table)? {
                    see(one.frame, Some(one.pick))?;
                }
            }
        }
    } else {
        all(None)?;
    }
    Ok((frames, found))
}

/// What is asked, in one hand.
#[derive(Clone, Copy, Debug)]
struct Ask<'a> {
    wish: &'a Wish,
    rules: &'a Rules,
    wishes: &'a Wishes,
}

/// Gain-set values for each frame: singles, and pairs where they can win.
fn open(
    ask: &Ask<'_>,
    frames: &[Frame],
    (low, high, asked): (f64, f64, bool),
    every: Option<f64>,
    table: Option<&PairTable>,
) -> Result<Vec<Lightly>, SizingFault> {
    let Ask { wish, rules, wishes } = *ask;
    let mut refused = None;
    let mut live = Vec::new();
    for (at, frame) in frames.iter().enumerate() {
        match frame.law.resistor(wish.gain) {
            GainSet::Ohm(exact) if !asked && exact - wish.wiring_ohm < low => refused = Some(exact - wish.wiring_ohm),
            _ => live.push((at, frame)),
        }
    }
    let singles = Search::new(rules.stock.values(), false, (low, high), wish.wiring_ohm);
    let mut found = Light::new(wishes.equal);
    for &(at, frame) in &live {
        if !asked {
            found.offer(at, Pick::OPEN, error(wish, frame, Pick::OPEN));
        }
        let mut nearest = Nearest::new(wishes.equal, f64::INFINITY, every);
        singles.offer_all(frame.law, wish.gain, &mut |pick| nearest.take(pick, error(wish, frame, pick)));
        nearest.into_light(at, &mut found);
    }
    // one part that counts as equal beats every pair; otherwise a pair may be nearer
    let pairs_may_win = every.is_some()
        || match wishes.first {
            First::Gain => !found.any_single(wishes.equal),
            First::Parts => !found.any_single(COARSE),
            First::Noise => true,
        };
    if rules.pairs && pairs_may_win {
        let pairs = match table {
            Some(table) => Pairs::Kept(table),
            None => Pairs::Walked(Walked::new(rules.stock.values())),
        };
        let narrow = wishes.first == First::Gain;
        for &(at, frame) in &live {
            let bound = match every {
                Some(every) => every.max(wishes.equal),
                None if narrow => wishes.equal.max(found.bound),
                None => wishes.equal.max(COARSE),
            };
            let Some(window) = window(wish, frame, bound, (low, high)) else { continue };
            let mut nearest =
                Nearest::new(wishes.equal, if narrow { bound } else { f64::INFINITY }, (!narrow).then_some(bound));
            pairs.within(window, &mut |pick| {
                nearest.take(pick, error(wish, frame, pick));
            });
            nearest.into_light(at, &mut found);
        }
    }
    let all = found.finalists(wishes.first, every);
    match refused {
        Some(exact_ohm) if live.is_empty() => {
            Err(SizingFault::OutOfReach { gain: wish.gain, name: Designator::RG, exact_ohm })
        }
        _ if all.is_empty() && every.is_none() => {
            Err(SizingFault::NothingInRange { name: Designator::RG, low, high, asked })
        }
        _ => Ok(all),
    }
}

/// Where gain is not the first wish, sets this near to it are looked at, or the nearest.
pub(super) const COARSE: f64 = 0.02;

fn error(wish: &Wish, frame: &Frame, pick: Pick) -> f64 {
    (frame.law.gain(pick.ohm().map(|ohm| ohm + wish.wiring_ohm)) / wish.gain - 1.0).abs()
}

/// The gain-set values whose gain error is at most `bound`, within the range, Ω.
fn window(wish: &Wish, frame: &Frame, bound: f64, (low, high): (f64, f64)) -> Option<(f64, f64)> {
    let at = |gain: f64| match frame.law.resistor(gain) {
        GainSet::Ohm(ohm) => ohm - wish.wiring_ohm,
        GainSet::Open | GainSet::Below => f64::INFINITY,
    };
    let bound = bound.min(0.5) + 2.0 * TIE;
    let from = at(wish.gain * (1.0 + bound)).max(low) * (1.0 - TIE);
    let to = at(wish.gain * (1.0 - bound)).min(high) * (1.0 + TIE);
    (from <= to).then_some((from, to))
}

fn seen(ask: &Ask<'_>, frames: &[Frame], at: usize, pick: Option<Pick>) -> Result<Seen, SizingFault> {
    let Ask { wish, wishes, .. } = *ask;
    let frame = &frames[at];
    let (gain, noise) = gain_and_noise(ask, frame, pick)?;
    let set = pick.unwrap_or(Pick::single(frame.ohms.get(Designator::R1).unwrap_or(0.0)));
    let loaded = match wish.topology {
        // the source stands in series with R1 and R3
        Topology::Difference => gain * wish.left_of_gain(&frame.ohms),
        _ => gain,
    };
    let error = loaded / wish.gain - 1.0;
    let far = frame.feedback_ohm.map_or(1.0, |ohm| away(Some(ohm), PREFERRED_FEEDBACK_OHM));
    Ok(Seen { frame: at, pick, error, merit: Merit::new(wishes, error, (set, values(&frame.ohms)), noise, far) })
}

/// How many different values R1 to R4 have.
fn values(ohms: &Ohms) -> usize {
    let all = [Designator::R1, Designator::R2, Designator::R3, Designator::R4].map(|name| ohms.get(name));
    let new = |at: usize| !all[..at].iter().any(|one| one.zip(all[at]).is_some_and(|(a, b)| same_value(a, b)));
    (0..all.len()).filter(|&at| all[at].is_some() && new(at)).count()
}

/// Gain with ideal op amps and white noise of a frame with its gain-set value.
fn gain_and_noise(ask: &Ask<'_>, frame: &Frame, pick: Option<Pick>) -> Result<(f64, f64), SizingFault> {
    let Ask { wish, wishes, .. } = *ask;
    let mut ohms = frame.ohms;
    if let Some(pick) = pick {
        ohms.set(Designator::RG, pick.ohm().map(|ohm| ohm + wish.wiring_ohm));
    }
    Ok(match wish.topology {
        Topology::SingleChip => (frame.law.gain(ohms.get(Designator::RG)), 0.0),
        _ => (gains(wish.topology, &ohms)?.differential, white_noise(wish.topology, &ohms, &wishes.noise)?),
    })
}

fn put_together(ask: &Ask<'_>, frame: &Frame, seen: &Seen) -> Result<Ranked, SizingFault> {
    let mut values = Vec::new();
    for name in Designator::ALL {
        let own = if name == Designator::RG { seen.pick } else { frame.ohms.get(name).map(Pick::single) };
        if let Some(pick) = own {
            values.push(Value { name, pick, chosen: ask.rules.decided(&[name])?.is_none() });
        }
    }
    let (gain, noise) = gain_and_noise(ask, frame, seen.pick)?;
    let parts = seen.pick.map_or(1, |pick| pick.parts_ohm().len());
    Ok(Ranked { filled: Filled { values, gain }, error: seen.error, parts, noise, merit: seen.merit })
}
