//! The order of wishes among whole sets of values, as the contract has it.
use super::pick::Pick;
use crate::textbook::WhiteNoise;
use std::cmp::Ordering;

/// Which wish stands before the others.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum First {
    /// Least gain error.
    #[default]
    Gain,
    /// Fewest parts.
    Parts,
    /// Least noise.
    Noise,
}

/// What is wished for, limits and prices apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wishes {
    /// Gain errors up to here count as equal, a fraction.
    pub equal: f64,
    /// The wish that stands first.
    pub first: First,
    /// What makes noise beside the values.
    pub noise: WhiteNoise,
}

/// By what one set of values is judged; the lesser the better.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Merit {
    /// |gain error|, 0 where it counts as equal.
    pub(super) error: f64,
    /// Resistors of the gain-set value, 1 where it is left out.
    pub(super) parts: usize,
    /// Different values among R1 to R4: one reel, and the better match.
    pub(super) values: usize,
    /// White noise density, V/√Hz.
    pub(super) noise: f64,
    /// Distance of the feedback from the preferred one, as a ratio.
    pub(super) away: f64,
    /// Gain-set value, Ω.
    pub(super) ohm: f64,
}

/// Two quantities that differ by rounding alone are the same.
fn rounded(x: f64) -> f64 {
    if x == 0.0 || !x.is_finite() {
        return x;
    }
    let scale = libm::pow(10.0, 9.0 - libm::floor(libm::log10(x.abs())));
    (x * scale).round() / scale
}

fn judged(wishes: &Wishes, error: f64) -> f64 {
    let error = error.abs();
    // below the last digits of a gain, zero
    if error <= wishes.equal.max(1e-14) { 0.0 } else { rounded(error) }
}

impl Merit {
    pub(super) fn new(wishes: &Wishes, error: f64, (pick, values): (Pick, usize), noise: f64, away: f64) -> Self {
        Self {
            error: judged(wishes, error),
            // left out is no merit of its own: a stage without RG is chosen for its gain or not at all
            parts: pick.parts_ohm().len().max(1),
            values,
            noise: rounded(noise),
            away: rounded(away),
            ohm: pick.ohm().unwrap_or(f64::INFINITY),
        }
    }

    pub(super) fn with_error(self, error: f64, wishes: &Wishes) -> Self {
        Self { error: judged(wishes, error), ..self }
    }

    /// The order; then the tie rule of `size`: feedback nearest the preferred one, the smaller value.
    pub(super) fn compare(&self, other: &Self, first: First) -> Ordering {
        let error = self.error.total_cmp(&other.error);
        let parts = self.parts.cmp(&other.parts);
        let values = self.values.cmp(&other.values);
        let noise = self.noise.total_cmp(&other.noise);
        let wishes = match first {
            First::Gain => error.then(parts).then(values).then(noise),
            First::Parts => parts.then(error).then(values).then(noise),
            First::Noise => noise.then(error).then(parts).then(values),
        };
        wishes.then(self.away.total_cmp(&other.away)).then(self.ohm.total_cmp(&other.ohm))
    }
}
