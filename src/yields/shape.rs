use crate::network::LANES;

/// How a quantity is spread over its bound.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// Evenly.
    Uniform,
    /// Normal with a standard deviation of a third of the bound, cut at the bound.
    Normal,
}

impl Shape {
    /// The contract's word.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Uniform => "uniform",
            Self::Normal => "normal",
        }
    }

    /// Variance in units of the bound squared: 1/3, or that of the cut normal.
    #[must_use]
    pub fn variance(self) -> f64 {
        match self {
            Self::Uniform => 1.0 / 3.0,
            // sigma² (1 - 2·3 φ(3) / (Φ(3) - Φ(-3)))
            Self::Normal => {
                let density = libm::exp(-4.5) / (2.0 * std::f64::consts::PI).sqrt();
                (1.0 - 6.0 * density / libm::erf(3.0 / std::f64::consts::SQRT_2)) / 9.0
            }
        }
    }
}

// An odd rational function u P(v)/Q(v) of an even spread u, v = 1 - u²; fitted to the inverse of the normal
// distribution cut at three sigma, with the bound as unit: 1.1e-6 of the bound at most.
const P: [f64; 6] = [
    0.999_998_904_987_192_3,
    184.754_298_204_549_9,
    7_851.652_032_999_096,
    77_552.006_660_337,
    143_119.210_466_583_53,
    23_584.667_342_790_147,
];
const Q: [f64; 6] = [
    1.0,
    202.999_282_873_579_35,
    9_996.234_377_929_923,
    124_315.430_787_347_91,
    337_182.691_576_845_1,
    133_824.433_452_902_8,
];

#[inline(always)]
fn horner(c: [f64; 6], v: f64) -> f64 {
    ((((c[5] * v + c[4]) * v + c[3]) * v + c[2]) * v + c[1]) * v + c[0]
}

/// A normal number with sigma 1/3, cut at ±1, from an even spread `u` over (-1, 1).
///
/// Exact about the cut: no number is drawn again or clamped.
#[must_use]
#[inline(always)]
pub fn cut_normal(u: f64) -> f64 {
    let v = 1.0 - u * u;
    u * horner(P, v) / horner(Q, v)
}

/// [`cut_normal`] for a block of boards.
#[inline(always)]
pub(super) fn cut(block: &mut [f64; LANES]) {
    for u in block {
        *u = cut_normal(*u);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use statrs::distribution::{ContinuousCDF, Normal};

    /// Against the inverse normal distribution of the `statrs` crate, to 1.5e-6 of the bound.
    #[test]
    fn the_cut_normal_is_one() {
        let normal = Normal::standard();
        let half = normal.cdf(3.0) - 0.5;
        for k in -1999..2000_i32 {
            let u = f64::from(k) / 2000.0;
            let exact = normal.inverse_cdf(0.5 + half * u) / 3.0;
            assert!((cut_normal(u) - exact).abs() < 1.5e-6, "u = {u}: {} against {exact}", cut_normal(u));
        }
        assert!(cut_normal(1.0) <= 1.0 && cut_normal(1.0) > 0.999_99);
        assert_eq!(cut_normal(-0.3), -cut_normal(0.3));
    }

    /// The variance of the cut normal by integration over the spread.
    #[test]
    fn variances_are_those_of_the_shapes() {
        let steps = 200_000;
        let mean: f64 =
            (0..steps).map(|k| cut_normal((f64::from(k) + 0.5) / f64::from(steps))).map(|x| x * x).sum::<f64>();
        assert!((mean / f64::from(steps) - Shape::Normal.variance()).abs() < 1e-6);
        // 0.97334 sigma²: Johnson, Kotz, Balakrishnan, "Continuous Univariate Distributions" 1, 10.1 (from memory).
        assert!((Shape::Normal.variance() * 9.0 - 0.973_34).abs() < 1e-5);
    }
}
