//! Every value together: the sets of values that may be best, in the order of wishes.
//!
//! A frame is everything but the gain-set resistor. Frames of one gain law differ in scale alone, and noise
//! rises with scale; of the gain-set values a frame allows, only those that count as equal or are nearest
//! can be best. So the best set is among few, and no loop runs over all sets.
use super::circuit::gain_set_names;
use super::fault::SizingFault;
use super::fill::{Filled, Value};
use super::gain_set::PREFERRED_FEEDBACK_OHM;
use super::merit::{First, Merit, Wishes};
use super::order::{TIE, same_value};
use super::pair_table::{PairTable, Pairs, Walked};
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
/// Order: gain error, where all up to [`Wishes::equal`] counts as equal; then fewest parts; then least
/// white noise ([`white_noise`]); then feedback nearest 24.9 kΩ, then the smaller value;
/// [`Wishes::first`] puts one of them in front. With a wish for least noise in front only the gain-set
/// values nearest the gain are looked at.
///
/// # Errors
/// As [`super::fill`].
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
    for gain in [wish.gain, wish.stage_two_gain.unwrap_or(1.0)] {
        if !(gain > 0.0 && gain.is_finite()) {
            return Err(SizingFault::NotAGain { gain });
        }
    }
    let ask = Ask { wish, rules, wishes };
    let frames = super::frames::frames(wish, rules, wishes)?;
    let each = |pick: Option<Pick>| frames.iter().map(|frame| judged(&ask, frame, pick)).collect();
    let mut all: Vec<Ranked> = if wish.topology.gain_set_by_one() {
        match rules.freedom(gain_set_names(wish.topology), (LEAST_OHM, GREATEST_OHM))? {
            Freedom::Decided(pick) => each(Some(pick)),
            Freedom::Open { low, high, asked } => open(&ask, &frames, (low, high, asked), table),
        }
    } else {
        each(None)
    }?;
    all.sort_by(|a, b| a.merit.compare(&b.merit, wishes.first));
    all.truncate(keep);
    if all.is_empty() { Err(SizingFault::EmptyStock) } else { Ok(all) }
}

/// What is asked, in one hand.
#[derive(Clone, Copy)]
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
    table: Option<&PairTable>,
) -> Result<Vec<Ranked>, SizingFault> {
    let Ask { wish, rules, wishes } = *ask;
    let mut refused = None;
    let mut live = Vec::new();
    for frame in frames {
        match frame.law.resistor(wish.gain) {
            GainSet::Ohm(exact) if !asked && exact - wish.wiring_ohm < low => refused = Some(exact - wish.wiring_ohm),
            _ => live.push(frame),
        }
    }
    let singles = Search::new(rules.stock.values(), false, (low, high), wish.wiring_ohm);
    let mut found = Light { equal: wishes.equal, bound: f64::INFINITY, all: Vec::new() };
    for (at, frame) in live.iter().enumerate() {
        if !asked {
            found.offer(at, Pick::OPEN, error(wish, frame, Pick::OPEN));
        }
        let mut nearest = Nearest::new(wishes.equal, f64::INFINITY);
        singles.offer_all(frame.law, wish.gain, &mut |pick| nearest.take(pick, error(wish, frame, pick)));
        nearest.into_light(at, &mut found);
    }
    // one part that counts as equal beats every pair; otherwise a pair may be nearer
    let single_wins = found.all.iter().any(|one| one.error <= wishes.equal && one.pick != Pick::OPEN);
    let pairs_may_win = match wishes.first {
        First::Gain => !single_wins,
        First::Parts => found.all.iter().all(|one| one.pick == Pick::OPEN),
        First::Noise => true,
    };
    if rules.pairs && pairs_may_win {
        let pairs = match table {
            Some(table) => Pairs::Kept(table),
            None => Pairs::Walked(Walked::new(rules.stock.values())),
        };
        let narrow = wishes.first == First::Gain;
        for (at, frame) in live.iter().enumerate() {
            let bound = if narrow { wishes.equal.max(found.bound) } else { wishes.equal.max(COARSE) };
            let Some(window) = window(wish, frame, bound, (low, high)) else { continue };
            let mut nearest = Nearest::new(wishes.equal, if narrow { bound } else { f64::INFINITY });
            pairs.within(window, &mut |pick| {
                nearest.take(pick, error(wish, frame, pick));
            });
            nearest.into_light(at, &mut found);
        }
    }
    let mut all = Vec::new();
    for one in found.finalists(wishes.first) {
        all.push(judged(ask, live[one.frame], Some(one.pick))?);
    }
    match refused {
        Some(exact_ohm) if all.is_empty() => {
            Err(SizingFault::OutOfReach { gain: wish.gain, name: Designator::RG, exact_ohm })
        }
        _ if all.is_empty() => Err(SizingFault::NothingInRange { name: Designator::RG, low, high, asked }),
        _ => Ok(all),
    }
}

