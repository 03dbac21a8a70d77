//! Many boards side by side: one operation is done for a block of boards at a time.
use super::Scalar;
use num_complex::Complex64;
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

#[inline(always)]
fn invert_real<const N: usize>(batch: [Inverse; N], registers: &mut [Aligned<Real>], least: &mut Real) {
    if !(there(registers.len(), batch.map(|one| one.to)) && there(registers.len(), batch.map(|one| one.a))) {
        return;
    }
    for at in 0..CHUNKS {
        let mut y = [[0.0; CHUNK]; N];
        let mut small = load(least, at);
        for (y, inverse) in y.iter_mut().zip(&batch) {
            let x = load(&registers[inverse.a].0, at);
            *y = each(|l| x[l] * inverse.scale);
            small = smaller(small, y);
        }
        store(least, at, small);
        for (inverted, inverse) in reciprocals(&y).iter().zip(&batch) {
            store(&mut registers[inverse.to].0, at, each(|l| inverted[l] * inverse.scale));
        }
    }
}

#[inline(always)]
fn sum_real<const N: usize, D: Borrow<Real>>(base: Chunk, terms: &[(f64, usize); N], deltas: &[D], at: usize) -> Chunk {
    let mut sum = base;
    for &(k, delta) in terms {
        let y = load(deltas[delta].borrow(), at);
        sum = each(|l| sum[l] + k * y[l]);
    }
    sum
}

#[inline(always)]
fn affine_real<const N: usize, D: Borrow<Real>>(
    terms: [(f64, usize); N],
    registers: &mut [Aligned<Real>],
    to: usize,
    base: Base<f64>,
    deltas: &[D],
) {
    let from = match base {
        Base::Constant(_) => to,
        Base::Register(a) => a,
    };
    if !(there(registers.len(), [to, from]) && there(deltas.len(), terms.map(|(_, delta)| delta))) {
        return;
    }
    // Apart, so that no loop asks which.
    match base {
        Base::Constant(value) => {
            for at in 0..CHUNKS {
                let sum = sum_real([value; CHUNK], &terms, deltas, at);
                store(&mut registers[to].0, at, sum);
            }
        }
        Base::Register(_) => {
            for at in 0..CHUNKS {
                let sum = sum_real(load(&registers[from].0, at), &terms, deltas, at);
                store(&mut registers[to].0, at, sum);
            }
        }
    }
}

impl Lane for f64 {
    type Block = Real;
    fn splat(self) -> Real {
        [self; LANES]
    }
    fn get(block: &Real, lane: usize) -> Self {
        block[lane]
    }
    fn set(block: &mut Real, lane: usize, value: Self) {
        block[lane] = value;
    }
    #[inline(always)]
    fn multiply_subtract(registers: &mut [Aligned<Real>], to: usize, [a, b, c]: [usize; 3]) {
        if !(there(registers.len(), [to, a, b, c])) {
            return;
        }
        for at in 0..CHUNKS {
            let (x, y, z) = (load(&registers[a].0, at), load(&registers[b].0, at), load(&registers[c].0, at));
            store(&mut registers[to].0, at, each(|l| x[l] - y[l] * z[l]));
        }
    }
    #[inline(always)]
    fn multiply(registers: &mut [Aligned<Real>], to: usize, [a, b]: [usize; 2]) {
        if !(there(registers.len(), [to, a, b])) {
            return;
        }
        for at in 0..CHUNKS {
            let (x, y) = (load(&registers[a].0, at), load(&registers[b].0, at));
            store(&mut registers[to].0, at, each(|l| x[l] * y[l]));
        }
    }
    #[inline(always)]
    fn affine<D: Borrow<Real>>(
        registers: &mut [Aligned<Real>],
        to: usize,
        base: Base<f64>,
        terms: &[(f64, usize)],
        deltas: &[D],
    ) {
        by_length!(terms, affine_real(registers, to, base, deltas));
    }
    #[inline(always)]
    fn invert(registers: &mut [Aligned<Real>], batch: &[Inverse], least: &mut Real) {
        by_length!(batch, invert_real(registers, least));
    }
    #[inline(always)]
    fn shifted(out: &mut Real, base: f64, change: &Real) {
        for at in 0..CHUNKS {
            let x = load(change, at);
            store(out, at, each(|l| base + x[l]));
        }
    }
    #[inline(always)]
    fn join(block: &mut Real, re: &Real, _: &Real) {
        *block = *re;
    }
    #[inline(always)]
    fn put(block: &mut Real, at: usize, values: Chunk) {
        store(block, at, values);
    }
    #[inline(always)]
    fn reals(block: &Real) -> &Real {
        block
    }
    #[inline(always)]
    fn squares(block: &Real) -> Real {
        block.map(|x| x * x)
    }
}

/// A block of complex numbers, parts apart.
#[derive(Clone, Copy, Debug)]
pub struct ComplexBlock {
    re: Real,
    im: Real,
}

impl ComplexBlock {
    #[inline(always)]
    fn load(&self, at: usize) -> (Chunk, Chunk) {
        (load(&self.re, at), load(&self.im, at))
    }
    #[inline(always)]
    fn store(&mut self, at: usize, re: Chunk, im: Chunk) {
        store(&mut self.re, at, re);
        store(&mut self.im, at, im);
    }
    /// Squares of the moduli.
    #[must_use]
    #[inline(always)]
    pub fn square(&self) -> [f64; LANES] {
        let mut squares = [0.0; LANES];
        for ((square, re), im) in squares.iter_mut().zip(&self.re).zip(&self.im) {
            *square = re * re + im * im;
        }
        squares
    }
}

