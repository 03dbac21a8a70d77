//! Single questions: pivoted LU of one network at one frequency.
use super::scales::Scales;
use super::wiring::{Element, Network, Node};
use super::{Excitation, NetworkFault, Scalar};

/// Where the largest scaled entry left is no more than this, only rounding is left: two units of a
/// double's last digit beside entries of about 1.
const NOTHING: f64 = 5e-16;

/// A factorised network.
#[derive(Clone, Debug)]
pub struct Solver<'n, T> {
    network: &'n Network,
    size: usize,
    /// L (unit diagonal) below, U above, rows and columns in the order of elimination, each scaled.
    lu: Vec<T>,
    row_of: Vec<usize>,
    column_of: Vec<usize>,
    scales: Scales,
}

/// All voltages and currents under one excitation.
#[derive(Clone, Debug)]
pub struct State<'n, T> {
    network: &'n Network,
    pub(super) x: Vec<T>,
}

/// The effect of every source on one node's voltage, from one solution of the transposed equations.
#[derive(Clone, Debug)]
pub struct Adjoint<'n, T> {
    network: &'n Network,
    weight: Vec<T>,
}

impl Network {
    /// Factorises the network at `hz` (0: dc, where `T` may be `f64`).
    ///
    /// # Errors
    /// [`NetworkFault::Singular`] naming the unknown that nothing decides.
    pub fn at<T: Scalar>(&self, hz: f64) -> Result<Solver<'_, T>, NetworkFault> {
        Solver::factor(self, &self.slot_values(hz))
    }
}

/// Keeps the larger of two sizes and its place; of equals the one met first.
fn larger(best: &mut (f64, usize, usize), size: f64, (row, column): (usize, usize)) {
    if size > best.0 {
        *best = (size, row, column);
    }
}

impl<'n, T: Scalar> Solver<'n, T> {
    /// Factorises with given slot values (in the layout's order).
    pub(super) fn factor(network: &'n Network, slots: &[T]) -> Result<Self, NetworkFault> {
        let layout = &network.layout;
        let size = layout.size;
        let mut matrix = vec![T::ZERO; size * size];
        for stamp in &layout.stamps {
            let value = stamp.slot.map_or(T::ONE, |slot| slots[slot]);
            matrix[stamp.row * size + stamp.column] += value.scale(stamp.coefficient);
        }
        let scales = Scales::of(size, |row, column| matrix[row * size + column].size());
        // Powers of two: nothing is rounded.
        for (row, entries) in matrix.chunks_mut(size.max(1)).enumerate() {
            for (column, entry) in entries.iter_mut().enumerate() {
                *entry = entry.scale(scales.of_row(row)).scale(scales.of_column(column));
            }
        }
        let (mut row_of, mut column_of): (Vec<_>, Vec<_>) = ((0..size).collect(), (0..size).collect());
        // Complete pivoting on the scaled matrix: the networks are small, and it needs no exceptions. The
        // largest entry of what is left is found while it is written.
        let mut best = (0.0, 0, 0);
        for (place, entry) in matrix.iter().enumerate() {
            larger(&mut best, entry.size(), (place / size, place % size));
        }
        for step in 0..size {
            if !(best.0 > NOTHING) {
                return Err(NetworkFault::Singular { unknown: network.unknown_name(column_of[step]) });
            }
            let (row, column) = (best.1, best.2);
            row_of.swap(step, row);
            column_of.swap(step, column);
            if row != step {
                let (upper, lower) = matrix.split_at_mut(row * size);
                upper[step * size..][..size].swap_with_slice(&mut lower[..size]);
            }
            if column != step {
                for entries in matrix.chunks_mut(size) {
                    entries.swap(step, column);
                }
            }
            let (done, left) = matrix.split_at_mut((step + 1) * size);
            let pivot = &done[step * size + step..];
            let inverse = pivot[0].recip();
            best = (0.0, step + 1, step + 1);
            for (below, entries) in left.chunks_mut(size).enumerate() {
                let factor = entries[step] * inverse;
                entries[step] = factor;
                let skip = factor == T::ZERO;
                for (ahead, (entry, &above)) in entries[step + 1..].iter_mut().zip(&pivot[1..]).enumerate() {
                    if !skip {
                        *entry -= factor * above;
                    }
                    larger(&mut best, entry.size(), (step + 1 + below, step + 1 + ahead));
                }
            }
        }
        Ok(Self { network, size, lu: matrix, row_of, column_of, scales })
    }

