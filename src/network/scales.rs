//! What both eliminations, the pivoted and the recorded one, share: scales that make sizes comparable.

/// Powers of two that bring the largest entry of every row and column near 1. Kirchhoff rows hold
/// siemens, amplifier rows pure numbers; without scales their sizes say nothing about a good pivot.
#[derive(Clone, Debug)]
pub(super) struct Scales {
    row: Vec<f64>,
    column: Vec<f64>,
}

impl Scales {
    pub(super) fn of(size: usize, entry: impl Fn(usize, usize) -> f64) -> Self {
        let mut scales = Self { row: vec![1.0; size], column: vec![1.0; size] };
        for _ in 0..3 {
            for row in 0..size {
                let most = (0..size).map(|column| entry(row, column) * scales.column[column]).fold(0.0, f64::max);
                scales.row[row] = inverse_power(most);
            }
            for column in 0..size {
                let most = (0..size).map(|row| entry(row, column) * scales.row[row]).fold(0.0, f64::max);
                scales.column[column] = inverse_power(most);
            }
        }
        scales
    }

    pub(super) fn of_row(&self, row: usize) -> f64 {
        self.row[row]
    }

    pub(super) fn of_column(&self, column: usize) -> f64 {
        self.column[column]
    }

    pub(super) fn scaled(&self, row: usize, column: usize, size: f64) -> f64 {
        size * self.row[row] * self.column[column]
    }
}

fn inverse_power(of: f64) -> f64 {
    if of > 0.0 && of.is_finite() { libm::ldexp(1.0, -libm::ilogb(of).clamp(-900, 900)) } else { 1.0 }
}
