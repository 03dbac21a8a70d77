//! Whether a set of values holds every limit: what is cheap to know first.
use super::aim::Aim;
use super::bench::Bench;
use super::feasible::Tendency;
use super::place::Place;
use super::rejection::decibels;
use super::remedy::only;
use super::trial::{Trial, trial};
use super::{Limits, Question, StudyFault, headroom, unsolved};
use crate::corners;
use crate::sizing::Ranked;

/// Whole predictions that are made at most, and cheap ones: each of the former costs as much as hundreds of sets.
const WHOLE: usize = 60;
const CHEAP: usize = 4000;

/// A set that misses a limit, and by how much, in the unit of the limit.
struct Precedent {
    at: (Place, f64),
    limit: &'static str,
    miss: f64,
}

/// What is said of a set.
pub(super) enum Verdict {
    /// It holds every limit.
    Holds(Box<(Bench, Trial)>),
    /// It misses this one.
    Misses(&'static str),
    /// No more is looked at.
    Spent,
}

/// Judges sets of values.
pub(super) struct Judge<'a> {
    question: &'a Question,
    aim: &'a Aim,
    /// The signal has to stay inside the op amps' limits.
    fit: bool,
    /// Limits that ask for no corners.
    light: Question,
    /// Corners where the last set that was looked at whole is worst: least rejection, lowest and highest gain.
    corners: Option<[Vec<f64>; 3]>,
    precedents: Vec<Precedent>,
    /// How each limit that was missed depends on the place.
    pub(super) tendencies: Vec<(&'static str, Tendency)>,
    whole: usize,
    cheap: usize,
}

impl<'a> Judge<'a> {
    pub(super) fn new(question: &'a Question, aim: &'a Aim, fit: bool) -> Self {
        let limits = Limits { rejection_db: None, gain_error: None, total_error: None, ..question.limits };
        let light = Question { limits, ..question.clone() };
        Self {
            question,
            aim,
            fit,
            light,
            corners: None,
            precedents: Vec::new(),
            tendencies: Vec::new(),
            whole: 0,
            cheap: 0,
        }
    }

    /// True where this limit is asked for.
    pub(super) fn asks(&self, limit: &str) -> bool {
        only(&self.question.limits, limit) != Limits::default() || (limit == "headroom" && self.fit)
    }

    /// Sets that were looked at.
    pub(super) const fn looked_at(&self) -> usize {
        self.cheap
    }

    /// Everything about one set.
    pub(super) fn whole(&mut self, set: &Ranked) -> Result<(Bench, Trial), StudyFault> {
        self.whole += 1;
        let bench = Bench::new(self.question, &set.filled)?;
        let told = trial(self.question, self.aim, &bench)?;
        Ok((bench, told))
    }

    pub(super) fn judge(&mut self, set: &Ranked, place: Place) -> Result<Verdict, StudyFault> {
        // the nominal board is one of those that the limit has to hold for
        if self.question.limits.gain_error.is_some_and(|limit| set.error.abs() > limit) {
            return Ok(Verdict::Misses("gain_error"));
        }
        if let Some(limit) = self.dominated(set, place) {
            return Ok(Verdict::Misses(limit));
        }
        if self.whole >= WHOLE || self.cheap >= CHEAP {
            return Ok(Verdict::Spent);
        }
        self.cheap += 1;
        let light = Bench::nominal(&self.light, &set.filled)?;
        if let Some(miss) = self.no_room(&light)? {
            return Ok(self.missed(set, place, "headroom", miss));
        }
        let told = trial(&self.light, self.aim, &light)?;
        if let Some((limit, miss)) = told.first_missed(self.fit) {
            return Ok(self.missed(set, place, limit, miss));
        }
        if let Some((limit, miss)) = self.at_known_corners(&light)? {
            return Ok(self.missed(set, place, limit, miss));
        }
        let (bench, told) = self.whole(set)?;
        match told.first_missed(self.fit) {
            None => Ok(Verdict::Holds(Box::new((bench, told)))),
            Some((limit, miss)) => {
                self.remember(&bench)?;
                Ok(self.missed(set, place, limit, miss))
            }
        }
    }

