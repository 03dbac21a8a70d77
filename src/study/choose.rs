//! Every open value together, in the contract's order of wishes.
//!
//! First the best set whatever the limits. Where it holds them it is the answer. Where it misses some, the
//! places where each of those can be held are found ([`super::feasible`]), and the sets that stand there are judged
//! in the order of wishes ([`super::judge`]): the first that holds every limit is the best there is.
use super::aim::Aim;
use super::bench::Bench;
use super::feasible::{Feasible, feasible};
use super::ground::Ground;
use super::judge::{Judge, Verdict};
use super::place::Axes;
use super::queue::Queue;
use super::trial::{Trial, trial};
use super::{Limits, Prefer, Question, StudyFault};
use crate::designator::{Amp, Designator, Topology};
use crate::sizing::{Filled, First, Ranked, Wishes};
use crate::textbook::WhiteNoise;
use std::cmp::Ordering;

/// Sets listed beside the chosen one.
const LISTED: usize = 24;
/// Sets that are passed by at most on the way to one that holds every limit, and sets that are seen.
const PASSED: usize = 20_000;
const SEEN: usize = 400_000;
/// Sets that are listed of a split that is not the usual one.
const NEXT: usize = 3;

/// The chosen set and what it was chosen among.
pub(super) struct Choice {
    pub(super) filled: Filled,
    pub(super) bench: Bench,
    pub(super) trial: Trial,
    /// Sets of values in the order of wishes, the chosen one among them.
    pub(super) ranked: Vec<Ranked>,
    /// Sets that would have been better but for the limit they miss.
    pub(super) refused: Vec<(Filled, &'static str)>,
    /// What was searched.
    pub(super) search: Searched,
}

/// What a search for values has shown.
#[derive(Clone, Debug, PartialEq)]
pub struct Searched {
    /// True where no other set of values comes before the chosen one in the order of wishes, limits first.
    pub proven: bool,
    /// Limits that no set of values in the ranges holds.
    pub out_of_reach: Vec<&'static str>,
    /// What was searched and what is not decided, in words; empty where there is nothing to say.
    pub note: String,
}

/// Chooses the open values of `question` for its aim, and lists others beside them.
pub(super) fn choose(question: &Question, aim: &Aim) -> Result<Choice, StudyFault> {
    choose_beside(question, aim, LISTED)
}

/// The same with as many sets beside the chosen one as `listed`.
pub(super) fn choose_beside(question: &Question, aim: &Aim, listed: usize) -> Result<Choice, StudyFault> {
    let (ground, rough) = Ground::new(question, aim.gain)?;
    let free = match open(question) {
        true => Search::new(&ground, aim, question, true).freely(listed)?,
        false => Found { chosen: ground.rough.clone(), ranked: vec![ground.rough.clone()] },
    };
    let bench = match free.chosen.filled.values == ground.rough.filled.values {
        true => rough,
        false => Bench::new(question, &free.chosen.filled)?,
    };
    let told = trial(question, aim, &bench)?;
    if told.holds() || !open(question) {
        return Ok(choice(free, (bench, told), Vec::new(), Searched::proven(Vec::new())));
    }
    // limits that nothing holds are given up, so that the others are held
    let mut asked = question.clone();
    let mut out_of_reach = Vec::new();
    let mut fit = true;
    loop {
        let mut search = Search::new(&ground, aim, &asked, fit);
        match search.within_limits(&told)? {
            End::Found(found, judged) => {
                let searched = Searched { out_of_reach, ..search.searched() };
                return Ok(choice(found, *judged, search.refused, searched));
            }
            End::Nowhere(limit) if !out_of_reach.contains(&limit) => {
                out_of_reach.push(limit);
                asked.limits = without(&asked.limits, limit);
                fit &= limit != "headroom";
                if trial(&asked, aim, &bench)?.first_missed(fit).is_none() {
                    return Ok(choice(free, (bench, told), Vec::new(), Searched::proven(out_of_reach)));
                }
            }
            End::Nowhere(_) | End::NotFound => {
                let mut searched = Searched { out_of_reach, ..search.searched() };
                if searched.proven {
                    searched.note =
                        "No set of values in the ranges allowed holds all of the limits together.".to_owned();
                }
                return Ok(choice(free, (bench, told), Vec::new(), searched));
            }
        }
    }
}

impl Searched {
    fn proven(out_of_reach: Vec<&'static str>) -> Self {
        Self { proven: true, out_of_reach, note: String::new() }
    }
}

fn choice(
    found: Found,
    (bench, trial): (Bench, Trial),
    refused: Vec<(Filled, &'static str)>,
    search: Searched,
) -> Choice {
    Choice { filled: found.chosen.filled, bench, trial, ranked: found.ranked, refused, search }
}

fn without(limits: &Limits, limit: &str) -> Limits {
    let mut out = *limits;
    match limit {
        "gain_error" => out.gain_error = None,
        "rejection" => out.rejection_db = None,
        "rejection_at_interference" => out.rejection_at_interference_db = None,
        "headroom" => out.headroom_v = None,
        "offset" => out.offset_v = None,
        "noise" => out.noise_v = None,
        "bandwidth" => out.bandwidth_hz = None,
        "differential_impedance" => out.differential_impedance_ohm = None,
        "total_error" => out.total_error = None,
        _ => {}
    }
    out
}

/// True where a value is free to be taken.
fn open(question: &Question) -> bool {
    let fixed = &question.resistors.fixed;
    match question.topology {
        Topology::SingleChip => !fixed.contains_key(&Designator::RG),
        topology => topology.resistors().iter().any(|name| !fixed.contains_key(name)),
    }
}

/// A set and those near it in the order of wishes.
struct Found {
    chosen: Ranked,
    ranked: Vec<Ranked>,
}

/// How a search ends.
enum End {
    Found(Found, Box<(Bench, Trial)>),
    /// No set of values holds this limit.
    Nowhere(&'static str),
    /// None was found.
    NotFound,
}

/// How the search within these ends ends.
enum Round {
    Found(Found, Box<(Bench, Trial)>),
    /// A limit was missed that was not looked into yet.
    Misses(&'static str),
    Nothing,
}

struct Search<'a> {
    ground: &'a Ground<'a>,
    aim: &'a Aim,
    judge: Judge<'a>,
    refused: Vec<(Filled, &'static str)>,
    spent: bool,
    passed: usize,
    unsure: Option<&'static str>,
}

impl<'a> Search<'a> {
    fn new(ground: &'a Ground<'a>, aim: &'a Aim, asked: &'a Question, fit: bool) -> Self {
        Self {
            ground,
            aim,
            judge: Judge::new(asked, aim, fit),
            refused: Vec::new(),
            spent: false,
            passed: 0,
            unsure: None,
        }
    }

    /// The best set whatever the limits, and sets beside it.
    fn freely(&self, listed: usize) -> Result<Found, StudyFault> {
        let ground = self.ground;
        let mut best: Option<Ranked> = None;
        let mut ranked = Vec::new();
        for plot in ground.plots(&ground.axes) {
            let quieter = best.as_ref().map_or(f64::INFINITY, |held| ground.to_beat(held));
            if plot.is_some_and(|(low, _)| ground.all_louder(low, quieter)) {
                break;
            }
            let surveyed = ground.survey(&ground.brief, plot, false, quieter)?;
            if surveyed.is_empty() {
                continue;
            }
            let mut queue = Queue::new(ground, surveyed)?;
            // the first plot is listed, of the others what may be better and its next
            let most = if best.is_none() { listed } else { NEXT }.min(listed).max(1);
            for _ in 0..most {
                let Some(set) = queue.next()? else { break };
                let better = best.as_ref().is_none_or(|held| set.compare(held, ground.wishes.first) == Ordering::Less);
                ranked.push(set.clone());
                if better {
                    best = Some(set);
                }
            }
        }
        let chosen = best.ok_or_else(no_value)?;
        Ok(self.listed(chosen, ranked))
    }

    fn listed(&self, chosen: Ranked, mut ranked: Vec<Ranked>) -> Found {
        let first = self.ground.wishes.first;
        ranked.sort_by(|a, b| a.compare(b, first));
        ranked.dedup_by(|a, b| a.filled == b.filled);
        let at = ranked.iter().position(|one| one.filled == chosen.filled).unwrap_or(0);
        ranked.drain(..at.saturating_sub(LISTED / 2));
        ranked.truncate(LISTED);
        Found { chosen, ranked }
    }

    /// The best set that holds every limit asked for.
    fn within_limits(&mut self, missed: &Trial) -> Result<End, StudyFault> {
        let mut axes = self.ground.axes;
        let mut open: Vec<&'static str> =
            missed.lines.iter().filter(|line| line.met == Some(false)).map(|line| line.limit).collect();
        if !missed.fits && !open.contains(&"headroom") {
            open.push("headroom");
        }
        open.retain(|limit| self.judge.asks(limit));
        loop {
            for limit in std::mem::take(&mut open) {
                match feasible(self.ground, self.aim, limit)? {
                    Feasible::Nowhere => return Ok(End::Nowhere(limit)),
                    Feasible::NotFound => {
                        self.unsure = Some(limit);
                        return Ok(End::NotFound);
                    }
                    Feasible::Within(within, tendency) => {
                        self.judge.tendencies.push((limit, tendency));
                        axes = axes.within(&within);
                    }
                }
            }
            if axes.empty() {
                return Ok(End::NotFound);
            }
            match self.round(&axes)? {
                Round::Found(found, judged) => return Ok(End::Found(found, judged)),
                Round::Misses(limit) => open.push(limit),
                Round::Nothing => return Ok(End::NotFound),
            }
        }
    }

    /// Judges every set within `axes` in the order of wishes.
    fn round(&mut self, axes: &Axes) -> Result<Round, StudyFault> {
        let ground = self.ground;
        let first = ground.wishes.first;
        let brief = axes.narrow(&ground.brief, &ground.axes);
        let mut best: Option<(Ranked, Box<(Bench, Trial)>)> = None;
        let mut ranked: Vec<Ranked> = Vec::new();
        let mut seen = 0;
        for plot in ground.plots(axes) {
            if self.passed > PASSED || seen > SEEN {
                self.spent = true;
                break;
            }
            let quieter = best.as_ref().map_or(f64::INFINITY, |held| ground.to_beat(&held.0));
            if plot.is_some_and(|(low, _)| ground.all_louder(low, quieter)) {
                break;
            }
            let surveyed = match ground.survey(&brief, plot, true, quieter) {
                Ok(surveyed) if !surveyed.is_empty() => surveyed,
                _ => continue,
            };
            seen += surveyed.len();
            let mut queue = Queue::new(ground, surveyed)?;
            while let Some(set) = queue.next()? {
                self.passed += 1;
                if self.passed > PASSED {
                    self.spent = true;
                    break;
                }
                if best.as_ref().is_some_and(|held| set.compare(&held.0, first) != Ordering::Less) {
                    ranked.push(set);
                    break;
                }
                match self.judge.judge(&set, axes.place(&set))? {
                    Verdict::Holds(judged) => {
                        ranked.push(set.clone());
                        best = Some((set, judged));
                        for _ in 0..NEXT {
                            ranked.extend(queue.next()?);
                        }
                        break;
                    }
                    Verdict::Misses(limit) => {
                        if self.judge.tendencies.iter().all(|(known, _)| *known != limit) && limit != "gain_error" {
                            return Ok(Round::Misses(limit));
                        }
                        if self.refused.len() < LISTED {
                            self.refused.push((set.filled.clone(), limit));
                            ranked.push(set);
                        }
                    }
                    Verdict::Spent => {
                        self.spent = true;
                        break;
                    }
                }
            }
        }
        Ok(match best {
            Some((chosen, judged)) => Round::Found(self.listed(chosen, ranked), judged),
            None => Round::Nothing,
        })
    }

    fn searched(&self) -> Searched {
        let note = match (self.unsure, self.spent) {
            (Some(limit), _) => format!(
                "It is not decided whether other values would do: {} is missed at every split of gain that was looked at, in \
                 steps of a factor 1.4.",
                limit.replace('_', " ")
            ),
            (None, true) => format!(
                "It is not decided whether other values would do better: {} sets of values were held against the limits in \
                 the order of wishes, and a later one may hold them.",
                self.judge.looked_at().max(self.passed.min(PASSED))
            ),
            (None, false) => String::new(),
        };
        Searched { proven: note.is_empty(), out_of_reach: Vec::new(), note }
    }
}

/// The wishes of a question; gain errors up to `equal` count as equal.
pub(super) fn wishes(question: &Question, equal: f64) -> Wishes {
    let of = |read: fn(&crate::part::OpAmp) -> Option<f64>| {
        [Amp::A1, Amp::A2, Amp::A3].map(|amp| question.opamps.get(&amp).and_then(read).unwrap_or(0.0))
    };
    Wishes {
        equal,
        first: match question.target.prefer {
            Prefer::Gain | Prefer::Price => First::Gain,
            Prefer::Parts => First::Parts,
            Prefer::Noise => First::Noise,
        },
        noise: WhiteNoise {
            voltage: of(|data| data.voltage_noise_v_per_rthz),
            current: of(|data| data.current_noise_a_per_rthz),
            kelvin: question.environment.calibrated_at_k(),
        },
    }
}

pub(super) fn no_value() -> StudyFault {
    StudyFault {
        code: "nothing-in-range",
        key: "resistors".to_owned(),
        message: "the stock holds no set of values for this gain".to_owned(),
        help: "a wider range, or a series with more values".to_owned(),
    }
}

#[cfg(test)]
mod tests;
