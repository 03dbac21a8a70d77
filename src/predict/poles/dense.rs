use crate::network::Scalar;
use num_complex::Complex64;

/// Solves `(1 + s·S)·x = b` by elimination with partial pivoting. `S` row by row, as many rows as `b`.
pub(super) fn solve_shifted(s: Complex64, matrix: &[f64], b: &[f64]) -> Vec<Complex64> {
    let n = b.len();
    let mut a: Vec<Complex64> = matrix.iter().map(|&entry| s.scale(entry)).collect();
    for k in 0..n {
        a[k * n + k] += Complex64::ONE;
    }
    let mut x: Vec<Complex64> = b.iter().map(|&value| Complex64::real(value)).collect();
    for step in 0..n {
        let pivot = (step..n).fold(
            step,
            |best, row| {
                if a[row * n + step].size() > a[best * n + step].size() { row } else { best }
            },
        );
        if pivot != step {
            for column in step..n {
                a.swap(pivot * n + column, step * n + column);
            }
            x.swap(pivot, step);
        }
        let inverse = a[step * n + step].recip();
        for row in step + 1..n {
            let factor = a[row * n + step] * inverse;
            if factor == Complex64::ZERO {
                continue;
            }
            for column in step + 1..n {
                let above = a[step * n + column];
                a[row * n + column] -= factor * above;
            }
            let above = x[step];
            x[row] -= factor * above;
        }
    }
    for k in (0..n).rev() {
        for j in k + 1..n {
            let below = x[j];
            x[k] -= a[k * n + j] * below;
        }
        x[k] *= a[k * n + k].recip();
    }
    x
}
