//! The nominal state, to about thirty digits.
//!
//! A common-mode gain is the small difference of large numbers. It is solved once, nominally, with
//! residuals and sums in double-double arithmetic; boards then only add what their deviations cause.
use super::wiring::{Kind, Network, Node};
use super::{Excitation, NetworkFault, Scalar, Solver, State};
use num_complex::Complex64;
use twofloat::TwoFloat;

/// A double-double complex number.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Wide {
    re: TwoFloat,
    im: TwoFloat,
}

impl Wide {
    fn new(value: Complex64) -> Self {
        Self { re: TwoFloat::from(value.re), im: TwoFloat::from(value.im) }
    }

    fn near(self) -> Complex64 {
        Complex64::new(f64::from(self.re), f64::from(self.im))
    }

    fn add(self, other: Self) -> Self {
        Self { re: self.re + other.re, im: self.im + other.im }
    }

    fn multiply(self, other: Self) -> Self {
        if other.im == 0.0 && self.im == 0.0 {
            return Self { re: self.re * other.re, im: TwoFloat::from(0.0) };
        }
        Self { re: self.re * other.re - self.im * other.im, im: self.re * other.im + self.im * other.re }
    }

    fn scale(self, by: f64) -> Self {
        Self { re: self.re * by, im: self.im * by }
    }
}

/// Voltages and currents of the nominal network under one excitation, beyond double precision.
#[derive(Clone, Debug)]
pub struct Nominal {
    x: Vec<Wide>,
}

impl Nominal {
    /// Solves at `hz` (0: dc).
    ///
    /// # Errors
    /// [`NetworkFault::Singular`].
    pub fn solve<T: Scalar>(network: &Network, hz: f64, excitation: &Excitation) -> Result<Self, NetworkFault> {
        Ok(Self::refine(network, hz, excitation, &network.at::<T>(hz)?))
    }

    /// Solves under several excitations at once.
    ///
    /// # Errors
    /// [`NetworkFault::Singular`].
    pub fn each<T: Scalar, const N: usize>(
        network: &Network,
        hz: f64,
        excitations: &[Excitation; N],
    ) -> Result<[Self; N], NetworkFault> {
        let solver = network.at::<T>(hz)?;
        Ok(excitations.each_ref().map(|one| Self::refine(network, hz, one, &solver)))
    }

    /// Iterative refinement on a factorisation that is at hand.
    pub(super) fn refine<T: Scalar>(
        network: &Network,
        hz: f64,
        excitation: &Excitation,
        solver: &Solver<'_, T>,
    ) -> Self {
        let slots: Vec<Wide> = network.layout.slots.iter().map(|&slot| network.wide_slot(slot, hz)).collect();
        let rhs = network.layout.rhs(excitation);
        let mut x = vec![Wide::new(Complex64::new(0.0, 0.0)); network.layout.size];
        // Each pass gains the twelve digits or more that one solve is good for.
        for pass in 0..3 {
            let mut residual: Vec<Wide> = rhs.iter().map(|&b| Wide::new(Complex64::new(b, 0.0))).collect();
            // At first all is 0 and leaves nothing of the residual.
            for stamp in network.layout.stamps.iter().filter(|_| pass > 0) {
                let value = stamp.slot.map_or(Wide::new(Complex64::new(1.0, 0.0)), |slot| slots[slot]);
                let product = value.multiply(x[stamp.column]).scale(-stamp.coefficient);
                residual[stamp.row] = residual[stamp.row].add(product);
            }
            let narrow: Vec<T> = residual.iter().map(|&r| T::complex(r.near())).collect();
            for (x, step) in x.iter_mut().zip(solver.solve(&narrow)) {
                *x = x.add(Wide::new(step.to_complex()));
            }
        }
        Self { x }
    }

    /// Voltage of a node, V.
    #[must_use]
    pub fn voltage<T: Scalar>(&self, node: Node) -> T {
        node.0.checked_sub(1).map_or(T::ZERO, |column| T::complex(self.x[column].near()))
    }

    /// What a value varying in `slot` would inject into each row: `Σ coefficient · x`, summed wide.
    pub(super) fn drops<T: Scalar>(&self, network: &Network, slot: usize) -> Vec<(usize, T)> {
        let mut rows: Vec<(usize, Wide)> = Vec::new();
        for stamp in network.layout.stamps.iter().filter(|stamp| stamp.slot == Some(slot)) {
            let term = self.x[stamp.column].scale(stamp.coefficient);
            match rows.iter_mut().find(|(row, _)| *row == stamp.row) {
                Some((_, sum)) => *sum = sum.add(term),
                None => rows.push((stamp.row, term)),
            }
        }
        rows.into_iter().map(|(row, sum)| (row, T::complex(sum.near()))).collect()
    }

    /// The state rounded to doubles.
    #[must_use]
    pub fn state<'n, T: Scalar>(&self, network: &'n Network) -> State<'n, T> {
        State::from_parts(network, self.x.iter().map(|x| T::complex(x.near())).collect())
    }
}

impl Network {
    /// A slot's value without the rounding of 1/R.
    fn wide_slot(&self, slot: super::Slot, hz: f64) -> Wide {
        if let super::Slot::Admittance(element) = slot
            && let Kind::Resistor { ohm, .. } = self.items[element.0].kind
        {
            // Not `/`: the crate's quotient of two wide numbers is good to one double only.
            return Wide { re: TwoFloat::new_div(1.0, ohm), im: TwoFloat::from(0.0) };
        }
        Wide::new(self.slot_value(slot, hz))
    }
}
