//! Review notes: what an experienced colleague would say on reading the spec and its figures.
//!
//! Each note is a function in a file here from what is known to at most one warning (or a few of one
//! family), and a line in `NOTES`. Every number a note is measured by stands in `threshold`. Notes that
//! belong to one figure's own working stand beside that figure (headroom, the input filter, peaking,
//! the missing offset current).
mod bias;
mod common_mode;
mod divided;
mod ideal;
mod matching;
mod mismatch;
mod reference;
mod resistors;
mod speed;
mod stage_two;
mod threshold;
mod two_op_amp;

use super::{CauseLine, Design, Question, RejectionAt, Warning, offset};
use crate::designator::Topology;
use crate::predict::OffsetFigure;
use crate::quantity::from_decibels;
use crate::stage::{Cause, Lot, Stage};
use crate::topology::BuildFault;
use threshold::{AT_EASE_DB, above};

/// What a note may look at.
struct Case<'a> {
    question: &'a Question,
    stage: &'a Stage,
    lot: &'a Lot,
    design: &'a Design,
    offset: Option<OffsetFigure>,
}

type Note = fn(&Case<'_>) -> Result<Vec<Warning>, BuildFault>;

/// Every note, in the order in which they are told.
const NOTES: &[Note] = &[
    bias::no_path,
    bias::dominates,
    common_mode::costs,
    divided::costs,
    reference::soft,
    reference::noisy,
    matching::wasted,
    stage_two::gain,
    resistors::wiring,
    resistors::noise,
    speed::bandwidth,
    speed::slewing,
    speed::rejection_corner,
    mismatch::open_loop_gain,
    mismatch::at_interference,
    two_op_amp::low_gain,
    two_op_amp::common_mode,
    ideal::assumed,
];

/// The review notes of a design whose figures are there.
///
/// # Errors
/// [`BuildFault`] when a variant of the circuit that a note asks about has no solution.
pub fn notes(question: &Question, stage: &Stage, lot: &Lot, design: &Design) -> Result<Vec<Warning>, BuildFault> {
    let offset = offset::figure(question, stage)?.figure;
    let case = Case { question, stage, lot, design, offset };
    let mut all = Vec::new();
    for note in NOTES {
        all.extend(note(&case)?);
    }
    Ok(all)
}

impl Case<'_> {
    fn is(&self, topology: Topology) -> bool {
        self.question.topology == topology
    }

    /// The share a cause has in the sum of all errors at dc.
    fn share_at_dc(&self, cause: Cause) -> f64 {
        share(&self.design.rejection.causes, cause)
    }

    /// True when the limit on a rejection is set and met with so much to spare that nothing about it is
    /// worth a note.
    fn at_ease(limit_db: Option<f64>, worst_db: Option<f64>) -> bool {
        match (limit_db, worst_db) {
            (_, None) => true,
            (Some(limit), Some(worst)) => worst >= limit + AT_EASE_DB,
            (None, Some(_)) => false,
        }
    }

    fn at_interference(&self) -> Option<&RejectionAt> {
        self.design.rejection.at_interference.as_ref()
    }
}

/// What one cause makes of the sum of all, each alone: 0 to 1.
fn share(causes: &[CauseLine], of: Cause) -> f64 {
    let error = |line: &CauseLine| line.alone_db.map_or(0.0, |db| 1.0 / from_decibels(db));
    let all: f64 = causes.iter().map(error).sum();
    let one: f64 = causes.iter().filter(|line| line.cause == of.name()).map(error).sum();
    if all > 0.0 { one / all } else { 0.0 }
}

fn alone_db(causes: &[CauseLine], of: Cause) -> Option<f64> {
    causes.iter().find(|line| line.cause == of.name())?.alone_db
}

/// The error of several causes together, each alone.
fn error_of(causes: &[CauseLine], of: &[Cause]) -> f64 {
    of.iter().filter_map(|&cause| alone_db(causes, cause)).map(|db| 1.0 / from_decibels(db)).sum()
}

fn dominates(share: f64) -> bool {
    above(share, threshold::DOMINANT_SHARE)
}

fn percent(share: f64) -> String {
    crate::quantity::rounded(share, crate::quantity::Unit::Fraction, 2)
}

/// One warning, or none.
fn one(code: &'static str, message: String, advice: impl Into<String>) -> Vec<Warning> {
    vec![Warning { code, message, advice: advice.into() }]
}
