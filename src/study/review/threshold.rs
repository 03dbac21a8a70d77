//! When a note is worth a reader's time. One table: every number a note is measured by, and why it is
//! that number. A note is silent on its own side of the line, at the line itself too.

/// A cause is told to dominate when it makes more than this share of all errors of its kind: more than
/// everything else together.
pub(super) const DOMINANT_SHARE: f64 = 0.5;

/// A figure that meets its limit with this much to spare needs no note about what dominates it, dB: half
/// of what is allowed.
pub(super) const AT_EASE_DB: f64 = 6.0;

/// The same for a figure in volts: half of what is allowed.
pub(super) const AT_EASE_RATIO: f64 = 2.0;

/// The reference's resistance is soft when it makes more than this share of the whole common-mode error:
/// a quarter costs 2.5 dB, and a follower costs less than better resistors would.
pub(super) const SOFT_REFERENCE_SHARE: f64 = 0.25;

/// The reference's resistance is noisy above this share of the noise power: a tenth adds 5 % to the noise,
/// the least a reader would notice.
pub(super) const NOISY_REFERENCE_SHARE: f64 = 0.1;

/// Matching is wasted when the ratio resistors alone are better than the op amps alone by more than this,
/// dB: they then make less than a tenth of the error, and ten times looser ones would cost 6 dB at most.
pub(super) const WASTED_MATCH_DB: f64 = 20.0;

/// Gain in stage two from here on is worth moving to stage one: 2 there costs 2.5 dB of the resistors'
/// share and doubles what A3 adds.
pub(super) const STAGE_TWO_GAIN: f64 = 2.0;

/// Resistance of a joint or of a finger's breadth of thin trace that nobody drew, Ω: twenty squares of
/// 35 µm copper at 0.5 mΩ each.
pub(super) const UNDRAWN_OHM: f64 = 0.01;

/// Wiring matters when it changes RG by more than this share of RG's own bound: below a tenth nobody could
/// tell it from the resistor.
pub(super) const WIRING_SHARE: f64 = 0.1;

/// Bias and offset currents dominate when they make more than this share of the offset: more than the
/// offset voltages.
pub(super) const CURRENT_SHARE: f64 = 0.5;

/// The bandwidth falls short below this many times the signal's: at three times a single pole has lost
/// 5 % at the top of the band.
pub(super) const BANDWIDTH_RATIO: f64 = 3.0;

/// Slewing falls short below this many times the signal's bandwidth: at the full-power bandwidth itself an
/// op amp has no loop gain left for the signal.
pub(super) const FULL_POWER_RATIO: f64 = 2.0;

/// The interference is near the rejection corner when an op amp has lost more than this there, dB: 2 dB
/// are gone at three quarters of the corner, and every harmonic loses more.
pub(super) const CORNER_LOSS_DB: f64 = 2.0;

/// A static common mode costs too much when it makes more than this many times the worst offset: then it
/// is the offset.
pub(super) const STATIC_TO_OFFSET: f64 = 1.0;

/// The common mode at A1's output of a two-op-amp circuit, times this: from 3 on (gain below 2) A1 uses up
/// its swing on the common mode.
pub(super) const FIRST_OP_AMP_GAIN: f64 = 3.0;

/// Distance by which a comparison may be off through rounding alone, as a fraction.
pub(super) const ROUNDING: f64 = 1e-9;

/// `value` is above `bound`, rounding apart.
pub(super) fn above(value: f64, bound: f64) -> bool {
    value > bound + ROUNDING * bound.abs()
}

/// `value` is below `bound`, rounding apart.
pub(super) fn below(value: f64, bound: f64) -> bool {
    value < bound - ROUNDING * bound.abs()
}
