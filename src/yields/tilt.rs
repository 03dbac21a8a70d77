//! Exponential tilting: the density of a drawn number multiplied by `exp(θ u)`.
use super::direction::Direction;
use super::normal::{distribution, quantile};
use super::shape::Shape;

const SIGMA: f64 = 1.0 / 3.0;

/// Greatest strengths for which nothing under- or overflows; the mean is then within 1 % of the end.
const MOST: [f64; 2] = [1e6, 120.0];

fn capped(shape: Shape, theta: f64) -> f64 {
    let most = MOST[shape as usize];
    theta.clamp(-most, most)
}

/// `ln E[exp(θ u)]` of the untilted number.
pub(super) fn log_moment(shape: Shape, theta: f64) -> f64 {
    match shape {
        Shape::Uniform => {
            let t = theta.abs();
            if t < 1e-3 { t * t / 6.0 } else { t + libm::log(-libm::expm1(-2.0 * t) / (2.0 * t)) }
        }
        Shape::Normal => {
            let (low, high) = ends(theta.abs());
            let whole = libm::erf(3.0 / std::f64::consts::SQRT_2);
            theta * theta * SIGMA * SIGMA / 2.0 + libm::log((distribution(high) - distribution(low)) / whole)
        }
    }
}

/// Mean of the tilted number.
pub(super) fn mean(shape: Shape, theta: f64) -> f64 {
    let t = theta.abs();
    let mean = match shape {
        Shape::Uniform => {
            if t < 1e-3 {
                t / 3.0
            } else {
                let e = libm::exp(-2.0 * t);
                (1.0 + e) / (1.0 - e) - 1.0 / t
            }
        }
        Shape::Normal => {
            let (low, high) = ends(t);
            let density = |z: f64| libm::exp(-0.5 * z * z) / (2.0 * std::f64::consts::PI).sqrt();
            t * SIGMA * SIGMA - SIGMA * (density(high) - density(low)) / (distribution(high) - distribution(low))
        }
    };
    if theta < 0.0 { -mean } else { mean }
}

/// A tilted number from one spread evenly over (0, 1).
pub(super) fn sample(shape: Shape, theta: f64, unit: f64) -> f64 {
    let t = theta.abs();
    let drawn = match shape {
        Shape::Uniform => {
            if t < 1e-6 {
                2.0 * unit - 1.0
            } else {
                1.0 + libm::log(unit + (1.0 - unit) * libm::exp(-2.0 * t)) / t
            }
        }
        Shape::Normal => {
            let (low, high) = ends(t);
            let (below, above) = (distribution(low), distribution(high));
            t * SIGMA * SIGMA + SIGMA * quantile(below + unit * (above - below))
        }
    };
    let drawn = drawn.clamp(-1.0, 1.0);
    if theta < 0.0 { -drawn } else { drawn }
}

/// The cuts of a normal number tilted upward, in its standard deviations.
fn ends(t: f64) -> (f64, f64) {
    let mean = t * SIGMA * SIGMA;
    ((-1.0 - mean) / SIGMA, (1.0 - mean) / SIGMA)
}

/// A tilt along one direction: a strength for each drawn number.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Tilt {
    pub(super) theta: Vec<f64>,
    /// `Σ ln E[exp(θ u)]`
    pub(super) log_moment: f64,
    /// Logarithm of a bound on the probability of a failure this way (Chernoff's).
    pub(super) log_bound: f64,
}

impl Tilt {
    /// None at all.
    pub(super) fn none(shapes: &[Shape]) -> Self {
        Self { theta: vec![0.0; shapes.len()], log_moment: 0.0, log_bound: 0.0 }
    }

    /// The tilt whose mean lies on the limit, times `strength`; `None` where no board gets there.
    pub(super) fn toward(direction: &Direction, shapes: &[Shape], strength: f64) -> Option<Self> {
        let farthest: f64 = direction.slopes.iter().map(|slope| slope.abs()).sum();
        let distance = direction.limit - direction.start;
        // A little beyond the straight line's end a bent one may still reach.
        if !(farthest > 0.0) || distance > 1.05 * farthest {
            return None;
        }
        let wanted = distance.min(0.9999 * farthest);
        let mean_at = |beta: f64| -> f64 {
            let each = direction.slopes.iter().zip(shapes);
            each.map(|(slope, &shape)| slope * mean(shape, capped(shape, beta * slope))).sum()
        };
        let (mut low, mut high) = (0.0, 1.0 / farthest);
        for _ in 0..60 {
            if mean_at(high) >= wanted {
                break;
            }
            low = high;
            high *= 2.0;
        }
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if mean_at(middle) < wanted { low = middle } else { high = middle }
        }
        let beta = if wanted > 0.0 { high * strength } else { 0.0 };
        let theta: Vec<f64> =
            direction.slopes.iter().zip(shapes).map(|(slope, &shape)| capped(shape, beta * slope)).collect();
        let log_moment: f64 = theta.iter().zip(shapes).map(|(&theta, &shape)| log_moment(shape, theta)).sum();
        Some(Self { log_bound: (log_moment - beta * distance.max(0.0)).min(0.0), theta, log_moment })
    }

    /// `ln` of the tilted density over the untilted one.
    pub(super) fn log_ratio(&self, drawn: &[f64]) -> f64 {
        self.theta.iter().zip(drawn).map(|(theta, u)| theta * u).sum::<f64>() - self.log_moment
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Moments, means and samples of a tilted number against plain integration of its density.
    #[test]
    fn tilted_numbers_have_the_density_they_should() {
        for shape in [Shape::Uniform, Shape::Normal] {
            for theta in [0.0, 0.3, -2.0, 9.0, -40.0, 80.0] {
                let steps = 400_000;
                let density = |u: f64| match shape {
                    Shape::Uniform => 0.5,
                    Shape::Normal => {
                        let z = u / SIGMA;
                        libm::exp(-0.5 * z * z)
                            / ((2.0 * std::f64::consts::PI).sqrt() * SIGMA * libm::erf(3.0 / std::f64::consts::SQRT_2))
                    }
                };
                let (mut zeroth, mut first) = (0.0, 0.0);
                for k in 0..steps {
                    let u = (2.0 * f64::from(k) + 1.0) / f64::from(steps) - 1.0;
                    let weight = density(u) * libm::exp(theta * u - theta.abs()) * 2.0 / f64::from(steps);
                    zeroth += weight;
                    first += u * weight;
                }
                let (moment, middle) = (log_moment(shape, theta), mean(shape, theta));
                assert!((moment - libm::log(zeroth) - theta.abs()).abs() < 1e-6, "{shape:?} {theta}: {moment}");
                assert!((middle - first / zeroth).abs() < 1e-6, "{shape:?} {theta}: {middle}");
                let samples = 20_000;
                let sum: f64 =
                    (0..samples).map(|k| sample(shape, theta, (f64::from(k) + 0.5) / f64::from(samples))).sum();
                assert!((sum / f64::from(samples) - middle).abs() < 2e-4, "{shape:?} {theta}: samples");
            }
        }
    }
}
