//! Preferred numbers, IEC 60063.

mod table;

use crate::quantity::tens;
use std::fmt;
use std::str::FromStr;

/// A series of preferred numbers, named by the number of values in a decade.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "the names of the standard")]
pub enum Series {
    E3,
    E6,
    E12,
    E24,
    E48,
    E96,
    E192,
}

/// A name that is none of the series.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{read}` is not a series of preferred numbers; known are E3, E6, E12, E24, E48, E96, E192")]
pub struct UnknownSeries {
    /// What was read.
    pub read: String,
}

/// The preferred value nearest to a resistance, and its neighbours in the series. Ω.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Near {
    /// The next lower value of the series.
    pub below: f64,
    /// The nearest by ratio; of two equally near, the lower.
    pub nearest: f64,
    /// The next higher value of the series.
    pub above: f64,
}

/// Decades that [`Series::ohms`] and [`Series::near`] look at: 1 pΩ up to, not including, 10 TΩ.
const DECADES: std::ops::RangeInclusive<i32> = -12..=12;

impl Series {
    /// Every series, coarsest first.
    pub const ALL: [Series; 7] =
        [Series::E3, Series::E6, Series::E12, Series::E24, Series::E48, Series::E96, Series::E192];

    /// The name in the standard.
    pub fn name(self) -> &'static str {
        match self {
            Series::E3 => "E3",
            Series::E6 => "E6",
            Series::E12 => "E12",
            Series::E24 => "E24",
            Series::E48 => "E48",
            Series::E96 => "E96",
            Series::E192 => "E192",
        }
    }

    /// The values of one decade as whole numbers from 100 to 999, ascending.
    pub fn values(self) -> &'static [u16] {
        match self {
            Series::E3 => &table::E3,
            Series::E6 => &table::E6,
            Series::E12 => &table::E12,
            Series::E24 => &table::E24,
            Series::E48 => &table::E48,
            Series::E96 => &table::E96,
            Series::E192 => &table::E192,
        }
    }

    /// The tolerance that customarily goes with the series, a fraction.
    ///
    /// E6 20 %, E12 10 %, E24 5 %, E48 2 %, E96 1 %; E192 0.5 % (from memory); E3 is only said to be
    /// above 20 %, 40 % is taken (from memory).
    pub fn customary_tolerance(self) -> f64 {
        match self {
            Series::E3 => 0.4,
            Series::E6 => 0.2,
            Series::E12 => 0.1,
            Series::E24 => 0.05,
            Series::E48 => 0.02,
            Series::E96 => 0.01,
            Series::E192 => 0.005,
        }
    }

    /// The values from 10^k up to, not including, 10^(k+1), ascending, each the double nearest to its decimal.
    ///
    /// ```
    /// use evenkeel::series::Series;
    /// assert_eq!(Series::E3.decade(3).collect::<Vec<_>>(), [1000.0, 2200.0, 4700.0]);
    /// ```
    pub fn decade(self, k: i32) -> impl Iterator<Item = f64> {
        self.values().iter().map(move |value| tens(*value, k.saturating_sub(2)))
    }

    /// The values in the closed interval `low ..= high`, Ω, ascending; none unless `0 < low <= high`.
    ///
    /// Values from 1 pΩ up to 10 TΩ are looked at.
    ///
    /// ```
    /// use evenkeel::series::Series;
    /// assert_eq!(Series::E6.ohms(4_700.0, 10_000.0), [4700.0, 6800.0, 10_000.0]);
    /// ```
    pub fn ohms(self, low: f64, high: f64) -> Vec<f64> {
        if low.is_nan() || low <= 0.0 {
            return Vec::new();
        }
        DECADES
            .filter(|k| tens(1, *k) <= high && low < tens(10, *k))
            .flat_map(|k| self.decade(k))
            .filter(|ohm| (low..=high).contains(ohm))
            .collect()
    }

    /// The value nearest to a resistance in Ω, by ratio, and its neighbours; `None` outside 1 pΩ to 9 TΩ.
    ///
    /// ```
    /// use evenkeel::series::Series;
    /// let near = Series::E96.near(4_950.0).unwrap();
    /// assert_eq!((near.below, near.nearest, near.above), (4870.0, 4990.0, 5110.0));
    /// ```
    pub fn near(self, ohm: f64) -> Option<Near> {
        if !(1e-12..=9e12).contains(&ohm) {
            return None;
        }
        let mut window: Vec<f64> = Vec::with_capacity(3 * self.values().len());
        let home = DECADES.rev().find(|k| tens(1, *k) <= ohm)?;
        window.extend((home - 1..=home + 1).flat_map(|k| self.decade(k)));
        let next = window.partition_point(|value| *value < ohm);
        let (lower, upper) = (*window.get(next.checked_sub(1)?)?, *window.get(next)?);
        let at = if ohm / lower <= upper / ohm { next - 1 } else { next };
        Some(Near { below: *window.get(at.checked_sub(1)?)?, nearest: *window.get(at)?, above: *window.get(at + 1)? })
    }
}

impl fmt::Display for Series {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl FromStr for Series {
    type Err = UnknownSeries;

    fn from_str(text: &str) -> Result<Series, UnknownSeries> {
        let wanted = text.trim();
        let found = Series::ALL.into_iter().find(|series| series.name().eq_ignore_ascii_case(wanted));
        found.ok_or_else(|| UnknownSeries { read: text.to_owned() })
    }
}

#[cfg(test)]
mod tests;
