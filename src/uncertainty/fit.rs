//! Least squares, and what the errors of the readings make of its results.
use super::student::{coverage_factor, effective_freedom};

/// What is stated about the errors of the readings, carried to the observed quantity.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Errors {
    /// Standard uncertainty of each observation, independent from one to the next; empty: not stated.
    pub own: Vec<f64>,
    /// One list for each error that all observations share, with its standard uncertainty in each of
    /// them, sign included.
    pub shared: Vec<Vec<f64>>,
}

/// Why there is no fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FitFault {
    /// Fewer observations than unknowns.
    #[error("{readings} readings can't tell {unknowns} unknowns")]
    TooFew {
        /// Observations.
        readings: usize,
        /// Unknowns.
        unknowns: usize,
    },
    /// A column that the ones before it make up.
    #[error("column {column} does not vary by itself")]
    Dependent {
        /// Its number, from 0.
        column: usize,
    },
    /// As many observations as unknowns, and no stated uncertainty.
    #[error("nothing tells how sure the readings are")]
    NoSpread,
}

/// Where the uncertainty of single observations comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Spread {
    /// The scatter about the fit (type A), with the degrees of freedom that are left.
    Scatter,
    /// What is stated (type B): the scatter is no larger than that explains.
    Stated,
}

/// A fit `y = Σ β_k x_k`.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// The coefficients.
    pub beta: Vec<f64>,
    /// Observations beyond the unknowns.
    pub freedom: usize,
    /// Standard deviation of the scatter about the fit, in units of the stated uncertainty where that
    /// is given.
    pub scatter: f64,
    /// Which of the two counts.
    pub spread: Spread,
    /// Row k: what each observation contributes to `β_k`.
    weights: Vec<Vec<f64>>,
    /// Standard uncertainty of each observation by itself.
    own: Vec<f64>,
    shared: Vec<Vec<f64>>,
}

/// A figure with its coverage interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// Best value.
    pub value: f64,
    /// Combined standard uncertainty.
    pub standard: f64,
    /// Effective degrees of freedom.
    pub freedom: f64,
    /// Half of the interval that covers 95 %.
    pub expanded: f64,
}

/// Share of the values that an interval covers.
const COVERAGE: f64 = 0.95;

/// Fits `observed` by the columns. Weights are the inverse squares of the stated uncertainties where all
/// of them are above zero, else equal.
///
/// Statement and scatter describe the same errors, so they are not added: the statement counts unless the
/// scatter is larger than it explains (chi-squared beyond its 95 % point); without a statement the scatter
/// counts. Shared errors come on top. GUM 4.2, 4.3, 5.1.2, 5.2 and G.4; the example H.3 is a test.
///
/// # Errors
/// [`FitFault`] where the columns leave something undecided.
///
/// ```
/// use evenkeel::uncertainty::{Errors, FitFault, fit};
///
/// let columns = [vec![1.0; 4], vec![0.0, 1.0, 2.0, 3.0]];
/// let errors = Errors { own: vec![0.1; 4], shared: Vec::new() };
/// let line = fit(&columns, &[1.0, 3.0, 5.0, 7.0], &errors)?;
/// assert!((line.beta[0] - 1.0).abs() < 1e-12 && (line.beta[1] - 2.0).abs() < 1e-12);
/// assert!(matches!(fit(&[vec![1.0; 2], vec![3.0; 2]], &[1.0, 2.0], &Errors { own: vec![0.1; 2], shared: Vec::new() }), Err(FitFault::Dependent { .. })));
/// # Ok::<(), FitFault>(())
/// ```
pub fn fit(columns: &[Vec<f64>], observed: &[f64], errors: &Errors) -> Result<Fit, FitFault> {
    let (readings, unknowns) = (observed.len(), columns.len());
    if readings < unknowns {
        return Err(FitFault::TooFew { readings, unknowns });
    }
    let stated = errors.own.len() == readings && errors.own.iter().all(|u| *u > 0.0 && u.is_finite());
    let sigma = if stated { errors.own.clone() } else { vec![1.0; readings] };
    let scaled = |column: &[f64]| column.iter().zip(&sigma).map(|(x, s)| x / s).collect::<Vec<f64>>();
    let mut weights = pseudo_inverse(&columns.iter().map(|column| scaled(column)).collect::<Vec<_>>())?;
    for row in &mut weights {
        row.iter_mut().zip(&sigma).for_each(|(weight, s)| *weight /= s);
    }
    let apply = |y: &[f64]| weights.iter().map(|row| dot(row, y)).collect::<Vec<f64>>();
    let residual = |beta: &[f64]| -> Vec<f64> {
        let fitted = |i: usize| beta.iter().zip(columns).map(|(b, column)| b * column[i]).sum::<f64>();
        observed.iter().enumerate().map(|(i, y)| y - fitted(i)).collect()
    };
    let mut beta = apply(observed);
    for _ in 0..2 {
        let rest = apply(&residual(&beta));
        beta.iter_mut().zip(rest).for_each(|(b, d)| *b += d);
    }
    let freedom = readings - unknowns;
    let squares: f64 = residual(&beta).iter().zip(&sigma).map(|(r, s)| (r / s) * (r / s)).sum();
    let scatter = if freedom > 0 { (squares / freedom as f64).sqrt() } else { 0.0 };
    if freedom == 0 && !stated {
        return Err(FitFault::NoSpread);
    }
    let explained = stated && squares <= chi_squared_95(freedom as f64);
    let spread = if explained { Spread::Stated } else { Spread::Scatter };
    let factor = if explained { 1.0 } else { scatter };
    let own = sigma.iter().map(|s| s * factor).collect();
    Ok(Fit { beta, freedom, scatter, spread, weights, own, shared: errors.shared.clone() })
}

