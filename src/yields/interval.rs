use super::beta::regularized;

/// An interval that holds a share with 95 % confidence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// Probability left outside on each side.
const OUTSIDE: f64 = 0.025;

/// The exact binomial 95 % interval on a share of which `pass` in `boards` were seen
/// (C. J. Clopper, E. S. Pearson, "The use of confidence or fiducial limits illustrated in the case of
/// the binomial", Biometrika 26, 1934). Without boards it is everything.
///
/// ```
/// use evenkeel::yields::clopper_pearson;
/// let none = clopper_pearson(0, 10);
/// assert_eq!(none.low, 0.0);
/// assert!((none.high - 0.3085).abs() < 1e-4);
/// ```
#[must_use]
pub fn clopper_pearson(pass: u64, boards: u64) -> Interval {
    if boards == 0 {
        return Interval { low: 0.0, high: 1.0 };
    }
    let (x, n) = (pass as f64, boards as f64);
    let start = x / n;
    Interval {
        // P(X >= x) = I_p(x, n - x + 1) and P(X <= x) = 1 - I_p(x + 1, n - x).
        low: if pass == 0 { 0.0 } else { solve(start, n, |p| regularized(p, x, n - x + 1.0) - OUTSIDE) },
        high: if pass >= boards { 1.0 } else { solve(start, n, |p| regularized(p, x + 1.0, n - x) - (1.0 - OUTSIDE)) },
    }
}

/// The root of a rising function of a share, from a guess, for a sample of `n`.
fn solve(guess: f64, n: f64, f: impl Fn(f64) -> f64) -> f64 {
    let step = 3.0 * (guess * (1.0 - guess) / n).sqrt() + 5.0 / n;
    let mut low = (0.0, f64::NAN);
    let mut high = (1.0, f64::NAN);
    // A bracket of a few standard errors, where the root is in it.
    for end in [guess - step, guess, guess + step] {
        if end > low.0 && end < high.0 {
            let value = f(end);
            if value <= 0.0 {
                low = (end, value);
            } else {
                high = (end, value);
                break;
            }
        }
    }
    let mut halve = true;
    for _ in 0..200 {
        let middle = f64::midpoint(low.0, high.0);
        let secant = low.0 - low.1 * (high.0 - low.0) / (high.1 - low.1);
        // Every other step halves, so that the bracket shrinks whatever the function does.
        let at = if !halve && secant > low.0 && secant < high.0 { secant } else { middle };
        halve = !halve;
        if high.0 - low.0 <= 4.0 * f64::EPSILON * high.0 || at <= low.0 || at >= high.0 {
            break;
        }
        let value = f(at);
        if value <= 0.0 {
            low = (at, value);
        } else {
            high = (at, value);
        }
    }
    f64::midpoint(low.0, high.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use statrs::distribution::{Binomial, DiscreteCDF};

    /// NIST/SEMATECH e-Handbook, 7.2.4.1 (4 of 20: one-sided 95 % upper limit .401029 is the two-sided
    /// 90 % one; from memory), and E. S. Pearson's charts as tabled by Newcombe, "Two-sided confidence
    /// intervals for the single proportion", Statistics in Medicine 17, 1998, table I, method 5:
    /// 81/263 0.2527 to 0.3676, 15/148 0.0578 to 0.1617, 0/20 0 to 0.1684, 1/29 0.0009 to 0.1776
    /// (from memory).
    #[test]
    fn published_values() {
        for (pass, boards, low, high) in [
            (81, 263, 0.2527, 0.3676),
            (15, 148, 0.0578, 0.1617),
            (0, 20, 0.0, 0.1684),
            (1, 29, 0.0009, 0.1776),
            (29, 29, 0.8806, 1.0),
        ] {
            let interval = clopper_pearson(pass, boards);
            assert!((interval.low - low).abs() < 6e-5, "{pass}/{boards}: {interval:?}");
            assert!((interval.high - high).abs() < 6e-5, "{pass}/{boards}: {interval:?}");
        }
    }

    /// The definition, with the binomial distribution of the `statrs` crate.
    #[test]
    fn leaves_what_it_says_outside() {
        for (pass, boards) in [(1, 10), (5, 10), (9, 10), (3, 100_000), (466_400, 1_000_000), (999_999, 1_000_000)] {
            let interval = clopper_pearson(pass, boards);
            let above = 1.0 - Binomial::new(interval.low, boards).expect("a share").cdf(pass - 1);
            let below = Binomial::new(interval.high, boards).expect("a share").cdf(pass);
            assert!((above - 0.025).abs() < 1e-6, "{pass}/{boards}: {above}");
            assert!((below - 0.025).abs() < 1e-6, "{pass}/{boards}: {below}");
        }
    }

    /// All of n pass: the lower end is 0.025^(1/n), whatever the size.
    #[test]
    fn ends_are_known() {
        for boards in [1_u64, 10, 1_000_000, 1_000_000_000, 1_000_000_000_000] {
            let exact = -libm::expm1(libm::log(0.025) / boards as f64);
            let lost = 1.0 - clopper_pearson(boards, boards).low;
            assert!((lost - exact).abs() <= 1e-9 * exact + 1e-15, "{boards}: {lost} against {exact}");
            let high = clopper_pearson(0, boards).high;
            assert!((high - exact).abs() <= 1e-9 * exact, "{boards}: {high} against {exact}");
        }
    }
}
