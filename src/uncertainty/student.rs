//! Student's t, from the incomplete beta function.

/// Probability that a variable of Student's distribution with `freedom` degrees of freedom lies below `t`.
///
/// `P = 1 - I_x(ν/2, 1/2)/2` with `x = ν/(ν + t²)` for `t >= 0` (Abramowitz and Stegun, 26.7.1, from memory);
/// infinite `freedom` is the normal distribution. Not-a-number for `freedom` not above zero.
#[must_use]
pub fn student_t(t: f64, freedom: f64) -> f64 {
    if !(freedom > 0.0) || t.is_nan() {
        return f64::NAN;
    }
    if freedom.is_infinite() {
        return 0.5 * libm::erfc(-t / std::f64::consts::SQRT_2);
    }
    let tail = 0.5 * incomplete_beta(freedom / (freedom + t * t), freedom / 2.0, 0.5);
    if t >= 0.0 { 1.0 - tail } else { tail }
}

/// The factor `k` for which `±k` standard uncertainties cover the share `coverage` (0 to 1) with
/// `freedom` degrees of freedom (GUM, annex G and table G.2).
///
/// ```
/// use evenkeel::uncertainty::coverage_factor;
/// assert!((coverage_factor(0.95, f64::INFINITY) - 1.959_964).abs() < 1e-6);
/// assert!((coverage_factor(0.95, 1.0) - 12.706_2).abs() < 1e-4);
/// ```
#[must_use]
pub fn coverage_factor(coverage: f64, freedom: f64) -> f64 {
    let wanted = f64::midpoint(1.0, coverage);
    if !(freedom > 0.0) || !(0.0..1.0).contains(&coverage) {
        return f64::NAN;
    }
    let (mut low, mut high) = (0.0, 1.0);
    while student_t(high, freedom) < wanted && high < 1e300 {
        high *= 2.0;
    }
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if middle <= low || middle >= high {
            break;
        }
        if student_t(middle, freedom) < wanted { low = middle } else { high = middle }
    }
    f64::midpoint(low, high)
}

/// Effective degrees of freedom of a sum of independent contributions, each `(standard uncertainty,
/// degrees of freedom)`: `u_c⁴ / Σ u_i⁴/ν_i` (GUM, equation G.2b). Infinite where nothing bounds it.
#[must_use]
pub fn effective_freedom(contributions: &[(f64, f64)]) -> f64 {
    let variance: f64 = contributions.iter().map(|(u, _)| u * u).sum();
    let bound: f64 = contributions.iter().map(|(u, freedom)| (u * u) * (u * u) / freedom).sum();
    if bound > 0.0 { variance * variance / bound } else { f64::INFINITY }
}

/// `I_x(a, b)`, by its continued fraction (Abramowitz and Stegun, 26.5.8), evaluated from the front.
fn incomplete_beta(x: f64, a: f64, b: f64) -> f64 {
    if x <= 0.0 {
        return 0.0;
    }
    if x >= 1.0 {
        return 1.0;
    }
    if x > (a + 1.0) / (a + b + 2.0) {
        return 1.0 - incomplete_beta(1.0 - x, b, a);
    }
    let scale = libm::lgamma(a + b) - libm::lgamma(a) - libm::lgamma(b);
    let front = libm::exp(scale + a * libm::log(x) + b * libm::log1p(-x)) / a;
    front * fraction(x, a, b)
}

/// The continued fraction, by Lentz's way of building numerator and denominator side by side.
fn fraction(x: f64, a: f64, b: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let away = |value: f64| if value.abs() < TINY { TINY } else { value };
    let mut c = 1.0;
    let mut d = 1.0 / away(1.0 - (a + b) * x / (a + 1.0));
    let mut product = d;
    for m in 1..10_000 {
        let m = f64::from(m);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        let before = product;
        for term in [even, odd] {
            d = 1.0 / away(1.0 + term * d);
            c = away(1.0 + term / c);
            product *= c * d;
        }
        if (product - before).abs() <= 1e-16 * product.abs() {
            break;
        }
    }
    product
}

#[cfg(test)]
mod tests {
    use super::*;
    use statrs::distribution::{ContinuousCDF as _, StudentsT};

    /// GUM, table G.2 (p = 95.45 %), rounded there to two decimals; from memory, recomputed by numerical integration.
    #[test]
    fn table_g_2() {
        let table = [(2.0, 4.527), (3.0, 3.307), (5.0, 2.649), (10.0, 2.284), (20.0, 2.133), (50.0, 2.051)];
        for (freedom, k) in table {
            assert!(
                (coverage_factor(0.9545, freedom) - k).abs() < 6e-4,
                "{freedom}: {}",
                coverage_factor(0.9545, freedom)
            );
        }
        assert!((coverage_factor(0.9545, f64::INFINITY) - 2.000).abs() < 6e-4);
    }

    /// GUM, example H.1 (end gauge); from memory.
    #[test]
    fn example_h_1() {
        let parts = [(25.0, 18.0), (9.7, 25.6), (2.9, 50.0), (16.6, 2.0)];
        let combined = parts.iter().map(|(u, _)| u * u).sum::<f64>().sqrt();
        assert!((combined - 31.67).abs() < 0.01);
        assert!((effective_freedom(&parts) - 16.76).abs() < 0.02, "{}", effective_freedom(&parts));
        assert!((coverage_factor(0.99, 16.0) - 2.92).abs() < 0.005);
        assert!((coverage_factor(0.99, 17.0) - 2.90).abs() < 0.005);
        assert!((coverage_factor(0.99, 16.0) * 32.0 - 93.4).abs() < 0.1);
    }

    #[test]
    fn against_a_general_statistics_crate() {
        for freedom in [1.0, 2.0, 3.5, 7.0, 16.76, 40.0, 250.0] {
            let other = StudentsT::new(0.0, 1.0, freedom).expect("a distribution");
            for t in [-8.0, -1.5, -0.1, 0.0, 0.3, 1.0, 2.0, 4.0, 12.0] {
                let (ours, theirs) = (student_t(t, freedom), other.cdf(t));
                assert!((ours - theirs).abs() < 1e-12, "{freedom} {t}: {ours} {theirs}");
            }
        }
    }

    #[test]
    fn outside_its_domain_it_is_no_number() {
        assert!(coverage_factor(0.95, 0.0).is_nan() && coverage_factor(1.0, 3.0).is_nan());
        assert!(student_t(1.0, -1.0).is_nan());
        assert!(effective_freedom(&[(1.0, f64::INFINITY)]).is_infinite());
    }
}