impl Fit {
    /// A figure of the coefficients: its value and its slope against each of them.
    #[must_use]
    pub fn estimate(&self, value: f64, slopes: &[f64]) -> Estimate {
        let by_reading = |i: usize| slopes.iter().zip(&self.weights).map(|(slope, row)| slope * row[i]).sum::<f64>();
        let carried: Vec<f64> = (0..self.own.len()).map(by_reading).collect();
        let own = carried.iter().zip(&self.own).map(|(a, u)| a * a * u * u).sum::<f64>().sqrt();
        let freedom = if self.spread == Spread::Stated { f64::INFINITY } else { self.freedom as f64 };
        let mut parts = vec![(own, freedom)];
        parts.extend(self.shared.iter().map(|errors| (dot(&carried, errors).abs(), f64::INFINITY)));
        let standard = parts.iter().map(|(u, _)| u * u).sum::<f64>().sqrt();
        let freedom = effective_freedom(&parts);
        Estimate { value, standard, freedom, expanded: coverage_factor(COVERAGE, freedom) * standard }
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// `R⁻¹Qᵀ` of the columns, by Gram and Schmidt's way, each projection done twice.
fn pseudo_inverse(columns: &[Vec<f64>]) -> Result<Vec<Vec<f64>>, FitFault> {
    let mut basis: Vec<Vec<f64>> = Vec::new();
    let mut triangle: Vec<Vec<f64>> = Vec::new();
    for (index, column) in columns.iter().enumerate() {
        let whole = dot(column, column).sqrt();
        let mut rest = column.clone();
        let mut shares = vec![0.0; basis.len()];
        for _ in 0..2 {
            for (q, share) in basis.iter().zip(&mut shares) {
                let along = dot(q, &rest);
                *share += along;
                rest.iter_mut().zip(q).for_each(|(r, q)| *r -= along * q);
            }
        }
        let length = dot(&rest, &rest).sqrt();
        if !(length > 1e-9 * whole) {
            return Err(FitFault::Dependent { column: index });
        }
        rest.iter_mut().for_each(|r| *r /= length);
        shares.push(length);
        basis.push(rest);
        triangle.push(shares);
    }
    // Column j of R is triangle[j]; solve from the last row up.
    let mut rows = basis;
    for k in (0..rows.len()).rev() {
        #[allow(clippy::needless_range_loop, reason = "rows and columns of one matrix")]
        for j in k + 1..rows.len() {
            let share = triangle[j][k];
            let (above, below) = rows.split_at_mut(j);
            above[k].iter_mut().zip(&below[0]).for_each(|(a, b)| *a -= share * b);
        }
        let length = triangle[k][k];
        rows[k].iter_mut().for_each(|value| *value /= length);
    }
    Ok(rows)
}

/// The 95 % point of chi-squared, by Wilson and Hilferty's approximation (from memory); 0 freedom: 0.
fn chi_squared_95(freedom: f64) -> f64 {
    if freedom <= 0.0 {
        return 0.0;
    }
    let part = 2.0 / (9.0 * freedom);
    let root = 1.0 - part + 1.644_853_6 * part.sqrt();
    freedom * root * root * root
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{DMatrix, DVector};

    /// GUM, example H.3 and table H.6: calibration of a thermometer; data and results from memory, the one
    /// confirms the other. `b = y1 + y2 (t - 20 °C)`.
    #[test]
    fn example_h_3() {
        let t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511];
        let b = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160];
        let columns = [vec![1.0; 11], t.iter().map(|t| t - 20.0).collect()];
        let fit = fit(&columns, &b, &Errors::default()).expect("a fit");
        let (first, second) = (fit.estimate(fit.beta[0], &[1.0, 0.0]), fit.estimate(fit.beta[1], &[0.0, 1.0]));
        assert!((first.value + 0.1712).abs() < 5e-5 && (first.standard - 0.0029).abs() < 5e-5, "{first:?}");
        assert!((second.value - 0.00218).abs() < 5e-6 && (second.standard - 0.00067).abs() < 5e-6, "{second:?}");
        assert!((fit.scatter - 0.0035).abs() < 5e-5 && fit.freedom == 9);
        // b(30 °C) = -0.1494 °C, u = 0.0041 °C, as in H.3.4.
        let at_30 = fit.estimate(fit.beta[0] + 10.0 * fit.beta[1], &[1.0, 10.0]);
        assert!((at_30.value + 0.1494).abs() < 5e-5 && (at_30.standard - 0.0041).abs() < 5e-5, "{at_30:?}");
    }

