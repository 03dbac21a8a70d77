//! The search: the best set whatever the limits, and the best that holds them.
use super::super::feasible::{Feasible, feasible};
use super::super::judge::{Judge, Verdict};
use super::super::place::Axes;
use super::super::queue::Queue;
use super::drawn::Drawn;
use super::{Aim, Bench, Filled, Ground, Question, Ranked, Searched, StudyFault, Trial, no_value};
use std::cmp::Ordering;

/// Sets listed beside the chosen one.
pub(super) const LISTED: usize = 24;
/// Sets that are passed by at most on the way to one that holds every limit, and sets that are seen.
const PASSED: usize = 20_000;
const SEEN: usize = 400_000;
/// Sets that are listed of a split that is not the usual one.
const NEXT: usize = 3;

/// A set and those near it in the order of wishes.
pub(super) struct Found {
    pub(super) chosen: Ranked,
    pub(super) ranked: Vec<Ranked>,
}

/// A set with everything that is known of it.
type Judged = (Ranked, Box<(Bench, Trial)>);

/// How a search ends.
pub(super) enum End {
    Found(Found, Box<(Bench, Trial)>),
    /// No set of values holds this limit.
    Nowhere(&'static str),
    /// None was found; `room`: the op amps' limits are among what was in the way.
    NotFound {
        room: bool,
    },
}

/// How the search within these ends ends.
enum Round {
    Found(Found, Box<(Bench, Trial)>),
    /// A limit was missed that was not looked into yet.
    Misses(&'static str),
    Nothing,
}

pub(super) struct Search<'a> {
    ground: &'a Ground<'a>,
    aim: &'a Aim,
    judge: Judge<'a>,
    /// All that was found misses the yield.
    unyielding: bool,
    refused: Vec<(Filled, &'static str)>,
    spent: bool,
    passed: usize,
    unsure: Option<&'static str>,
}

impl<'a> Search<'a> {
    pub(super) fn new(ground: &'a Ground<'a>, aim: &'a Aim, asked: &'a Question, fit: bool) -> Self {
        Self {
            ground,
            aim,
            judge: Judge::new(asked, aim, fit),
            unyielding: false,
            refused: Vec::new(),
            spent: false,
            passed: 0,
            unsure: None,
        }
    }

    /// The best set whatever the limits, and sets beside it.
    pub(super) fn freely(&self, listed: usize) -> Result<Found, StudyFault> {
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

    /// The best set that holds every limit asked for, the yield of `drawn` among them; of those that miss the yield
    /// alone the best where none is found that holds it.
    pub(super) fn within_limits(&mut self, missed: &Trial, drawn: &mut Drawn<'_>) -> Result<End, StudyFault> {
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
                        return Ok(self.not_found());
                    }
                    Feasible::Within(within, tendency) => {
                        self.judge.tendencies.push((limit, tendency));
                        axes = axes.within(&within);
                    }
                }
            }
            if axes.empty() {
                return Ok(self.not_found());
            }
            match self.round(&axes, drawn)? {
                Round::Found(found, judged) => return Ok(End::Found(found, judged)),
                Round::Misses(limit) => open.push(limit),
                Round::Nothing => return Ok(self.not_found()),
            }
        }
    }

    fn not_found(&self) -> End {
        let room = self.judge.tendencies.iter().any(|(limit, _)| *limit == "headroom");
        End::NotFound { room: room || self.unsure == Some("headroom") }
    }

    /// Judges every set within `axes` in the order of wishes.
    fn round(&mut self, axes: &Axes, drawn: &mut Drawn<'_>) -> Result<Round, StudyFault> {
        let ground = self.ground;
        let first = ground.wishes.first;
        let brief = axes.narrow(&ground.brief, &ground.axes);
        let mut best: Option<Judged> = None;
        let mut but_for_yield: Option<Judged> = None;
        let mut ranked: Vec<Ranked> = Vec::new();
        let mut seen = 0;
        for plot in ground.plots(axes) {
            if self.passed > PASSED || seen > SEEN || drawn.is_spent() {
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
                    Verdict::Holds(judged) if drawn.holds(&judged.0)? != Some(true) => {
                        self.refuse(&set, "yield");
                        ranked.push(set.clone());
                        if but_for_yield.as_ref().is_none_or(|held| set.compare(&held.0, first) == Ordering::Less) {
                            but_for_yield = Some((set, judged));
                        }
                        if drawn.is_spent() {
                            self.spent = true;
                            break;
                        }
                    }
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
                        if self.refuse(&set, limit) {
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
        self.unyielding = best.is_none() && but_for_yield.is_some();
        Ok(match best.or(but_for_yield) {
            Some((chosen, judged)) => Round::Found(self.listed(chosen, ranked), judged),
            None => Round::Nothing,
        })
    }

    /// Notes what a set misses; false where enough are noted.
    fn refuse(&mut self, set: &Ranked, limit: &'static str) -> bool {
        let room = self.refused.len() < LISTED;
        if room {
            self.refused.push((set.filled.clone(), limit));
        }
        room
    }

    /// False where nothing was found that holds the yield.
    pub(super) const fn yields(&self) -> bool {
        !self.unyielding
    }

    /// What was searched, and the sets that would have been better but for the limit they miss.
    pub(super) fn end(self, drawn: &Drawn<'_>) -> (Searched, Vec<(Filled, &'static str)>) {
        (self.searched(drawn), self.refused)
    }

    fn searched(&self, drawn: &Drawn<'_>) -> Searched {
        let note = match (self.unsure, self.spent) {
            _ if self.unyielding => drawn.note(),
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
