//! How a network moves by itself: its poles, and every transfer as a function of complex frequency.
//!
//! Each capacitor and each amplifier of finite speed holds one state `z`: the capacitor's voltage, the
//! amplifier's output. Seen from the resistive rest, `z' = dz/dt` acts as a source (a current `C·z'`, an
//! input error `z'/(2π·GBW)`), so that every voltage is `x = x∞ − Σ x_k·w_k·z'_k` with `x_k` the answer
//! to one unit of that source and `w_k = C` or `1/(2π·GBW)`. Read at the states themselves this is
//! `z + S·z' = z∞`: the poles are `−1/μ` for the eigenvalues `μ` of `S`, found once, in a triangular
//! form that also holds where poles repeat. Zero eigenvalues (capacitors in a ring, or held by ideal
//! parts) are no poles.
mod dense;
mod schur;

use crate::network::{Element, Excitation, Network, NetworkFault, Node, Scalar, Solver, State};
use num_complex::Complex64;
use schur::Schur;
use std::f64::consts::TAU;

/// Why a network's motion can't be told.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PolesFault {
    /// The network has no solution at dc.
    #[error(transparent)]
    Network(#[from] NetworkFault),
    /// The eigenvalue iteration did not end; no network is known that does this.
    #[error("the poles of the network could not be found")]
    Iteration,
}

/// What counts as a zero eigenvalue beside the largest.
const ZERO_EIGENVALUE: f64 = 1e-13;
/// What counts as rounding beside the largest effect of one source.
const ROUNDING: f64 = 1e-15;
/// A pole this near the imaginary axis, beside its modulus, counts as undamped.
const DAMPED: f64 = 1e-12;

/// A network in motion; its common-mode errors stay at their dc values (nominal ones are 0).
#[derive(Clone, Debug)]
pub struct Motion<'n> {
    solver: Solver<'n, f64>,
    states: Vec<Reactive<'n>>,
    matrix: Vec<f64>,
    schur: Schur,
    /// So many leading eigenvalues are not zero.
    moving: usize,
}

#[derive(Clone, Debug)]
struct Reactive<'n> {
    read: (Node, Node),
    weight: f64,
    answer: State<'n, f64>,
}

impl<'n> Motion<'n> {
    /// Takes a network's capacitors and slow amplifiers apart from its resistive rest.
    ///
    /// # Errors
    /// [`PolesFault`].
    pub fn of(network: &'n Network) -> Result<Self, PolesFault> {
        let solver = network.at::<f64>(0.0)?;
        let states: Vec<Reactive<'n>> = network
            .elements()
            .filter_map(|element| {
                let (read, weight, drive) = reactive(network, element)?;
                Some(Reactive { read, weight, answer: solver.state(&drive) })
            })
            .collect();
        let mut matrix: Vec<f64> = states
            .iter()
            .flat_map(|to| states.iter().map(move |from| voltage(&from.answer, to.read) * from.weight))
            .collect();
        let size = states.len();
        for column in 0..size {
            let most = (0..size).map(|row| matrix[row * size + column].abs()).fold(0.0, f64::max);
            // Rounding is no coupling: it would let the scales run away.
            for row in (0..size).filter(|row| matrix[row * size + column].abs() < ROUNDING * most).collect::<Vec<_>>() {
                matrix[row * size + column] = 0.0;
            }
        }
        let schur = Schur::of(states.len(), matrix.clone())?;
        let moving = moving(&schur);
        Ok(Self { solver, states, matrix, schur, moving })
    }

    /// The poles, rad/s, slowest first.
    #[must_use]
    pub fn poles(&self) -> Vec<Complex64> {
        poles(&self.schur, self.moving)
    }

    /// True when every pole is damped: after a push the network comes to rest.
    #[must_use]
    pub fn is_stable(&self) -> bool {
        self.poles().iter().all(|pole| pole.re < -DAMPED * pole.modulus())
    }

