//! Complex boards side by side.
use super::{
    Aligned, Base, CHUNK, CHUNKS, Chunk, Inverse, LANES, Lane, Real, by_length, each, load, smaller, store, there,
};
use num_complex::Complex64;
use std::borrow::Borrow;

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