/// Complex ones are divided one by one: a phase is worth more digits than the time.
#[inline(always)]
fn invert_complex(registers: &mut [Aligned<ComplexBlock>], batch: &[Inverse], least: &mut Real) {
    for at in 0..CHUNKS {
        for inverse in batch {
            let (x, y) = registers[inverse.a].0.load(at);
            let small = load(least, at);
            store(least, at, smaller(small, &each(|l| (x[l].abs() + y[l].abs()) * inverse.scale)));
            let square = each(|l| 1.0 / (x[l] * x[l] + y[l] * y[l]));
            registers[inverse.to].0.store(at, each(|l| x[l] * square[l]), each(|l| -y[l] * square[l]));
        }
    }
}

#[inline(always)]
fn sum_complex<const N: usize, D: Borrow<ComplexBlock>>(
    base: (Chunk, Chunk),
    terms: &[(f64, usize); N],
    deltas: &[D],
    at: usize,
) -> (Chunk, Chunk) {
    let (mut re, mut im) = base;
    for &(k, delta) in terms {
        let (x, y) = deltas[delta].borrow().load(at);
        re = each(|l| re[l] + k * x[l]);
        im = each(|l| im[l] + k * y[l]);
    }
    (re, im)
}

#[inline(always)]
fn affine_complex<const N: usize, D: Borrow<ComplexBlock>>(
    terms: [(f64, usize); N],
    registers: &mut [Aligned<ComplexBlock>],
    to: usize,
    base: Base<Complex64>,
    deltas: &[D],
) {
    let from = match base {
        Base::Constant(_) => to,
        Base::Register(a) => a,
    };
    if !(there(registers.len(), [to, from]) && there(deltas.len(), terms.map(|(_, delta)| delta))) {
        return;
    }
    // Apart, so that no loop asks which.
    match base {
        Base::Constant(value) => {
            for at in 0..CHUNKS {
                let sum = sum_complex(([value.re; CHUNK], [value.im; CHUNK]), &terms, deltas, at);
                registers[to].0.store(at, sum.0, sum.1);
            }
        }
        Base::Register(_) => {
            for at in 0..CHUNKS {
                let sum = sum_complex(registers[from].0.load(at), &terms, deltas, at);
                registers[to].0.store(at, sum.0, sum.1);
            }
        }
    }
}

impl Lane for Complex64 {
    type Block = ComplexBlock;
    fn splat(self) -> ComplexBlock {
        ComplexBlock { re: [self.re; LANES], im: [self.im; LANES] }
    }
    fn get(block: &ComplexBlock, lane: usize) -> Self {
        Self::new(block.re[lane], block.im[lane])
    }
    fn set(block: &mut ComplexBlock, lane: usize, value: Self) {
        block.re[lane] = value.re;
        block.im[lane] = value.im;
    }
    #[inline(always)]
    fn multiply_subtract(registers: &mut [Aligned<ComplexBlock>], to: usize, [a, b, c]: [usize; 3]) {
        if !(there(registers.len(), [to, a, b, c])) {
            return;
        }
        for at in 0..CHUNKS {
            let ((xr, xi), (yr, yi)) = (registers[a].0.load(at), registers[b].0.load(at));
            let (zr, zi) = registers[c].0.load(at);
            registers[to].0.store(
                at,
                each(|l| xr[l] - (yr[l] * zr[l] - yi[l] * zi[l])),
                each(|l| xi[l] - (yr[l] * zi[l] + yi[l] * zr[l])),
            );
        }
    }
    #[inline(always)]
    fn multiply(registers: &mut [Aligned<ComplexBlock>], to: usize, [a, b]: [usize; 2]) {
        if !(there(registers.len(), [to, a, b])) {
            return;
        }
        for at in 0..CHUNKS {
            let ((xr, xi), (yr, yi)) = (registers[a].0.load(at), registers[b].0.load(at));
            registers[to].0.store(at, each(|l| xr[l] * yr[l] - xi[l] * yi[l]), each(|l| xr[l] * yi[l] + xi[l] * yr[l]));
        }
    }
    #[inline(always)]
    fn affine<D: Borrow<ComplexBlock>>(
        registers: &mut [Aligned<ComplexBlock>],
        to: usize,
        base: Base<Complex64>,
        terms: &[(f64, usize)],
        deltas: &[D],
    ) {
        by_length!(terms, affine_complex(registers, to, base, deltas));
    }
    #[inline(always)]
    fn invert(registers: &mut [Aligned<ComplexBlock>], batch: &[Inverse], least: &mut Real) {
        invert_complex(registers, batch, least);
    }
    #[inline(always)]
    fn shifted(out: &mut ComplexBlock, base: Complex64, change: &ComplexBlock) {
        for at in 0..CHUNKS {
            let (x, y) = change.load(at);
            out.store(at, each(|l| base.re + x[l]), each(|l| base.im + y[l]));
        }
    }
    #[inline(always)]
    fn join(block: &mut ComplexBlock, re: &Real, im: &Real) {
        block.re = *re;
        block.im = *im;
    }
    #[inline(always)]
    fn put(block: &mut ComplexBlock, at: usize, values: Chunk) {
        block.store(at, values, [0.0; CHUNK]);
    }
    #[inline(always)]
    fn reals(block: &ComplexBlock) -> &Real {
        &block.re
    }
    #[inline(always)]
    fn squares(block: &ComplexBlock) -> Real {
        block.square()
    }
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