    /// From an excitation to a node.
    #[must_use]
    pub fn transfer(&self, drive: &Excitation, node: Node) -> Transfer<'_> {
        let state = self.solver.state(drive);
        let column: Vec<f64> = self.states.iter().map(|one| voltage(&state, one.read)).collect();
        let row: Vec<f64> = self.states.iter().map(|one| one.answer.voltage(node) * one.weight).collect();
        Transfer {
            schur: &self.schur,
            moving: self.moving,
            matrix: &self.matrix,
            dc: state.voltage(node),
            turned: (self.schur.row(&row), self.schur.column(&column)),
            plain: (row, column),
        }
    }
}

/// Where an element's state is read, its weight, and the source that its motion acts as.
fn reactive(network: &Network, element: Element) -> Option<((Node, Node), f64, Excitation)> {
    let none = Excitation::default();
    if let (Some(farad), Some((a, b))) = (network.farad(element), network.ends(element)) {
        return (farad > 0.0).then(|| ((a, b), farad, none.and_current(b, a, 1.0)));
    }
    let (value, (_, _, out), base) = (network.amplifier(element)?, network.pins(element)?, network.base(element)?);
    let weight = value.inverse_gbw_s / TAU;
    (weight > 0.0).then(|| ((out, base), weight, none.and_offset(element, 1.0)))
}

fn voltage(state: &State<'_, f64>, (a, b): (Node, Node)) -> f64 {
    state.voltage(a) - state.voltage(b)
}

fn moving(schur: &Schur) -> usize {
    let floor = ZERO_EIGENVALUE * schur.norm();
    (0..schur.size).take_while(|&k| schur.t[k * schur.size + k].modulus() > floor).count()
}

fn poles(schur: &Schur, moving: usize) -> Vec<Complex64> {
    (0..moving).map(|k| -schur.t[k * schur.size + k].recip()).collect()
}

/// One transfer of a network in motion.
#[derive(Clone, Debug)]
pub struct Transfer<'m> {
    schur: &'m Schur,
    moving: usize,
    matrix: &'m [f64],
    /// Value at dc.
    pub dc: f64,
    turned: (Vec<Complex64>, Vec<Complex64>),
    plain: (Vec<f64>, Vec<f64>),
}

/// The part of a step's answer that dies away: `e(t) = row·exp(−rate·t)·start`, `rate` upper triangular
/// with the fastest poles last, `y(t) = y∞ − Re e(t)`.
#[derive(Clone, Debug, PartialEq)]
pub struct Decay {
    /// Number of poles.
    pub size: usize,
    /// Upper triangular, 1/s, row by row.
    pub rate: Vec<Complex64>,
    /// Weights of the states at the node.
    pub row: Vec<Complex64>,
    /// The states' rates of change at the start.
    pub start: Vec<Complex64>,
}