/// Pairs this far off the gain are looked at when gain is not the first wish: half a step of E3 is more.
const COARSE: f64 = 0.02;
/// As many sets that do not count as equal are judged.
const JUDGED: usize = 64;

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

/// A gain-set value in a frame, not yet judged.
#[derive(Clone, Copy, Debug)]
struct Lightly {
    frame: usize,
    pick: Pick,
    error: f64,
}

/// All that was found, not yet judged.
struct Light {
    equal: f64,
    bound: f64,
    all: Vec<Lightly>,
}

impl Light {
    fn offer(&mut self, frame: usize, pick: Pick, error: f64) {
        self.bound = self.bound.min(error);
        self.all.push(Lightly { frame, pick, error });
    }

    /// Those that may be best or come close.
    fn finalists(mut self, first: First) -> Vec<Lightly> {
        if first == First::Gain {
            self.all.sort_by(|a, b| a.error.total_cmp(&b.error).then(a.frame.cmp(&b.frame)));
            let equal = self.all.partition_point(|one| one.error <= self.equal);
            // of equal errors none may be cut off
            let mut keep = (equal + JUDGED).min(self.all.len());
            while keep > 0 && keep < self.all.len() && self.all[keep].error <= self.all[keep - 1].error + TIE {
                keep += 1;
            }
            self.all.truncate(keep);
        }
        self.all
    }
}

/// The values of one frame that may be best: of those that count as equal the smallest, which makes the
/// least noise; else the nearest. Of one value put together in several ways the first found.
struct Nearest {
    equal: f64,
    bound: f64,
    best: Vec<(f64, Pick)>,
}

impl Nearest {
    const fn new(equal: f64, bound: f64) -> Self {
        Self { equal, bound, best: Vec::new() }
    }

    fn take(&mut self, pick: Pick, off: f64) -> bool {
        if off > self.equal.max(self.bound) + TIE {
            return false;
        }
        self.bound = self.bound.min(off);
        let ohm = pick.ohm().unwrap_or(f64::INFINITY);
        let of = |held: Pick| held.ohm().unwrap_or(f64::INFINITY);
        if self.best.iter().any(|(_, held)| same_value(of(*held), ohm)) {
            return true;
        }
        if off <= self.equal {
            match self.best.iter_mut().find(|(held, _)| *held <= self.equal) {
                Some(held) if ohm < of(held.1) => *held = (off, pick),
                Some(_) => {}
                None => self.best.push((off, pick)),
            }
        } else {
            self.best.push((off, pick));
        }
        true
    }

    fn into_light(self, frame: usize, found: &mut Light) {
        let limit = self.equal.max(self.bound) + TIE;
        for (off, pick) in self.best.into_iter().filter(|(off, _)| *off <= limit) {
            found.offer(frame, pick, off);
        }
    }
}

fn judged(ask: &Ask<'_>, frame: &Frame, pick: Option<Pick>) -> Result<Ranked, SizingFault> {
    let Ask { wish, rules, wishes } = *ask;
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
    let merit = Merit::new(
        wishes,
        error,
        set,
        noise,
        frame.feedback_ohm.map_or(1.0, |ohm| away(Some(ohm), PREFERRED_FEEDBACK_OHM)),
    );
    Ok(Ranked { filled: Filled { values, gain }, error, parts: set.parts_ohm().len(), noise, merit })
}
