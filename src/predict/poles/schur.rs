//! Complex Schur form of a small real matrix: `Qᴴ·A·Q` upper triangular, eigenvalues by falling modulus.
use super::PolesFault;
use crate::network::Scalar;
use num_complex::Complex64;

const ZERO: Complex64 = Complex64::new(0.0, 0.0);
const ONE: Complex64 = Complex64::new(1.0, 0.0);

/// `A = (D·Q)·T·(D·Q)⁻¹` with `D` the diagonal scales that balance `A`.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Schur {
    pub(super) size: usize,
    /// Upper triangular, row by row.
    pub(super) t: Vec<Complex64>,
    /// Unitary, row by row.
    q: Vec<Complex64>,
    /// `D`, powers of two.
    scale: Vec<f64>,
}

impl Schur {
    /// Hessenberg form by plane rotations, then the shifted QR iteration (Golub and Van Loan, "Matrix
    /// Computations", chapter 7; from memory), then neighbours are swapped until the moduli fall.
    ///
    /// # Errors
    /// [`PolesFault::Iteration`] when the iteration does not end.
    pub(super) fn of(size: usize, mut matrix: Vec<f64>) -> Result<Self, PolesFault> {
        let scale = balance(size, &mut matrix);
        let t = matrix.into_iter().map(Complex64::real).collect();
        let q = (0..size * size).map(|k| if k / size == k % size { ONE } else { ZERO }).collect();
        let mut schur = Self { size, t, q, scale };
        for column in 0..size.saturating_sub(2) {
            for row in (column + 2..size).rev() {
                schur.rotate_away(row - 1, column);
            }
        }
        schur.iterate()?;
        schur.sort();
        Ok(schur)
    }

    fn at(&self, row: usize, column: usize) -> Complex64 {
        self.t[row * self.size + column]
    }

    /// Largest sum of moduli in a row.
    pub(super) fn norm(&self) -> f64 {
        self.t.chunks(self.size.max(1)).map(|row| row.iter().map(|x| x.modulus()).sum()).fold(0.0, f64::max)
    }

    /// A column vector in the basis of the triangle: `Qᴴ·D⁻¹·v`.
    pub(super) fn column(&self, v: &[f64]) -> Vec<Complex64> {
        let n = self.size;
        (0..n).map(|k| (0..n).map(|i| self.q[i * n + k].conj() * (v[i] / self.scale[i])).sum()).collect()
    }

    /// A row vector in the basis of the triangle: `v·D·Q`.
    pub(super) fn row(&self, v: &[f64]) -> Vec<Complex64> {
        let n = self.size;
        (0..n).map(|k| (0..n).map(|i| self.q[i * n + k] * (v[i] * self.scale[i])).sum()).collect()
    }

    /// Turns the plane of `k` and `k + 1` so that `t[k + 1][column]` vanishes.
    fn rotate_away(&mut self, k: usize, column: usize) {
        let rotation = Rotation::onto(self.at(k, column), self.at(k + 1, column));
        self.turn(k, rotation);
        self.t[(k + 1) * self.size + column] = ZERO;
    }

    fn turn(&mut self, k: usize, by: Rotation) {
        let n = self.size;
        for column in 0..n {
            let (a, b) = (k * n + column, (k + 1) * n + column);
            let (x, y) = (self.t[a], self.t[b]);
            self.t[a] = x.scale(by.c) + by.s * y;
            self.t[b] = y.scale(by.c) - by.s.conj() * x;
        }
        for matrix in [&mut self.t, &mut self.q] {
            for row in 0..n {
                let (a, b) = (row * n + k, row * n + k + 1);
                let (x, y) = (matrix[a], matrix[b]);
                matrix[a] = x.scale(by.c) + by.s.conj() * y;
                matrix[b] = y.scale(by.c) - by.s * x;
            }
        }
    }

    fn iterate(&mut self) -> Result<(), PolesFault> {
        let norm = self.norm();
        let mut high = self.size.saturating_sub(1);
        let mut steps = 0;
        while high > 0 {
            let low = (1..=high)
                .rev()
                .find(|&k| {
                    let around = self.at(k, k).modulus() + self.at(k - 1, k - 1).modulus();
                    let around = if around == 0.0 { norm } else { around };
                    self.at(k, k - 1).modulus() <= f64::EPSILON * around
                })
                .unwrap_or(0);
            if low > 0 {
                self.t[low * self.size + low - 1] = ZERO;
            }
            if low == high {
                high -= 1;
                steps = 0;
                continue;
            }
            steps += 1;
            if steps > 60 {
                return Err(PolesFault::Iteration);
            }
            let shift = if steps % 11 == 10 {
                self.at(high, high) + self.at(high, high - 1).modulus()
            } else {
                self.near_eigenvalue(high)
            };
            let first = Rotation::onto(self.at(low, low) - shift, self.at(low + 1, low));
            self.turn(low, first);
            for k in low + 1..high {
                self.rotate_away(k, k - 1);
            }
        }
        Ok(())
    }

