//! Single questions: pivoted LU of one network at one frequency.
use super::wiring::{Element, Network, Node};
use super::{Excitation, NetworkFault, Scalar, eliminate};

/// Where the largest scaled entry left is no more than this, only rounding is left: two units of a
/// double's last digit beside entries of about 1.
const NOTHING: f64 = 5e-16;

/// A factorised network.
#[derive(Clone, Debug)]
pub struct Solver<'n, T> {
    network: &'n Network,
    size: usize,
    /// L (unit diagonal) below, U above.
    lu: Vec<T>,
    row_of: Vec<usize>,
    column_of: Vec<usize>,
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
        let scales = eliminate::Scales::of(size, |row, column| matrix[row * size + column].size());
        let (mut row_of, mut column_of): (Vec<_>, Vec<_>) = ((0..size).collect(), (0..size).collect());
        for step in 0..size {
            // Complete pivoting on the scaled matrix: the networks are small, and it needs no exceptions.
            let mut best = (0.0, step, step);
            for row in step..size {
                for column in step..size {
                    let size_here = scales.scaled(
                        row_of[row],
                        column_of[column],
                        matrix[row_of[row] * size + column_of[column]].size(),
                    );
                    if size_here > best.0 {
                        best = (size_here, row, column);
                    }
                }
            }
            if !(best.0 > NOTHING) {
                return Err(NetworkFault::Singular { unknown: network.unknown_name(column_of[step]) });
            }
            row_of.swap(step, best.1);
            column_of.swap(step, best.2);
            let (pivot_row, pivot_column) = (row_of[step] * size, column_of[step]);
            let inverse = matrix[pivot_row + pivot_column].recip();
            for &row in &row_of[step + 1..] {
                let factor = matrix[row * size + pivot_column] * inverse;
                if factor == T::ZERO {
                    continue;
                }
                matrix[row * size + pivot_column] = factor;
                for &column in &column_of[step + 1..] {
                    let above = matrix[pivot_row + column];
                    matrix[row * size + column] -= factor * above;
                }
            }
        }
        Ok(Self { network, size, lu: matrix, row_of, column_of })
    }

    fn entry(&self, i: usize, j: usize) -> T {
        self.lu[self.row_of[i] * self.size + self.column_of[j]]
    }

    /// Solves for one right-hand side.
    pub(super) fn solve(&self, rhs: &[T]) -> Vec<T> {
        let mut y: Vec<T> = self.row_of.iter().map(|&row| rhs[row]).collect();
        for i in 0..self.size {
            for j in 0..i {
                let (l, above) = (self.entry(i, j), y[j]);
                y[i] -= l * above;
            }
        }
        for i in (0..self.size).rev() {
            for j in i + 1..self.size {
                let (u, below) = (self.entry(i, j), y[j]);
                y[i] -= u * below;
            }
            y[i] = y[i] * self.entry(i, i).recip();
        }
        let mut x = vec![T::ZERO; self.size];
        for (i, &column) in self.column_of.iter().enumerate() {
            x[column] = y[i];
        }
        x
    }

    fn solve_transposed(&self, rhs: &[T]) -> Vec<T> {
        let mut y: Vec<T> = self.column_of.iter().map(|&column| rhs[column]).collect();
        for i in 0..self.size {
            for j in 0..i {
                let (u, above) = (self.entry(j, i), y[j]);
                y[i] -= u * above;
            }
            y[i] = y[i] * self.entry(i, i).recip();
        }
        for i in (0..self.size).rev() {
            for j in i + 1..self.size {
                let (l, below) = (self.entry(j, i), y[j]);
                y[i] -= l * below;
            }
        }
        let mut w = vec![T::ZERO; self.size];
        for (i, &row) in self.row_of.iter().enumerate() {
            w[row] = y[i];
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
