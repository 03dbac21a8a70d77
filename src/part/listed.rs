//! What a chip's data sheet says at a gain that it may not list (figures.md, section 14).
use super::{AtGain, Chip, OpAmp};

/// A value read from a list by gain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Listed {
    /// The value.
    pub value: f64,
    /// The listed gain it was read at, V/V; the lower of two where it was interpolated.
    pub at_gain: f64,
    /// True where the gain lies outside the list and its end was taken.
    pub beyond: bool,
}

/// A gain this near to a listed one is that one: the rounding of `base_gain + K/RG`, no more.
const SAME: f64 = 1e-12;

impl Chip {
    /// `base_gain + gain_constant/RG`, V/V; `None`: RG is open.
    ///
    /// ```
    /// use evenkeel::part::Chip;
    /// let chip = Chip { gain_constant_ohm: 49.4e3, base_gain: 1.0, ..Chip::default() };
    /// assert!((chip.gain(Some(499.0)) - 99.998).abs() < 1e-3);
    /// assert_eq!(chip.gain(None), 1.0);
    /// ```
    #[must_use]
    pub fn gain(&self, rg_ohm: Option<f64>) -> f64 {
        self.base_gain + rg_ohm.map_or(0.0, |ohm| self.gain_constant_ohm / ohm)
    }

    /// Least rejection, V/V: the entry at the next lower listed gain. `None`: nothing is listed.
    #[must_use]
    pub fn rejection_at(&self, gain: f64) -> Option<Listed> {
        let lower = self.rejection.iter().rev().find(|entry| entry.gain <= gain * (1.0 + SAME));
        let beyond = |last: &AtGain| lower.is_none() || last.gain < gain * (1.0 - SAME);
        read(lower.or(self.rejection.first()), beyond(self.rejection.last()?))
    }

    /// Greatest relative gain error: the entry at the next higher listed gain. `None`: nothing is listed.
    #[must_use]
    pub fn gain_error_at(&self, gain: f64) -> Option<Listed> {
        let higher = self.gain_error.iter().find(|entry| entry.gain >= gain * (1.0 - SAME));
        let beyond = |first: &AtGain| higher.is_none() || first.gain > gain * (1.0 + SAME);
        read(higher.or(self.gain_error.last()), beyond(self.gain_error.first()?))
    }

    /// Bandwidth, Hz: on the straight line between its neighbours with both axes logarithmic, along which gain times
    /// bandwidth is constant where the slope is -1, as of any op amp. `None`: nothing is listed.
    #[must_use]
    pub fn bandwidth_at(&self, gain: f64) -> Option<Listed> {
        let above = self.bandwidth.iter().position(|entry| entry.gain >= gain * (1.0 - SAME));
        match above {
            Some(0) => self.bandwidth.first().map(|entry| Listed {
                value: entry.value,
                at_gain: entry.gain,
                beyond: entry.gain > gain * (1.0 + SAME),
            }),
            None => read(self.bandwidth.last(), true),
            Some(above) => {
                let (low, high) = (self.bandwidth[above - 1], self.bandwidth[above]);
                let share = libm::log(gain / low.gain) / libm::log(high.gain / low.gain);
                let value = low.value * libm::pow(high.value / low.value, share);
                Some(Listed { value, at_gain: low.gain, beyond: false })
            }
        }
    }

    /// The chip at one gain, told as an op amp's data sheet would, referred to its input:
    /// offset `in + out/G`, drift likewise, rejection from the list. The rest is taken from `stated`;
    /// there is no open-loop gain, and voltage noise stays with the two stages it comes from.
    #[must_use]
    pub fn at_gain(&self, gain: f64, stated: OpAmp) -> OpAmp {
        OpAmp {
            open_loop_gain: None,
            gain_bandwidth_hz: None,
            gain_bandwidth_tolerance: 0.0,
            rejection: self.rejection_at(gain).map(|listed| listed.value),
            rejection_corner_hz: self.rejection_corner_hz,
            offset_v: both(self.offset_in_v, self.offset_out_v, gain),
            offset_drift_v_per_k: both(self.offset_in_drift_v_per_k, self.offset_out_drift_v_per_k, gain),
            voltage_noise_v_per_rthz: None,
            voltage_noise_corner_hz: None,
            ..stated
        }
    }
}

fn read(entry: Option<&AtGain>, beyond: bool) -> Option<Listed> {
    entry.map(|entry| Listed { value: entry.value, at_gain: entry.gain, beyond })
}

/// Input stage plus output stage over the gain; `None` where neither is stated.
fn both(inner: Option<f64>, outer: Option<f64>, gain: f64) -> Option<f64> {
    match (inner, outer) {
        (None, None) => None,
        (inner, outer) => Some(inner.unwrap_or(0.0) + outer.unwrap_or(0.0) / gain),
    }
}
