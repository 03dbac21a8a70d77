//! The normal distribution, and its inverse to full precision.

/// Probability that a standard normal number lies below `z`; small ones keep their digits.
#[must_use]
pub fn distribution(z: f64) -> f64 {
    0.5 * libm::erfc(-z * std::f64::consts::FRAC_1_SQRT_2)
}

const NEAR: ([f64; 8], [f64; 8]) = (
    [
        3.387_132_872_796_366_5,
        133.141_667_891_784_38,
        1_971.590_950_306_551_3,
        13_731.693_765_509_46,
        45_921.953_931_549_87,
        67_265.770_927_008_7,
        33_430.575_583_588_13,
        2_509.080_928_730_122_7,
    ],
    [
        1.0,
        42.313_330_701_600_91,
        687.187_007_492_057_9,
        5_394.196_021_424_751,
        21_213.794_301_586_597,
        39_307.895_800_092_71,
        28_729.085_735_721_943,
        5_226.495_278_852_855,
    ],
);
const MIDDLE: ([f64; 8], [f64; 8]) = (
    [
        1.423_437_110_749_683_5,
        4.630_337_846_156_546,
        5.769_497_221_460_691,
        3.647_848_324_763_204_5,
        1.270_458_252_452_368_4,
        0.241_780_725_177_450_6,
        0.022_723_844_989_269_184,
        7.745_450_142_783_414e-4,
    ],
    [
        1.0,
        2.053_191_626_637_759,
        1.676_384_830_183_803_8,
        0.689_767_334_985_1,
        0.148_103_976_427_480_08,
        0.015_198_666_563_616_457,
        5.475_938_084_995_345e-4,
        1.050_750_071_644_416_9e-9,
    ],
);
const FAR: ([f64; 8], [f64; 8]) = (
    [
        6.657_904_643_501_103,
        5.463_784_911_164_114,
        1.784_826_539_917_291_3,
        0.296_560_571_828_504_87,
        0.026_532_189_526_576_124,
        0.001_242_660_947_388_078_4,
        2.711_555_568_743_487_6e-5,
        2.010_334_399_292_288e-7,
    ],
    [
        1.0,
        0.599_832_206_555_888,
        0.136_929_880_922_735_8,
        0.014_875_361_290_850_615,
        7.868_691_311_456_133e-4,
        1.846_318_317_510_054_7e-5,
        1.421_511_758_316_446e-7,
        2.044_263_103_389_939_8e-15,
    ],
);

fn ratio((top, bottom): &([f64; 8], [f64; 8]), x: f64) -> f64 {
    let horner = |c: &[f64; 8]| c.iter().rev().fold(0.0, |sum, c| sum * x + c);
    horner(top) / horner(bottom)
}

/// The inverse of [`distribution`] for a probability above 0 and below 1.
///
/// M. J. Wichura, "Algorithm AS 241: The percentage points of the normal distribution", Applied
/// Statistics 37, 1988 (PPND16; coefficients from memory, checked against another library).
#[must_use]
pub fn quantile(p: f64) -> f64 {
    let q = p - 0.5;
    if q.abs() <= 0.425 {
        return q * ratio(&NEAR, 0.180_625 - q * q);
    }
    let tail = if q < 0.0 { p } else { 1.0 - p };
    let r = (-libm::log(tail)).sqrt();
    let z = if r <= 5.0 { ratio(&MIDDLE, r - 1.6) } else { ratio(&FAR, r - 5.0) };
    if q < 0.0 { -z } else { z }
}

#[cfg(test)]
mod tests {
    use super::*;
    use statrs::distribution::{ContinuousCDF, Normal};

    /// Quantiles as tabled: Abramowitz, Stegun, table 26.5 (from memory), and the inverse of itself far out.
    #[test]
    fn quantiles() {
        assert!((quantile(0.975) - 1.959_963_984_540_054).abs() < 1e-14);
        assert!((quantile(0.999) - 3.090_232_306_167_814).abs() < 1e-13);
        assert!((quantile(1e-9) + 5.997_807_015_007_69).abs() < 1e-12);
        for k in 1..300 {
            let p = libm::exp(-f64::from(k));
            let back = distribution(quantile(p));
            assert!((back / p - 1.0).abs() < 1e-11, "p = {p}: back {back}");
        }
    }

    /// Against the `statrs` crate in the bulk.
    #[test]
    fn agrees_with_another_library() {
        let normal = Normal::standard();
        for k in 1..1000 {
            let p = f64::from(k) / 1000.0;
            assert!((quantile(p) - normal.inverse_cdf(p)).abs() < 1e-9, "{p}");
        }
    }
}
