//! Adaptive integration on a logarithmic scale.
use crate::predict::PolesFault;

/// Integrals of several functions at once.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Integral {
    /// One for each function.
    pub(super) parts: Vec<f64>,
    /// Bound on the relative error of their sum.
    pub(super) error: f64,
}

/// Gauss-Kronrod pair of 7 and 15 points on -1..1, from the outermost inwards; every second abscissa,
/// and the middle, belongs to the Gauss rule (Piessens and others, "QUADPACK", 1983; from memory, and
/// proved against polynomials in the tests).
const ABSCISSAS: [f64; 8] = [
    0.991_455_371_120_812_6,
    0.949_107_912_342_758_5,
    0.864_864_423_359_769_1,
    0.741_531_185_599_394_4,
    0.586_087_235_467_691_1,
    0.405_845_151_377_397_2,
    0.207_784_955_007_898_47,
    0.0,
];
const KRONROD: [f64; 8] = [
    0.022_935_322_010_529_224,
    0.063_092_092_629_978_56,
    0.104_790_010_322_250_18,
    0.140_653_259_715_525_92,
    0.169_004_726_639_267_9,
    0.190_350_578_064_785_4,
    0.204_432_940_075_298_9,
    0.209_482_141_084_727_82,
];
const GAUSS: [f64; 4] =
    [0.129_484_966_168_869_7, 0.279_705_391_489_276_64, 0.381_830_050_505_118_9, 0.417_959_183_673_469_4];

/// Relative error aimed at.
const AIM: f64 = 1e-9;
/// Panels at most; what is then left of the error is told.
const GREATEST_PANELS: usize = 2000;

struct Panel {
    low: f64,
    high: f64,
    parts: Vec<f64>,
    error: f64,
}

/// `∫ density(f) df` between the first and the last of `breaks`, as `∫ f·density d(ln f)`. The panel with
/// the largest error is halved until the sum of all is below 1e-9 of the whole; a panel's error is the
/// difference of its two rules, which far overstates that of the better one.
pub(super) fn over_decades(
    breaks: &[f64],
    functions: usize,
    density: impl Fn(f64) -> Result<Vec<f64>, PolesFault>,
) -> Result<Integral, PolesFault> {
    let mut panels = Vec::new();
    for pair in breaks.windows(2) {
        panels.push(panel(libm::log(pair[0]), libm::log(pair[1]), functions, &density)?);
    }
    loop {
        let whole: f64 = panels.iter().map(|one| one.parts.iter().sum::<f64>()).sum();
        let error: f64 = panels.iter().map(|one| one.error).sum();
        let worst = (0..panels.len()).max_by(|&a, &b| panels[a].error.total_cmp(&panels[b].error));
        let (Some(worst), true) = (worst, error > AIM * whole && panels.len() < GREATEST_PANELS) else {
            let mut parts = vec![0.0; functions];
            for one in &panels {
                for (sum, part) in parts.iter_mut().zip(&one.parts) {
                    *sum += part;
                }
            }
            let error = if whole > 0.0 { error / whole } else { 0.0 };
            return Ok(Integral { parts, error });
        };
        let (low, high) = (panels[worst].low, panels[worst].high);
        let middle = (low + high) / 2.0;
        panels[worst] = panel(low, middle, functions, &density)?;
        panels.push(panel(middle, high, functions, &density)?);
    }
}

fn panel(
    low: f64,
    high: f64,
    functions: usize,
    density: impl Fn(f64) -> Result<Vec<f64>, PolesFault>,
) -> Result<Panel, PolesFault> {
    let (middle, half) = ((low + high) / 2.0, (high - low) / 2.0);
    let (mut parts, mut gauss) = (vec![0.0; functions], 0.0);
    for (k, (&x, &weight)) in ABSCISSAS.iter().zip(&KRONROD).enumerate() {
        for sign in if x == 0.0 { &[1.0][..] } else { &[-1.0, 1.0][..] } {
            let hz = libm::exp(middle + sign * x * half);
            let values = density(hz)?;
            for (sum, value) in parts.iter_mut().zip(&values) {
                *sum += weight * half * hz * value;
            }
            if k % 2 == 1 {
                gauss += GAUSS[k / 2] * half * hz * values.iter().sum::<f64>();
            }
        }
    }
    let error = (parts.iter().sum::<f64>() - gauss).abs();
    Ok(Panel { low, high, parts, error })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// On one panel in `u = ln f` the rules are exact for polynomials in `u` up to degrees 22 and 13.
    #[test]
    fn the_rules_are_exact_for_polynomials() {
        for degree in 0..=22 {
            let power = |x: f64| (0..degree).fold(1.0, |product, _| product * x);
            let one = panel(-1.0, 1.0, 1, |hz| Ok(vec![power(libm::log(hz)) / hz])).unwrap();
            let exact = if degree % 2 == 0 { 2.0 / f64::from(degree + 1) } else { 0.0 };
            assert!((one.parts[0] - exact).abs() < 1e-14, "{degree}: {}", one.parts[0]);
            assert_eq!(one.error < 1e-14, degree <= 13 || degree % 2 == 1, "{degree}: {}", one.error);
        }
    }

    /// White, 1/f, one pole and a sharp resonance against their antiderivatives, within the error told.
    #[test]
    fn the_error_told_is_kept() {
        let within = |low: f64, high: f64, density: &dyn Fn(f64) -> f64, exact: f64| {
            let got = over_decades(&[low, high], 1, |hz| Ok(vec![density(hz)])).unwrap();
            let off = (got.parts[0] / exact - 1.0).abs();
            assert!(got.error <= AIM && off <= got.error.max(1e-14), "{off:e} {:e}", got.error);
        };
        within(0.1, 1e5, &|_| 3.0, 3.0 * (1e5 - 0.1));
        within(0.1, 1e5, &|hz| 2.0 / hz, 2.0 * libm::log(1e6));
        within(1e-3, 1e6, &|hz| 1.0 / (1.0 + hz * hz), libm::atan(1e6) - libm::atan(1e-3));
        let width = 1e-3;
        within(
            0.1,
            10.0,
            &|hz| width / (width * width + (hz - 1.0) * (hz - 1.0)),
            libm::atan(9.0 / width) + libm::atan(0.9 / width),
        );
    }
}
