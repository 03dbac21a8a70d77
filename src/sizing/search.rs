//! Every value of the gain-set resistor that may be among the best, for one feedback value.
use super::order::{Candidate, Shortlist, TIE, same_value};
use super::pick::Pick;
use super::walk;
use crate::textbook::{GainLaw, GainSet};

/// What the gain-set resistor may be put together from.
#[derive(Clone, Debug)]
pub(super) struct Search {
    /// Parts, ascending, Ω.
    values: Vec<f64>,
    /// Their conductances, ascending, S; empty when no pairs are wanted.
    conductances: Vec<f64>,
    /// Least and greatest resistance put together, Ω.
    low: f64,
    high: f64,
    /// Wiring in series with whatever is chosen, Ω.
    wiring_ohm: f64,
}

/// One feedback value and what follows from it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Setting {
    pub(super) feedback_ohm: Option<f64>,
    pub(super) law: GainLaw,
    pub(super) target: f64,
}

/// What makes one candidate less welcome than another of the same error: feedback and gain-set
/// resistor in, [`Candidate::reluctance`] out.
pub(super) type Reluctance<'a> = &'a dyn Fn(Option<f64>, Option<f64>) -> [f64; 2];

impl Setting {
    fn candidate(self, pick: Pick, wiring_ohm: f64, reluctance: Reluctance<'_>) -> Candidate {
        let gain = self.law.gain(pick.ohm().map(|ohm| ohm + wiring_ohm));
        Candidate {
            pick,
            feedback_ohm: self.feedback_ohm,
            error: (gain - self.target) / self.target,
            reluctance: reluctance(self.feedback_ohm, pick.ohm()),
        }
    }
}

impl Search {
    pub(super) fn new(values: &[f64], pairs: bool, (low, high): (f64, f64), wiring_ohm: f64) -> Self {
        let conductances = if pairs { values.iter().rev().map(|ohm| 1.0 / ohm).collect() } else { Vec::new() };
        Self { values: values.to_vec(), conductances, low, high, wiring_ohm }
    }

    /// One decided value.
    pub(super) fn offer_decided(&self, list: &mut Shortlist, at: Setting, pick: Pick, reluctance: Reluctance<'_>) {
        list.offer(at.candidate(pick, self.wiring_ohm, reluctance));
    }

    /// All values that may be among the best; where the exact one lies outside the range, those at
    /// its end.
    pub(super) fn offer_near(&self, list: &mut Shortlist, at: Setting, reluctance: Reluctance<'_>) {
        let wanted = match at.law.resistor(at.target) {
            GainSet::Ohm(ohm) => (ohm - self.wiring_ohm).clamp(self.low, self.high),
            GainSet::Open | GainSet::Below => self.high,
        };
        self.near(wanted, &mut |pick| list.offer(at.candidate(pick, self.wiring_ohm, reluctance)));
    }

    /// All values outwards from the one that makes `gain` by `law`, as long as `take` says true.
    pub(super) fn offer_all(&self, law: GainLaw, gain: f64, take: &mut dyn FnMut(Pick) -> bool) {
        let wanted = match law.resistor(gain) {
            GainSet::Ohm(ohm) => (ohm - self.wiring_ohm).clamp(self.low, self.high),
            GainSet::Open | GainSet::Below => self.high,
        };
        self.near(wanted, take);
    }

    /// The next value below and the next above, among all that can be put together.
    pub(super) fn steps(&self, ohm: Option<f64>) -> [Option<Pick>; 2] {
        let mut steps: [Option<Pick>; 2] = [None, None];
        let at = ohm.unwrap_or(f64::INFINITY);
        self.near(at.clamp(self.low, self.high), &mut |pick| {
            let Some(value) = pick.ohm() else { return false };
            if same_value(value, at) {
                return true;
            }
            let slot = usize::from(value > at);
            let nearer = steps[slot]
                .and_then(Pick::ohm)
                .is_none_or(|held| !same_value(held, value) && (held - at).abs() > (value - at).abs());
            if nearer {
                steps[slot] = Some(pick);
            }
            false
        });
        steps
    }

    fn near(&self, wanted: f64, take: &mut dyn FnMut(Pick) -> bool) {
        let mut judge = |pick: Pick| {
            let inside = pick.ohm().is_some_and(|ohm| ohm >= self.low * (1.0 - TIE) && ohm <= self.high * (1.0 + TIE));
            inside && take(pick)
        };
        walk::singles(&self.values, wanted, |i| judge(Pick::single(self.values[i])));
        if self.conductances.is_empty() {
            return;
        }
        let of = |i: usize| self.values[self.values.len() - 1 - i];
        walk::pairs(&self.values, wanted, |i, j| judge(Pick::series(self.values[i], self.values[j])));
        walk::pairs(&self.conductances, 1.0 / wanted, |i, j| judge(Pick::parallel(of(i), of(j))));
    }
}

/// Distance of a value from a preferred one on a log scale, as a ratio of 1 or more: no logarithm
/// needed to compare.
pub(super) fn away(ohm: Option<f64>, preferred: f64) -> f64 {
    ohm.map_or(1.0, |ohm| (ohm / preferred).max(preferred / ohm))
}
