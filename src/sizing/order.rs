//! The one order in which candidates stand, and the list of the best so far.
use super::pick::Pick;
use std::cmp::Ordering;

/// Errors that differ by less are the same: they come from different roundings of one ratio.
pub(super) const TIE: f64 = 1e-12;

/// On which side of the wanted gain a pick may lie.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[allow(missing_docs, reason = "the words of the flags")]
pub enum Side {
    #[default]
    Nearest,
    AtLeast,
    AtMost,
}

impl Side {
    fn holds(self, error: f64) -> bool {
        match self {
            Self::Nearest => true,
            Self::AtLeast => error >= -TIE,
            Self::AtMost => error <= TIE,
        }
    }
}

/// One way to set the gain.
#[derive(Clone, Copy, Debug)]
pub(super) struct Candidate {
    pub(super) pick: Pick,
    /// `None` for a chip.
    pub(super) feedback_ohm: Option<f64>,
    /// Relative, signed.
    pub(super) error: f64,
    /// What decides among equal errors and part counts, the lesser the better, first one first.
    pub(super) reluctance: [f64; 2],
}

/// Least |error|, fewest parts, least reluctance (for `size`: distance of the feedback from
/// 24.9 kΩ), the smaller value; the rest only makes ties fall the same way everywhere.
fn among_equal_errors(a: &Candidate, b: &Candidate) -> Ordering {
    let parts = |c: &Candidate| c.pick.parts_ohm().len();
    let ohm = |c: &Candidate| c.pick.ohm().unwrap_or(f64::INFINITY);
    parts(a)
        .cmp(&parts(b))
        .then_with(|| a.reluctance[0].total_cmp(&b.reluctance[0]))
        .then_with(|| a.reluctance[1].total_cmp(&b.reluctance[1]))
        .then_with(|| if same_value(ohm(a), ohm(b)) { Ordering::Equal } else { ohm(a).total_cmp(&ohm(b)) })
        .then_with(|| a.pick.kind().cmp(&b.pick.kind()))
        .then_with(|| {
            let first = |c: &Candidate| c.pick.parts_ohm().first().copied().unwrap_or(0.0);
            first(a).total_cmp(&first(b))
        })
}

/// The same resistance but for rounding.
pub(super) fn same_value(a: f64, b: f64) -> bool {
    a == b || (a - b).abs() <= TIE * a.abs()
}

fn rank(found: &mut [Candidate]) {
    found.sort_by(|a, b| a.error.abs().total_cmp(&b.error.abs()));
    let mut rest = found;
    while let Some(best) = rest.first() {
        let limit = best.error.abs() + TIE;
        let equal = rest.partition_point(|c| c.error.abs() <= limit).max(1);
        let (group, after) = rest.split_at_mut(equal);
        group.sort_by(among_equal_errors);
        rest = after;
    }
}

/// The best few seen so far.
pub(super) struct Shortlist {
    keep: usize,
    side: Side,
    found: Vec<Candidate>,
    /// Nothing worse than this can still get in.
    bound: f64,
}

impl Shortlist {
    pub(super) fn new(keep: usize, side: Side) -> Self {
        Self { keep, side, found: Vec::new(), bound: f64::INFINITY }
    }

    /// True when a candidate of this error might be among the best.
    pub(super) fn admits(&self, error: f64) -> bool {
        self.side.holds(error) && error.abs() <= self.bound + TIE
    }

    /// Takes a candidate; false when its error is too great or on the wrong side.
    pub(super) fn offer(&mut self, candidate: Candidate) -> bool {
        let wanted = self.admits(candidate.error);
        if wanted {
            self.found.push(candidate);
            if self.found.len() >= 4 * self.keep + 16 {
                self.settle();
            }
        }
        wanted
    }

    fn settle(&mut self) {
        rank(&mut self.found);
        self.found.truncate(self.keep);
        if self.found.len() == self.keep {
            self.bound = self.found.iter().map(|c| c.error.abs()).fold(0.0, f64::max);
        }
    }

    /// The best, best first.
    pub(super) fn finish(mut self) -> Vec<Candidate> {
        self.settle();
        self.found
    }
}