    /// By how much room is missing, V: cheaper to know than the rest.
    fn no_room(&self, light: &Bench) -> Result<Option<f64>, StudyFault> {
        let least = self.question.limits.headroom_v.or(self.fit.then_some(0.0));
        let Some(least) = least else { return Ok(None) };
        let margin = headroom::margin(self.question, &light.stage, self.aim.reference_v);
        let margin = margin.map_err(|fault| unsolved(&fault))?;
        Ok(margin.map(|margin| least - margin).filter(|miss| *miss > 0.0))
    }

    fn missed(&mut self, set: &Ranked, place: Place, limit: &'static str, miss: f64) -> Verdict {
        self.precedents.push(Precedent { at: (place, set.error), limit, miss });
        Verdict::Misses(limit)
    }

    /// The limit that this set misses because one that is no worse in any way misses it.
    fn dominated(&self, set: &Ranked, place: Place) -> Option<&'static str> {
        let worse = |one: &&Precedent| {
            let tendency = self.tendencies.iter().find(|(limit, _)| *limit == one.limit);
            tendency.is_some_and(|(_, tendency)| tendency.no_better((place, set.error), one.at, one.miss))
        };
        self.precedents.iter().find(worse).map(|one| one.limit)
    }

    /// A limit that is missed at a corner where another set was at its worst: then it is missed by the worst, too.
    fn at_known_corners(&self, light: &Bench) -> Result<Option<(&'static str, f64)>, StudyFault> {
        let Some(known) = &self.corners else { return Ok(None) };
        let quantities = light.stage.quantities(&light.lot, 0.0);
        if known.iter().any(|point| point.len() != quantities.len()) {
            return Ok(None);
        }
        let gains = corners::gains_at(&light.stage, &quantities, known).map_err(|fault| unsolved(&fault.into()))?;
        let limits = &self.question.limits;
        let error = |gain: f64| (gain / self.aim.gain - 1.0).abs();
        let greatest = gains.iter().map(|at| error(at.0)).fold(0.0, f64::max);
        if let Some(limit) = limits.gain_error.filter(|limit| greatest > *limit) {
            return Ok(Some(("gain_error", greatest - limit)));
        }
        let rejection = gains.iter().filter_map(|at| decibels((at.0 / at.1).abs())).reduce(f64::min);
        let short = limits.rejection_db.zip(rejection).filter(|(limit, db)| db < limit);
        Ok(short.map(|(limit, db)| ("rejection", limit - db)))
    }

    /// Keeps the corners where a set is worst.
    fn remember(&mut self, bench: &Bench) -> Result<(), StudyFault> {
        if self.corners.is_some() {
            return Ok(());
        }
        let quantities = bench.stage.quantities(&bench.lot, 0.0);
        let middle: Vec<f64> = quantities.iter().map(|one| 0.0_f64.clamp(one.low, one.high)).collect();
        let moved = |at: usize, end: f64| {
            let mut point = middle.clone();
            point[at] = end;
            point
        };
        let points: Vec<Vec<f64>> = (0..quantities.len())
            .flat_map(|at| [moved(at, quantities[at].low), moved(at, quantities[at].high)])
            .collect();
        let gains = corners::gains_at(&bench.stage, &quantities, &points).map_err(|fault| unsolved(&fault.into()))?;
        let (mut low, mut high) = (middle.clone(), middle.clone());
        for (at, one) in quantities.iter().enumerate() {
            let rises = gains[2 * at + 1].0 > gains[2 * at].0;
            (low[at], high[at]) = if rises { (one.low, one.high) } else { (one.high, one.low) };
        }
        self.corners = Some([bench.worst.at.clone(), low, high]);
        Ok(())
    }
}