    #[test]
    fn against_a_general_linear_algebra_crate() {
        let n = 12;
        let x: Vec<Vec<f64>> = vec![
            vec![1.0; n],
            (0..n).map(|i| 1e-3 * (i as f64 - 4.0)).collect(),
            (0..n).map(|i| f64::from((i * i % 7) as u32)).collect(),
        ];
        let y: Vec<f64> = (0..n).map(|i| 2.5 + 0.3 * i as f64 + libm::sin(i as f64)).collect();
        let u: Vec<f64> = (0..n).map(|i| 0.1 + 0.02 * i as f64).collect();
        let errors = Errors { own: u.clone(), shared: vec![] };
        let ours = fit(&x, &y, &errors).expect("a fit");
        let matrix = DMatrix::from_fn(n, 3, |i, k| x[k][i] / u[i]);
        let right = DVector::from_fn(n, |i, _| y[i] / u[i]);
        let theirs = matrix.clone().svd(true, true).solve(&right, 1e-14).expect("solved");
        for k in 0..3 {
            assert!((ours.beta[k] - theirs[k]).abs() <= 1e-10 * theirs[k].abs(), "{k}");
        }
        let covariance = (matrix.transpose() * matrix).try_inverse().expect("regular");
        let slopes = [0.4, -0.02, 1.3];
        let g = DVector::from_row_slice(&slopes);
        let standard = (g.transpose() * covariance * g)[(0, 0)].sqrt();
        let factor = if ours.spread == Spread::Stated { 1.0 } else { ours.scatter };
        assert!((ours.estimate(0.0, &slopes).standard - standard * factor).abs() <= 1e-10 * standard);
    }

    #[test]
    fn what_the_columns_leave_undecided_is_told() {
        let one = vec![1.0; 4];
        let fault = fit(&[one.clone(), one.clone()], &[1.0; 4], &Errors::default()).expect_err("dependent");
        assert_eq!(fault, FitFault::Dependent { column: 1 });
        let fault = fit(&[one], &[1.0; 0], &Errors::default()).expect_err("too few");
        assert_eq!(fault, FitFault::TooFew { readings: 0, unknowns: 1 });
        let fault = fit(&[vec![1.0]], &[1.0], &Errors::default()).expect_err("no spread");
        assert_eq!(fault, FitFault::NoSpread);
    }

    #[test]
    fn an_error_that_all_share_moves_the_offset_and_not_the_slope() {
        let x = [vec![1.0; 5], vec![-2.0, -1.0, 0.0, 1.0, 2.0]];
        let errors = Errors { own: vec![1e-9; 5], shared: vec![vec![0.01; 5]] };
        let fit = fit(&x, &[0.0; 5], &errors).expect("a fit");
        assert!((fit.estimate(0.0, &[1.0, 0.0]).standard - 0.01).abs() < 1e-9);
        assert!(fit.estimate(0.0, &[0.0, 1.0]).standard < 1e-9);
    }
}
