use super::joint::Frame;
use super::merit::Wishes;
use super::rules::Wish;
use crate::designator::{Designator, Topology};
use crate::textbook::{GainSet, white_noise};

/// How far a search for sets of values goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    /// Least and greatest split of gain: R2/R1 of the stage behind `three-op-amp`, R4/R3 of `two-op-amp`;
    /// `None`: as near as possible to the one wanted. Of `difference` least and greatest division of the common
    /// mode, `1 + R1/R5`; `None`: R5 and R6 are left out unless decided.
    pub splits: Option<(f64, f64)>,
    /// Every set with a gain error up to here, a fraction; `None`: only those that can be the best.
    pub every: Option<f64>,
    /// No set with more noise than this, V/√Hz.
    pub quieter: f64,
}

impl Default for Reach {
    fn default() -> Self {
        Self { splits: None, every: None, quieter: f64::INFINITY }
    }
}

impl Reach {
    /// True where a frame makes more noise than allowed whatever its gain-set value: noise falls with it, so
    /// the value for the greatest gain in reach makes the least.
    pub(super) fn louder(&self, wish: &Wish, wishes: &Wishes, frame: &Frame) -> bool {
        if self.quieter.is_infinite() || wish.topology == Topology::SingleChip {
            return false;
        }
        let greatest = wish.gain * (1.0 + self.every.unwrap_or(wishes.equal).max(wishes.equal));
        let mut ohms = frame.ohms;
        match frame.law.resistor(greatest) {
            GainSet::Ohm(ohm) => ohms.set(Designator::RG, Some(ohm)),
            GainSet::Open => {}
            GainSet::Below => return false,
        }
        white_noise(wish.topology, &ohms, &wishes.noise).is_ok_and(|noise| noise > self.quieter * (1.0 + 1e-9))
    }
}
