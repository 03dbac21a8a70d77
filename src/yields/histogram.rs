//! Counts by value, fine enough for the quantiles, and so small that any number of boards fits.

/// The probabilities whose quantiles are told.
pub const QUANTILES: [f64; 7] = [0.001, 0.01, 0.05, 0.5, 0.95, 0.99, 0.999];

/// A value that a share of the boards lies below.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quantile {
    /// The share.
    pub p: f64,
    /// The value; `None` is unbounded.
    pub value: Option<f64>,
}

/// Steps of the mantissa's bits in an octave: 0.017 dB at the most.
const OCTAVE_BITS: u32 = 9;
/// `f32` bits of the least ratio told apart: 1e-10, 200 dB of rejection.
const FLOOR: f32 = 1e-10;
/// Greatest ratio told apart.
const CEILING: f32 = 1e3;
/// Bins over the span of the gain error.
const GAIN_BINS: usize = 2048;

/// Place of a ratio `|A_cm|/|A_d|` among the bins of rejection.
#[inline(always)]
pub(super) fn ratio_bin(ratio: f64) -> u32 {
    let ratio = ratio as f32;
    // What is no number counts among the worst.
    let ratio = if ratio < CEILING { ratio } else { CEILING };
    let ratio = if ratio > FLOOR { ratio } else { FLOOR };
    (ratio.to_bits() >> (23 - OCTAVE_BITS)) - (FLOOR.to_bits() >> (23 - OCTAVE_BITS))
}

pub(super) const RATIO_BINS: usize =
    ((CEILING.to_bits() >> (23 - OCTAVE_BITS)) - (FLOOR.to_bits() >> (23 - OCTAVE_BITS))) as usize + 1;

/// The lower edge of a bin of ratios.
fn ratio_edge(bin: usize) -> f64 {
    let first = FLOOR.to_bits() >> (23 - OCTAVE_BITS);
    f64::from(f32::from_bits((first + bin as u32) << (23 - OCTAVE_BITS)))
}

/// Where gains fall between the least and the greatest that were expected.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct GainScale {
    low: f64,
    width: f64,
    per_unit: f64,
}

impl GainScale {
    /// Over a span of gains; one without width gets some.
    pub(super) fn new(low: f64, high: f64) -> Self {
        let margin = 1e-3 * (high - low).abs() + 1e-12 * low.abs().max(high.abs()) + f64::MIN_POSITIVE;
        let (low, high) = (low - margin, high + margin);
        Self { low, width: (high - low) / GAIN_BINS as f64, per_unit: GAIN_BINS as f64 / (high - low) }
    }

    #[inline(always)]
    pub(super) fn bin(&self, gain: f64) -> u32 {
        // Clamped as a float: what is no number falls into the first bin.
        let place = (gain - self.low) * self.per_unit;
        let most = (GAIN_BINS - 1) as f64;
        let place = if place > 0.0 { place } else { 0.0 };
        let place = if place < most { place } else { most };
        place as i32 as u32
    }

    fn edge(&self, bin: usize) -> f64 {
        self.low + self.width * bin as f64
    }
}

/// A histogram with the edges of its bins.
#[derive(Clone, Debug, PartialEq)]
pub struct Histogram {
    /// Boards in each bin.
    pub counts: Vec<u64>,
    /// Edges, one more than bins, rising.
    pub edges: Vec<f64>,
}

impl Histogram {
    pub(super) fn of_gains(counts: &[u64], scale: &GainScale, target: f64) -> Self {
        let mut edges: Vec<f64> = (0..=GAIN_BINS).map(|bin| scale.edge(bin) / target - 1.0).collect();
        let mut counts = counts.to_vec();
        if target < 0.0 {
            edges.reverse();
            counts.reverse();
        }
        Self { counts, edges }
    }

    /// Bins of decibels; those of a ratio in reverse. The last one is open: 200 dB and above.
    pub(super) fn of_rejection(counts: &[u64]) -> Self {
        let edges = (0..=RATIO_BINS).rev().map(|bin| -20.0 * libm::log10(ratio_edge(bin))).collect();
        Self { counts: counts.iter().rev().copied().collect(), edges }
    }

    /// All boards.
    #[must_use]
    pub fn total(&self) -> u64 {
        self.counts.iter().sum()
    }

    /// The value that a share of the boards lies below, spread evenly within its bin.
    #[must_use]
    pub fn quantile(&self, p: f64) -> f64 {
        let wanted = p * self.total() as f64;
        let mut below = 0.0;
        for (bin, &count) in self.counts.iter().enumerate() {
            let count = count as f64;
            if count > 0.0 && below + count >= wanted {
                let within = ((wanted - below) / count).clamp(0.0, 1.0);
                return self.edges[bin] + within * (self.edges[bin + 1] - self.edges[bin]);
            }
            below += count;
        }
        self.edges.last().copied().unwrap_or(f64::NAN)
    }

    /// Shares of the boards in `rows` equal steps from one value to another, with those beyond in the
    /// first and the last.
    #[must_use]
    pub fn rows(&self, low: f64, high: f64, rows: usize) -> Vec<f64> {
        let total = self.total().max(1) as f64;
        let mut shares = vec![0.0; rows];
        for (bin, &count) in self.counts.iter().enumerate() {
            if count > 0 {
                let centre = f64::midpoint(self.edges[bin], self.edges[bin + 1]);
                let row = ((centre - low) / (high - low) * rows as f64).clamp(0.0, rows as f64 - 1.0);
                shares[row as usize] += count as f64 / total;
            }
        }
        shares
    }
}

pub(super) const fn gain_counts() -> usize {
    GAIN_BINS
}

#[cfg(test)]
mod tests {
    use super::*;

    /// figures.md, section 13: 0.02 dB.
    #[test]
    fn rejection_is_resolved_to_a_fiftieth_of_a_decibel() {
        let all = Histogram::of_rejection(&vec![1; RATIO_BINS]);
        for (pair, bin) in all.edges.windows(2).zip(0..) {
            let width = pair[1] - pair[0];
            assert!(width > 0.0 && width < 0.02, "bin {bin}: {width} dB");
        }
        for db in [3.0, 60.0, 93.98, 140.0, 199.9] {
            let bin = RATIO_BINS - 1 - ratio_bin(libm::exp10(-db / 20.0)) as usize;
            assert!(all.edges[bin] <= db + 1e-5 && db - 1e-5 <= all.edges[bin + 1], "{db} dB");
        }
    }

    /// The quantiles of an even spread are known; a thousandth of the span.
    #[test]
    fn quantiles_of_an_even_spread() {
        let scale = GainScale::new(99.0, 101.0);
        let mut counts = vec![0; GAIN_BINS];
        for k in 0..200_000 {
            counts[scale.bin(99.0 + 2.0 * f64::from(k) / 200_000.0) as usize] += 1;
        }
        let histogram = Histogram::of_gains(&counts, &scale, 100.0);
        for p in QUANTILES {
            let exact = -0.01 + 0.02 * p;
            assert!((histogram.quantile(p) - exact).abs() < 0.02e-3, "{p}");
        }
        assert_eq!(scale.bin(f64::NAN), 0);
        assert_eq!((scale.bin(-1e300), scale.bin(1e300)), (0, GAIN_BINS as u32 - 1));
    }
}
