//! `limits.yield` in the choice: boards are drawn for sets that hold every other limit.
use super::super::bench::unsolved;
use super::super::headroom::worst_margin_of;
use super::super::rejection::decibels;
use super::super::yields::{USUAL_BOARDS, YieldOptions, passing};
use super::{Aim, Bench, Question, StudyFault};
use crate::corners::Method;
use crate::topology::BuildFault;
use crate::yields::{CHUNK, clopper_pearson};

/// Boards that are drawn at most, in runs of as many as the answer is told from.
const RUNS: u64 = 8;
/// A run begins with this share of its boards: a set far off the limit has missed it by then.
const FIRST: u64 = 8;

/// Draws boards for the sets that are offered.
pub(super) struct Drawn<'a> {
    /// With every limit, those that were given up at the worst corner among them.
    question: &'a Question,
    aim: &'a Aim,
    spent: u64,
    sets: usize,
}

impl<'a> Drawn<'a> {
    pub(super) const fn new(question: &'a Question, aim: &'a Aim) -> Self {
        Self { question, aim, spent: 0, sets: 0 }
    }

    /// True where no more boards are drawn.
    pub(super) fn is_spent(&self) -> bool {
        self.spent >= RUNS * self.boards()
    }

    fn boards(&self) -> u64 {
        self.question.draw.boards.unwrap_or(USUAL_BOARDS)
    }

    /// Whether the yield holds where one is asked for; `None`: not looked at, enough boards were drawn.
    ///
    /// Where every drawn limit holds over the whole box all boards pass. Otherwise the boards of the spec's own seed
    /// tell, the first of them first: as many as fail among few fail among all.
    pub(super) fn holds(&mut self, bench: &Bench) -> Result<Option<bool>, StudyFault> {
        let Some(required) = self.question.limits.yield_fraction else { return Ok(Some(true)) };
        let boards = self.boards();
        let low_end = |failed: u64| clopper_pearson(boards.saturating_sub(failed), boards).low;
        if self.all_pass(bench).map_err(|fault| unsolved(&fault))? {
            return Ok(Some(low_end(0) >= required));
        }
        if self.is_spent() {
            return Ok(None);
        }
        self.sets += 1;
        // whole chunks, each of which is drawn by itself
        let mut drawn = (boards.div_ceil(FIRST * CHUNK) * CHUNK).min(boards);
        loop {
            let options = YieldOptions { boards: Some(drawn), ..YieldOptions::default() };
            let told = passing(self.question, self.aim, bench, &options).map_err(|fault| unsolved(&fault))?;
            // nothing can be drawn: no choice of values changes that
            let Some((pass, of)) = told else { return Ok(Some(true)) };
            self.spent += of;
            if low_end(of - pass) < required {
                return Ok(Some(false));
            }
            if drawn >= boards {
                return Ok(Some(true));
            }
            drawn = boards;
        }
    }

    /// True where each drawn limit is held by the worst board.
    fn all_pass(&self, bench: &Bench) -> Result<bool, BuildFault> {
        let (limits, worst) = (&self.question.limits, &bench.worst);
        let error = |gain: f64| (gain / self.aim.gain - 1.0).abs();
        let gain = limits.gain_error.is_none_or(|most| {
            worst.gain_method == Method::Proven && error(worst.gain_low).max(error(worst.gain_high)) <= most
        });
        let rejection = limits.rejection_db.is_none_or(|least| {
            worst.method == Method::Proven && decibels(worst.rejection).is_none_or(|db| db >= least)
        });
        if !gain || !rejection || limits.rejection_at_interference_db.is_some() {
            return Ok(false);
        }
        match limits.headroom_v {
            None => Ok(true),
            Some(least) => {
                let margin = worst_margin_of(self.question, &bench.stage, &bench.lot, self.aim.reference_v)?;
                Ok(margin.is_some_and(|margin| margin >= least))
            }
        }
    }

    /// What is not decided where no set was found that holds the yield.
    pub(super) fn note(&self) -> String {
        format!(
            "It is not decided whether other values would hold the yield: boards were drawn for {} sets of values that hold \
             the other limits, the first in the order of wishes, and all miss it.",
            self.sets
        )
    }
}