    /// The eigenvalue of the trailing two by two that is nearer to its last entry.
    fn near_eigenvalue(&self, high: usize) -> Complex64 {
        let (a, b) = (self.at(high - 1, high - 1), self.at(high - 1, high));
        let (c, d) = (self.at(high, high - 1), self.at(high, high));
        let half = (a - d).scale(0.5);
        let root = root(half * half + b * c);
        let (plus, minus) = (half + root, half - root);
        let large = if plus.modulus() >= minus.modulus() { plus } else { minus };
        if large == ZERO { d } else { d - b * c * large.recip() }
    }

    fn sort(&mut self) {
        for end in (1..self.size).rev() {
            for k in 0..end {
                let (a, c) = (self.at(k, k), self.at(k + 1, k + 1));
                if a.modulus() < c.modulus() {
                    self.turn(k, Rotation::onto(self.at(k, k + 1), c - a));
                    self.t[(k + 1) * self.size + k] = ZERO;
                }
            }
        }
    }
}

/// `(x, y) → (c·x + s·y, c·y − s*·x)`, unitary.
#[derive(Clone, Copy)]
struct Rotation {
    c: f64,
    s: Complex64,
}

impl Rotation {
    /// The one that brings `(a, b)` to `(r, 0)`.
    fn onto(a: Complex64, b: Complex64) -> Self {
        let (large, small) = (a.modulus(), b.modulus());
        if large == 0.0 {
            return Self { c: 0.0, s: ONE };
        }
        let length = libm::hypot(large, small);
        Self { c: large / length, s: a.scale(1.0 / large) * b.conj().scale(1.0 / length) }
    }
}

fn root(of: Complex64) -> Complex64 {
    let size = of.modulus();
    let re = ((size + of.re) / 2.0).max(0.0).sqrt();
    let im = ((size - of.re) / 2.0).max(0.0).sqrt();
    Complex64::new(re, if of.im < 0.0 { -im } else { im })
}

/// Scales rows and columns by powers of two (a million at most: what is hardly coupled has no scale) until their sums agree within a factor of two; returns `D`
/// of `D⁻¹·A·D` (Parlett and Reinsch, Numerische Mathematik 13, 1969; from memory).
fn balance(size: usize, matrix: &mut [f64]) -> Vec<f64> {
    let mut scale = vec![1.0; size];
    let mut changed = true;
    let mut passes = 0;
    while changed && passes < 100 {
        changed = false;
        passes += 1;
        for k in 0..size {
            let others = (0..size).filter(|&i| i != k);
            let (column, row) =
                others.fold((0.0, 0.0), |(c, r), i| (c + matrix[i * size + k].abs(), r + matrix[k * size + i].abs()));
            if column == 0.0 || row == 0.0 {
                continue;
            }
            let exponent = libm::ilogb(row / column).div_euclid(2).clamp(-30, 30);
            let factor = libm::ldexp(1.0, exponent);
            if exponent == 0 || !(1e-6..=1e6).contains(&(scale[k] * factor)) {
                continue;
            }
            if column * factor + row / factor < 0.95 * (column + row) {
                changed = true;
                scale[k] *= factor;
                for i in 0..size {
                    matrix[i * size + k] *= factor;
                    matrix[k * size + i] /= factor;
                }
            }
        }
    }
    scale
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The triangle, taken back, is the matrix: also where eigenvalues are repeated, defective or zero.
    #[test]
    fn the_triangle_is_similar_to_the_matrix() {
        let cases: [&[f64]; 5] = [
            &[4.0],
            &[2.0, 1.0, 0.0, 2.0],
            &[0.0, 1.0, -1.0, 0.0],
            &[1e-9, 3e-4, 0.0, 2e-5, 1e-6, 1e3, 0.0, 1e-12, 5e-7],
            &[0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0, 0.0],
        ];
        for matrix in cases {
            let n = (matrix.len() as f64).sqrt() as usize;
            let schur = Schur::of(n, matrix.to_vec()).unwrap();
            let largest = matrix.iter().fold(0.0, |most: f64, x| most.max(x.abs()));
            for i in 0..n {
                for j in 0..n {
                    let mut sum = ZERO;
                    for k in 0..n {
                        for l in k..n {
                            sum += schur.q[i * n + k] * schur.at(k, l) * schur.q[j * n + l].conj();
                        }
                    }
                    let back = sum * (schur.scale[i] / schur.scale[j]);
                    let off = (back - matrix[i * n + j]).modulus();
                    let scaled = largest * schur.scale[i] / schur.scale[j];
                    assert!(off <= 1e-13 * scaled, "{i} {j}: {back} {}", matrix[i * n + j]);
                }
                for j in 0..i {
                    assert_eq!(schur.at(i, j), ZERO);
                }
                assert!(i == 0 || schur.at(i, i).modulus() <= schur.at(i - 1, i - 1).modulus() * (1.0 + 1e-7));
            }
        }
    }
}
