//! Three arithmetics for one set of equations: doubles by nalgebra's LU with residuals that lose no
//! digits, complex doubles likewise, and fractions that are never rounded.
use nalgebra::{ComplexField, DMatrix, DVector};
use num_bigint::BigInt;
use num_complex::{Complex, Complex64};
use num_rational::BigRational;
use num_traits::{Num, ToPrimitive};
use std::ops::Neg;

/// A row of equations: what stands in it, term by term, not added up.
pub(crate) type Row<F> = Vec<(usize, F)>;

/// Numbers that linear equations can be solved in.
pub(crate) trait Field: Clone + Num + Neg<Output = Self> {
    /// A double as such a number, exactly.
    fn of(value: f64) -> Self;
    /// One solution for each right-hand side; `None` where there is no single one.
    fn solve(rows: &[Row<Self>], sides: &[Vec<Self>]) -> Option<Vec<Vec<Self>>>;
}

/// A number without an imaginary part.
pub(crate) trait Real: Field + PartialOrd {}
impl Real for f64 {}
impl Real for BigRational {}

impl Field for f64 {
    fn of(value: f64) -> Self {
        value
    }
    fn solve(rows: &[Row<Self>], sides: &[Vec<Self>]) -> Option<Vec<Vec<Self>>> {
        rounded(rows, sides, |row, x, side| sum_exactly(*side, row.iter().map(|(column, y)| (-y, x[*column]))))
    }
}

impl Field for Complex64 {
    fn of(value: f64) -> Self {
        Self::new(value, 0.0)
    }
    fn solve(rows: &[Row<Self>], sides: &[Vec<Self>]) -> Option<Vec<Vec<Self>>> {
        rounded(rows, sides, |row, x, side| {
            let re = row.iter().flat_map(|(k, y)| [(-y.re, x[*k].re), (y.im, x[*k].im)]);
            let im = row.iter().flat_map(|(k, y)| [(-y.re, x[*k].im), (-y.im, x[*k].re)]);
            Self::new(sum_exactly(side.re, re), sum_exactly(side.im, im))
        })
    }
}

impl Field for BigRational {
    fn of(value: f64) -> Self {
        Self::from_float(value).unwrap()
    }
    fn solve(rows: &[Row<Self>], sides: &[Vec<Self>]) -> Option<Vec<Vec<Self>>> {
        eliminated(rows, sides)
    }
}

impl Field for Complex<BigRational> {
    fn of(value: f64) -> Self {
        Self::new(BigRational::of(value), BigRational::from_integer(BigInt::from(0)))
    }
    fn solve(rows: &[Row<Self>], sides: &[Vec<Self>]) -> Option<Vec<Vec<Self>>> {
        eliminated(rows, sides)
    }
}

/// A fraction as the nearest double, or nearly.
pub(crate) fn rounded_fraction(value: &BigRational) -> f64 {
    value.to_f64().unwrap()
}

/// `start + Σ a·b` as if in twice the digits (Ogita, Rump, Oishi, "Accurate sum and dot product",
/// SIAM J. Sci. Comput. 26 (2005), algorithm Dot2; from memory).
fn sum_exactly(start: f64, products: impl Iterator<Item = (f64, f64)>) -> f64 {
    let (mut sum, mut lost) = (start, 0.0);
    for (a, b) in products {
        let product = a * b;
        lost += libm::fma(a, b, -product);
        let next = sum + product;
        let moved = next - sum;
        lost += (sum - (next - moved)) + (product - moved);
        sum = next;
    }
    sum + lost
}

/// Pivoted LU, then refined: the rounding of the factors no longer shows.
fn rounded<F: Field + ComplexField + Copy>(
    rows: &[Row<F>],
    sides: &[Vec<F>],
    residual: impl Fn(&Row<F>, &[F], &F) -> F,
) -> Option<Vec<Vec<F>>> {
    let size = rows.len();
    let mut matrix = DMatrix::<F>::from_element(size, size, <F as num_traits::Zero>::zero());
    for (index, row) in rows.iter().enumerate() {
        for (column, value) in row {
            matrix[(index, *column)] += *value;
        }
    }
    let factors = matrix.lu();
    sides
        .iter()
        .map(|side| {
            let mut x = factors.solve(&DVector::from_vec(side.clone()))?;
            for _ in 0..3 {
                let left: Vec<F> = rows.iter().zip(side).map(|(row, side)| residual(row, x.as_slice(), side)).collect();
                x += factors.solve(&DVector::from_vec(left))?;
            }
            Some(x.as_slice().to_vec())
        })
        .collect()
}

/// Gauss and Jordan, exactly.
fn eliminated<F: Field>(rows: &[Row<F>], sides: &[Vec<F>]) -> Option<Vec<Vec<F>>> {
    let size = rows.len();
    let mut table: Vec<Vec<F>> = rows
        .iter()
        .enumerate()
        .map(|(index, row)| {
            let mut line = vec![F::zero(); size + sides.len()];
            for (column, value) in row {
                line[*column] = line[*column].clone() + value.clone();
            }
            for (place, side) in line[size..].iter_mut().zip(sides) {
                *place = side[index].clone();
            }
            line
        })
        .collect();
    for column in 0..size {
        // The sparsest row keeps the fractions short.
        let pivot = (column..size)
            .filter(|&row| !table[row][column].is_zero())
            .min_by_key(|&row| table[row].iter().filter(|x| !x.is_zero()).count())?;
        table.swap(column, pivot);
        let line = table[column].clone();
        for (row, target) in table.iter_mut().enumerate() {
            if row == column || target[column].is_zero() {
                continue;
            }
            let factor = target[column].clone() / line[column].clone();
            for (place, value) in target.iter_mut().zip(&line).skip(column) {
                if !value.is_zero() {
                    *place = place.clone() - factor.clone() * value.clone();
                }
            }
        }
    }
    Some(
        (size..size + sides.len())
            .map(|side| (0..size).map(|row| table[row][side].clone() / table[row][row].clone()).collect())
            .collect(),
    )
}

#[test]
fn the_arithmetics_agree_where_all_can() {
    let rows = vec![vec![(0, 3.0), (1, 1.0)], vec![(0, 1.0), (1, -2.0), (0, 1.0)]];
    let exact: Vec<Row<BigRational>> =
        rows.iter().map(|row| row.iter().map(|&(k, y)| (k, BigRational::of(y))).collect()).collect();
    // 3x + y = 5, 2x - 2y = 6: x = 2, y = -1.
    assert_eq!(f64::solve(&rows, &[vec![5.0, 6.0]]).unwrap(), vec![vec![2.0, -1.0]]);
    let side = vec![BigRational::of(5.0), BigRational::of(6.0)];
    assert_eq!(BigRational::solve(&exact, &[side]).unwrap(), vec![vec![BigRational::of(2.0), BigRational::of(-1.0)]]);
    let half = libm::ldexp(1.0, 50);
    assert_eq!(sum_exactly(half * half, [(1.0, 3.0), (-half, half)].into_iter()), 3.0);
}
