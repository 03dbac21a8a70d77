//! Many boards side by side: one operation is done for a block of boards at a time.
mod complex;
mod real;

use super::Scalar;
use std::borrow::{Borrow, BorrowMut};

/// A block that starts where a cache line does, so that no vector lies across two.
#[repr(align(64))]
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Aligned<B>(pub B);

impl<B> Borrow<B> for Aligned<B> {
    fn borrow(&self) -> &B {
        &self.0
    }
}

impl<B> BorrowMut<B> for Aligned<B> {
    fn borrow_mut(&mut self) -> &mut B {
        &mut self.0
    }
}

/// Boards in a block.
pub const LANES: usize = 64;

/// Lanes that are loaded before any of them is stored, so that an operand may be the result's register. A
/// block is a whole number of such chunks.
pub const CHUNK: usize = 8;

/// As many reciprocals share one division.
pub(crate) const BATCH: usize = 8;

/// Values of a few boards, held in vector registers.
pub(crate) type Chunk = [f64; CHUNK];

/// One reciprocal of a batch: `registers[to] = 1 / registers[a]`; `scale` brings it near 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Inverse {
    pub(super) to: usize,
    pub(super) a: usize,
    pub(super) scale: f64,
}

/// What a sum starts from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Base<T> {
    /// The same for all boards.
    Constant(T),
    /// A register.
    Register(usize),
}

/// A scalar that comes in blocks of [`LANES`].
pub trait Lane: Scalar {
    /// One value for each board of the block.
    type Block: Copy + std::fmt::Debug + Send + Sync;
    /// The same value for all boards.
    fn splat(self) -> Self::Block;
    /// One board's value.
    fn get(block: &Self::Block, lane: usize) -> Self;
    /// Gives one board a value.
    fn set(block: &mut Self::Block, lane: usize, value: Self);
    /// `registers[to] = registers[a] - registers[b] * registers[c]`
    fn multiply_subtract(registers: &mut [Aligned<Self::Block>], to: usize, operands: [usize; 3]);
    /// `registers[to] = registers[a] * registers[b]`
    fn multiply(registers: &mut [Aligned<Self::Block>], to: usize, operands: [usize; 2]);
    /// `registers[to] = base + Σ k * deltas[delta]` with real `k`
    fn affine<D: Borrow<Self::Block>>(
        registers: &mut [Aligned<Self::Block>],
        to: usize,
        base: Base<Self>,
        terms: &[(f64, usize)],
        deltas: &[D],
    );
    /// Up to `BATCH` reciprocals, and the least of the scaled sizes of what they are taken of.
    fn invert(registers: &mut [Aligned<Self::Block>], batch: &[Inverse], least: &mut [f64; LANES]);
    /// `out = base + change`
    fn shifted(out: &mut Self::Block, base: Self, change: &Self::Block);
    /// Puts real values into the `at`th chunk.
    fn put(block: &mut Self::Block, at: usize, values: [f64; CHUNK]);
    /// Real parts.
    fn reals(block: &Self::Block) -> &[f64; LANES];
    /// Squares of the moduli.
    fn squares(block: &Self::Block) -> [f64; LANES];
    /// Blocks from real and imaginary parts; the real part alone where the scalar is real.
    fn join(block: &mut Self::Block, re: &[f64; LANES], im: &[f64; LANES]);
}

type Real = [f64; LANES];

/// Chunks of a block: a whole number of them, of a length the compiler knows.
pub(crate) const CHUNKS: usize = LANES / CHUNK;

#[inline(always)]
pub(crate) fn load(block: &Real, chunk: usize) -> Chunk {
    block.as_chunks::<CHUNK>().0[chunk]
}

#[inline(always)]
fn store(block: &mut Real, chunk: usize, values: Chunk) {
    block.as_chunks_mut::<CHUNK>().0[chunk] = values;
}

/// Whether all places are there: told once, so that no loop asks again.
#[inline(always)]
fn there<const N: usize>(length: usize, places: [usize; N]) -> bool {
    let mut k = 0;
    while k < N {
        if places[k] >= length {
            return false;
        }
        k += 1;
    }
    true
}

/// Applies `f` lane by lane to chunks.
#[inline(always)]
pub(crate) fn each(mut f: impl FnMut(usize) -> f64) -> Chunk {
    let mut chunk = [0.0; CHUNK];
    let mut lane = 0;
    while lane < CHUNK {
        chunk[lane] = f(lane);
        lane += 1;
    }
    chunk
}

/// Reciprocals of several chunks by one division: the running products are divided into 1 and taken
/// apart again. All should be of a size near 1.
#[inline(always)]
pub(crate) fn reciprocals<const N: usize>(y: &[Chunk; N]) -> [Chunk; N] {
    let mut products = *y;
    let mut k = 1;
    while k < N {
        let before = products[k - 1];
        products[k] = each(|l| before[l] * y[k][l]);
        k += 1;
    }
    let last = products[N - 1];
    let mut rest = each(|l| 1.0 / last[l]);
    let mut inverses = *y;
    let mut k = N - 1;
    while k > 0 {
        let before = products[k - 1];
        inverses[k] = each(|l| rest[l] * before[l]);
        rest = each(|l| rest[l] * y[k][l]);
        k -= 1;
    }
    inverses[0] = rest;
    inverses
}

/// Calls the function for a slice of 1 to `BATCH` items with the slice as an array.
macro_rules! by_length {
    ($items:expr, $call:ident ( $($argument:expr),* )) => {
        match $items {
            [a] => $call([*a], $($argument),*),
            [a, b] => $call([*a, *b], $($argument),*),
            [a, b, c] => $call([*a, *b, *c], $($argument),*),
            [a, b, c, d] => $call([*a, *b, *c, *d], $($argument),*),
            [a, b, c, d, e] => $call([*a, *b, *c, *d, *e], $($argument),*),
            [a, b, c, d, e, f] => $call([*a, *b, *c, *d, *e, *f], $($argument),*),
            [a, b, c, d, e, f, g] => $call([*a, *b, *c, *d, *e, *f, *g], $($argument),*),
            [a, b, c, d, e, f, g, h, ..] => $call([*a, *b, *c, *d, *e, *f, *g, *h], $($argument),*),
            [] => {}
        }
    };
}
pub(crate) use by_length;

#[inline(always)]
fn smaller(least: Chunk, y: &Chunk) -> Chunk {
    each(|l| {
        let size = y[l].abs();
        if size < least[l] { size } else { least[l] }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against plain division, to a few units of the last digit, whatever the length of the batch.
    #[test]
    fn one_division_serves_a_batch() {
        fn check<const N: usize>() {
            let mut y = [[0.0; CHUNK]; N];
            for (k, chunk) in y.iter_mut().enumerate() {
                for (lane, y) in chunk.iter_mut().enumerate() {
                    *y = (1.0 + 0.37 * k as f64) * if (k + lane) % 3 == 0 { -0.03 } else { 1.7 } + lane as f64 * 0.011;
                }
            }
            for (inverses, y) in reciprocals(&y).iter().zip(&y) {
                for (inverse, y) in inverses.iter().zip(y) {
                    assert!((inverse * y - 1.0).abs() < 4e-15, "{N}: 1/{y} is not {inverse}");
                }
            }
        }
        check::<1>();
        check::<2>();
        check::<5>();
        check::<BATCH>();
    }
}
