//! Gain-set values that were found, before any set of values is put together of them.
use super::joint::COARSE;
use super::merit::First;
use super::order::{TIE, same_value};
use super::pick::Pick;

/// As many sets that do not count as equal are judged.
const JUDGED: usize = 64;

/// A gain-set value in a frame, not yet judged.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lightly {
    pub(super) frame: usize,
    pub(super) pick: Pick,
    pub(super) error: f64,
}

/// All that was found, not yet judged.
pub(super) struct Light {
    equal: f64,
    /// The least error so far.
    pub(super) bound: f64,
    all: Vec<Lightly>,
}

impl Light {
    pub(super) const fn new(equal: f64) -> Self {
        Self { equal, bound: f64::INFINITY, all: Vec::new() }
    }

    /// True where one part makes the gain with no more error than this.
    pub(super) fn any_single(&self, error: f64) -> bool {
        self.all.iter().any(|one| one.error <= error && one.pick != Pick::OPEN)
    }

    pub(super) fn offer(&mut self, frame: usize, pick: Pick, error: f64) {
        self.bound = self.bound.min(error);
        self.all.push(Lightly { frame, pick, error });
    }

    /// Those that may be best or come close; all with an error up to `every` where that is given.
    pub(super) fn finalists(mut self, first: First, every: Option<f64>) -> Vec<Lightly> {
        if let Some(every) = every {
            self.all.retain(|one| one.error <= every + TIE);
        } else if first == First::Gain {
            self.all.sort_by(|a, b| a.error.total_cmp(&b.error).then(a.frame.cmp(&b.frame)));
            let equal = self.all.partition_point(|one| one.error <= self.equal);
            // of equal errors none may be cut off
            let mut keep = (equal + JUDGED).min(self.all.len());
            while keep > 0 && keep < self.all.len() && self.all[keep].error <= self.all[keep - 1].error + TIE {
                keep += 1;
            }
            self.all.truncate(keep);
        } else {
            // a value without a use is no choice, however little noise it makes
            let limit = self.bound.max(COARSE).max(self.equal) + TIE;
            self.all.retain(|one| one.error <= limit);
        }
        self.all
    }
}

/// The values of one frame that may be best: of those that count as equal the smallest, which makes the
/// least noise; else the nearest. Of one value put together in several ways the first found.
pub(super) struct Nearest {
    equal: f64,
    bound: f64,
    every: Option<f64>,
    best: Vec<(f64, Pick)>,
}

impl Nearest {
    pub(super) const fn new(equal: f64, bound: f64, every: Option<f64>) -> Self {
        Self { equal, bound, every, best: Vec::new() }
    }

    pub(super) fn take(&mut self, pick: Pick, off: f64) -> bool {
        if let Some(every) = self.every {
            let wanted = off <= every + TIE;
            if wanted {
                self.best.push((off, pick));
            }
            return wanted;
        }
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

    pub(super) fn into_light(self, frame: usize, found: &mut Light) {
        let limit = self.every.unwrap_or_else(|| self.equal.max(self.bound)) + TIE;
        for (off, pick) in self.best.into_iter().filter(|(off, _)| *off <= limit) {
            found.offer(frame, pick, off);
        }
    }
}