impl Transfer<'_> {
    /// The transfer at `hz`: `y∞ − s·q·(1 + s·S)⁻¹·z∞`, `s = j·2π·hz`.
    #[must_use]
    pub fn at(&self, hz: f64) -> Complex64 {
        let s = Complex64::new(0.0, TAU * hz);
        let (row, column) = &self.plain;
        let x = dense::solve_shifted(s, self.matrix, column);
        let sum: Complex64 = row.iter().zip(&x).map(|(q, x)| x * q).sum();
        Complex64::real(self.dc) - s * sum
    }

    /// The same by the triangular form, in a fraction of the time: to find where to look closely. What
    /// cancels in it is lost: never an answer.
    #[must_use]
    pub(super) fn sketch(&self, hz: f64) -> Complex64 {
        let s = Complex64::new(0.0, TAU * hz);
        let (n, (row, column)) = (self.schur.size, &self.turned);
        let mut x = column.clone();
        let mut sum = Complex64::ZERO;
        for i in (0..n).rev() {
            let mut off = Complex64::ZERO;
            for (t, x) in self.schur.t[i * n + i + 1..(i + 1) * n].iter().zip(&x[i + 1..]) {
                off += t * x;
            }
            x[i] = (x[i] - s * off) * (Complex64::ONE + s * self.schur.t[i * n + i]).recip();
            sum += row[i] * x[i];
        }
        Complex64::real(self.dc) - s * sum
    }

    /// The zeros, rad/s; none where the transfer vanishes at dc. `y = 0` holds the drive at
    /// `q·z'/y∞`, so they are the poles of `S − z∞·q/y∞`.
    ///
    /// # Errors
    /// [`PolesFault::Iteration`].
    pub fn zeros(&self) -> Result<Vec<Complex64>, PolesFault> {
        if self.dc == 0.0 {
            return Ok(Vec::new());
        }
        let (n, (row, column)) = (self.schur.size, &self.plain);
        let inverse = |(k, s): (usize, &f64)| s - column[k / n] * row[k % n] / self.dc;
        let schur = Schur::of(n, self.matrix.iter().enumerate().map(inverse).collect())?;
        Ok(poles(&schur, moving(&schur)))
    }

    /// What dies away after a unit step of the drive; parts that take no time have happened already.
    #[must_use]
    pub fn decay(&self) -> Decay {
        let (n, m) = (self.schur.size, self.moving);
        let t = |i: usize, j: usize| self.schur.t[i * n + j];
        let (row, column) = &self.turned;
        // Splits the still states off: T₁·X = T₁₂ + X·T₂, with T₂ strictly upper triangular.
        let mut start = column[..m].to_vec();
        let mut split: Vec<Vec<Complex64>> = Vec::new();
        for (j, &still) in column.iter().enumerate().skip(m) {
            let mut x: Vec<Complex64> = (0..m).map(|i| t(i, j)).collect();
            for (k, before) in split.iter().enumerate() {
                for i in 0..m {
                    x[i] += before[i] * t(m + k, j);
                }
            }
            solve(&self.schur.t, n, &mut x);
            for i in 0..m {
                start[i] += x[i] * still;
            }
            split.push(x);
        }
        solve(&self.schur.t, n, &mut start);
        let mut rate = vec![Complex64::ZERO; m * m];
        for j in 0..m {
            let mut x = vec![Complex64::ZERO; m];
            x[j] = Complex64::ONE;
            solve(&self.schur.t, n, &mut x);
            for i in 0..m {
                rate[i * m + j] = x[i];
            }
        }
        Decay { size: m, rate, row: row[..m].to_vec(), start }
    }
}

/// Solves with the leading triangle of `t` (rows of `n`), as large as `x`.
fn solve(t: &[Complex64], n: usize, x: &mut [Complex64]) {
    for i in (0..x.len()).rev() {
        for j in i + 1..x.len() {
            let below = x[j];
            x[i] -= t[i * n + j] * below;
        }
        x[i] *= t[i * n + i].recip();
    }
}

/// Frequencies, Hz, dense enough to see all that poles and zeros do: twenty a decade from far below the
/// slowest to far above the fastest, and more around each resonance. Empty without roots.
///
/// Zeros far above all poles are left out: nothing is left to see there, and what rounding makes of a zero
/// at infinity lies there.
#[must_use]
pub fn grid(poles: &[Complex64], zeros: &[Complex64]) -> Vec<f64> {
    let fastest = poles.iter().map(|pole| pole.modulus()).fold(0.0, f64::max);
    let near = |zero: &&Complex64| poles.is_empty() || zero.modulus() < 1e4 * fastest;
    let roots: Vec<Complex64> = poles.iter().chain(zeros.iter().filter(near)).copied().collect();
    let sizes = || roots.iter().map(|root| root.modulus() / TAU);
    let (least, most) = (sizes().fold(f64::INFINITY, f64::min), sizes().fold(0.0, f64::max));
    if !(least > 0.0 && most.is_finite()) || roots.is_empty() {
        return Vec::new();
    }
    let (low, high) = (20.0 * (libm::log10(least) - 2.0), 20.0 * (libm::log10(most) + 3.0));
    let steps = (high - low) as usize + 1;
    let mut all: Vec<f64> = (0..=steps).map(|k| libm::pow(10.0, (low + k as f64) / 20.0)).collect();
    for root in roots.iter().filter(|root| root.im != 0.0) {
        for side in [0.0, 0.1, 0.25, 0.5, 0.75, 1.0, 1.4, 2.0, 3.0, 5.0, 8.0, 13.0] {
            for sign in [-1.0, 1.0] {
                let hz = (root.im.abs() + sign * side * root.re.abs()) / TAU;
                if hz > all[0] {
                    all.push(hz);
                }
            }
        }
    }
    all.sort_by(f64::total_cmp);
    all.dedup();
    all
}
