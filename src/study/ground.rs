//! What may be chosen: the splits of gain, and the sets of values at each, in the order of wishes.
use super::bench::Bench;
use super::choose::wishes;
use super::fill::{Brief, brief};
use super::place::{Axes, Place};
use super::{Question, StudyFault};
use crate::designator::{Designator, Topology};
use crate::sizing::{First, Ranked, Reach, Survey, Wishes, survey};
use crate::textbook::white_noise;

/// A tenth of the worst-case spread counts as equal, and a millionth in any case: no gain is known better.
const EQUAL_SHARE: f64 = 0.1;
const EQUAL_LEAST: f64 = 1e-6;
/// Sets with a greater nominal error are no answer, where no limit says what is: or the nearest to the gain.
const COARSE: f64 = 0.02;
/// Ends of the steps in which splits are looked at, as multiples of the least one.
const STEPS: [f64; 13] = [1.0, 1.0, 1.02, 1.05, 1.1, 1.2, 1.35, 1.5, 1.75, 2.0, 2.4, 2.8, 3.2];

/// The ground a choice is made on.
pub(super) struct Ground<'a> {
    pub(super) question: &'a Question,
    /// Gain wanted, V/V.
    pub(super) gain: f64,
    pub(super) brief: Brief,
    pub(super) wishes: Wishes,
    pub(super) axes: Axes,
    /// Greatest nominal gain error of a set that is an answer.
    pub(super) admitted: f64,
    /// The set that is nearest to the gain by the book, its gain told by the whole network.
    pub(super) rough: Ranked,
}

impl<'a> Ground<'a> {
    /// The ground, and the circuit with the values that are nearest to the gain by the book.
    pub(super) fn new(question: &'a Question, gain: f64) -> Result<(Self, Bench), StudyFault> {
        let mut brief = brief(question, gain)?;
        let mut wishes = wishes(question, 0.0);
        // the set nearest to the gain, whatever is preferred
        let nearest_first = Wishes { first: First::Gain, ..wishes };
        let rough = brief.ranked(question, &nearest_first, 1)?;
        let Some(rough) = rough.into_iter().next() else { return Err(super::choose::no_value()) };
        let bench = Bench::new(question, &rough.filled)?;
        let spread = (bench.worst.gain_high - bench.worst.gain_low).abs() / gain;
        wishes.equal = (EQUAL_SHARE * spread).max(EQUAL_LEAST);
        let error = bench.nominal.differential / gain - 1.0;
        let nearest = error.abs();
        // what source loading and finite op amps take away is asked for in addition
        let book = (1.0 + rough.error) * brief.wish.gain;
        let share = bench.nominal.differential / book;
        if share > 0.0 && share.is_finite() && brief.rules.fixed.len() < question.topology.resistors().len() {
            brief.wish.gain = gain / share;
            if brief.ranked(question, &wishes, 1).is_err() {
                // the gain that loading asks for may be out of reach where the gain wanted is not
                brief.wish.gain = gain;
            }
        }
        let axes = Axes::of(question.topology, &brief)?;
        let admitted = question.limits.gain_error.unwrap_or(COARSE).max(nearest * (1.0 + 1e-9));
        let rough = rough.with_error(error, &wishes);
        Ok((Self { question, gain, brief, wishes, axes, admitted, rough }, bench))
    }

    /// The steps of split, least first; `None`: there is no split to choose.
    pub(super) fn plots(&self, axes: &Axes) -> Vec<Option<(f64, f64)>> {
        let (Some(whole), Some((low, high))) = (self.axes.split, axes.split) else { return vec![None] };
        let mut all = Vec::new();
        let mut edges = STEPS.iter().map(|step| step * whole.0).collect::<Vec<_>>();
        while edges.last().is_some_and(|last| *last < whole.1) {
            edges.push(edges.last().map_or(f64::INFINITY, |last| last * 1.2));
        }
        for pair in edges.windows(2) {
            let (from, to) = (pair[0].max(low), pair[1].min(high));
            if from <= to {
                all.push(Some((from, to)));
            }
        }
        all
    }

    /// One of the sets of a survey.
    pub(super) fn set(&self, survey: &Survey<'_>, at: usize) -> Result<Ranked, StudyFault> {
        survey.set(at).map_err(|fault| super::fill::told(&self.question.resistors.stock, &fault))
    }

    /// Looks at one plot; with `every` at all sets that are an answer, else at those that can be the best.
    pub(super) fn survey<'s>(
        &'s self,
        brief: &'s Brief,
        splits: Option<(f64, f64)>,
        every: bool,
        quieter: f64,
    ) -> Result<Survey<'s>, StudyFault> {
        let reach = Reach { splits, every: (every || self.noise_first()).then_some(self.admitted), quieter };
        survey(&brief.wish, &brief.rules, &self.wishes, &reach, None)
            .map_err(|fault| super::fill::told(&self.question.resistors.stock, &fault))
    }

    const fn noise_first(&self) -> bool {
        matches!(self.wishes.first, First::Noise)
    }

    /// The noise that a set has to stay below to be better than this one; infinite where it may be noisier.
    pub(super) fn to_beat(&self, held: &Ranked) -> f64 {
        let equal = held.error.abs() <= self.wishes.equal && held.parts <= 1;
        if self.noise_first() || equal { held.noise } else { f64::INFINITY }
    }

    /// True where nothing at this split or a greater one makes less noise than `noise`.
    pub(super) fn all_louder(&self, split: f64, noise: f64) -> bool {
        if noise.is_infinite() || self.question.topology == Topology::SingleChip {
            return false;
        }
        let place = Place { split, stage: self.axes.stage.0, feedback: self.axes.feedback.0 };
        let gain = self.brief.wish.gain * (1.0 + self.admitted.max(self.wishes.equal));
        let Some(filled) = self.axes.filled(&self.brief, gain, place) else { return false };
        let mut ohms = filled.ohms();
        if let Some(rg) = ohms.get(Designator::RG) {
            ohms.set(Designator::RG, Some(rg + self.brief.wish.wiring_ohm));
        }
        white_noise(self.question.topology, &ohms, &self.wishes.noise).is_ok_and(|least| least > noise * (1.0 + 1e-9))
    }
}