    /// Solves for one right-hand side.
    pub(super) fn solve(&self, rhs: &[T]) -> Vec<T> {
        let mut y: Vec<T> = self.row_of.iter().map(|&row| rhs[row].scale(self.scales.of_row(row))).collect();
        for (i, row) in self.lu.chunks(self.size.max(1)).enumerate() {
            let mut sum = y[i];
            for (&l, &above) in row.iter().zip(&y[..i]) {
                sum -= l * above;
            }
            y[i] = sum;
        }
        for (i, row) in self.lu.chunks(self.size.max(1)).enumerate().rev() {
            let mut sum = y[i];
            for (&u, &below) in row[i + 1..].iter().zip(&y[i + 1..]) {
                sum -= u * below;
            }
            y[i] = sum * row[i].recip();
        }
        let mut x = vec![T::ZERO; self.size];
        for (&column, &y) in self.column_of.iter().zip(&y) {
            x[column] = y.scale(self.scales.of_column(column));
        }
        x
    }

    fn solve_transposed(&self, rhs: &[T]) -> Vec<T> {
        let entry = |i: usize, j: usize| self.lu[i * self.size + j];
        let scaled = |&column: &usize| rhs[column].scale(self.scales.of_column(column));
        let mut y: Vec<T> = self.column_of.iter().map(scaled).collect();
        for i in 0..self.size {
            for j in 0..i {
                let (u, above) = (entry(j, i), y[j]);
                y[i] -= u * above;
            }
            y[i] = y[i] * entry(i, i).recip();
        }
        for i in (0..self.size).rev() {
            for j in i + 1..self.size {
                let (l, below) = (entry(j, i), y[j]);
                y[i] -= l * below;
            }
        }
        let mut w = vec![T::ZERO; self.size];
        for (&row, &y) in self.row_of.iter().zip(&y) {
            w[row] = y.scale(self.scales.of_row(row));
        }
        w
    }

    /// All voltages and currents under an excitation.
    #[must_use]
    pub fn state(&self, excitation: &Excitation) -> State<'n, T> {
        let rhs: Vec<T> = self.network.layout.rhs(excitation).into_iter().map(T::real).collect();
        State { network: self.network, x: self.solve(&rhs) }
    }

    /// The effect of every source on `node`.
    #[must_use]
    pub fn adjoint(&self, node: Node) -> Adjoint<'n, T> {
        let mut rhs = vec![T::ZERO; self.size];
        if let Some(column) = node.0.checked_sub(1) {
            rhs[column] = T::ONE;
        }
        Adjoint { network: self.network, weight: self.solve_transposed(&rhs) }
    }
}

impl<'n, T: Scalar> State<'n, T> {
    pub(super) const fn from_parts(network: &'n Network, x: Vec<T>) -> Self {
        Self { network, x }
    }

    /// Voltage of a node against ground, V.
    #[must_use]
    pub fn voltage(&self, node: Node) -> T {
        node.0.checked_sub(1).map_or(T::ZERO, |column| self.x[column])
    }

    /// Current that a source or an amplifier delivers from its plus terminal (or output) into the network, A.
    /// 0 for other elements.
    #[must_use]
    pub fn delivered(&self, element: Element) -> T {
        self.network.layout.branch[element.0].map_or(T::ZERO, |column| -self.x[column])
    }
}

impl<T: Scalar> Adjoint<'_, T> {
    /// Voltage of the node under an excitation, V.
    #[must_use]
    pub fn effect(&self, of: &Excitation) -> T {
        let mut sum = T::ZERO;
        for (row, value) in self.network.layout.drives(of) {
            sum += self.weight[row].scale(value);
        }
        sum
    }
}
