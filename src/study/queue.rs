//! Sets of values in the order of wishes, their gains told by the whole network.
use super::StudyFault;
use super::bench::Bench;
use super::ground::Ground;
use crate::sizing::{Ranked, Survey};
use std::cmp::Ordering;

/// Sets whose exact gains are compared with the book's, to know how far those are off.
const SAMPLED: usize = 8;
/// The book's gains may be off by so much more than in the sample.
const SAFETY: f64 = 2.0;

/// One set after the other, best first.
///
/// The gains of the book, corrected by what one set loses, order the sets roughly. They are off by a little
/// that is sampled; each set stands as early as that little allows, and is passed on once no later one can be better.
pub(super) struct Queue<'s> {
    ground: &'s Ground<'s>,
    survey: Survey<'s>,
    next: usize,
    ready: Vec<Ranked>,
}

impl<'s> Queue<'s> {
    pub(super) fn new(ground: &'s Ground<'s>, survey: Survey<'s>) -> Result<Self, StudyFault> {
        let mut off = 0.0_f64;
        let count = survey.len().min(SAMPLED);
        for k in 0..count {
            let set = ground.set(&survey, k * survey.len().saturating_sub(1) / count.saturating_sub(1).max(1))?;
            off = off.max((exact(ground, &set)? - set.error).abs());
        }
        let survey = survey.at_best(SAFETY * off + 1e-12);
        Ok(Self { ground, survey, next: 0, ready: Vec::new() })
    }

    /// The next best set; `None` after the last.
    pub(super) fn next(&mut self) -> Result<Option<Ranked>, StudyFault> {
        let first = self.ground.wishes.first;
        loop {
            if self.next >= self.survey.len() {
                return Ok((!self.ready.is_empty()).then(|| self.ready.remove(0)));
            }
            let seen = self.ground.set(&self.survey, self.next)?;
            if self.ready.first().is_some_and(|ready| ready.compare(&seen, first) != Ordering::Greater) {
                return Ok(Some(self.ready.remove(0)));
            }
            self.next += 1;
            let error = exact(self.ground, &seen)?;
            let known = seen.with_error(error, &self.ground.wishes);
            let at = self.ready.partition_point(|held| held.compare(&known, first) != Ordering::Greater);
            self.ready.insert(at, known);
        }
    }
}

fn exact(ground: &Ground<'_>, set: &Ranked) -> Result<f64, StudyFault> {
    Ok(Bench::gain(ground.question, &set.filled)? / ground.gain - 1.0)
}
