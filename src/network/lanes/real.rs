//! Real boards side by side.
use super::{
    Aligned, Base, CHUNK, CHUNKS, Chunk, Inverse, LANES, Lane, Real, by_length, each, load, reciprocals, smaller,
    store, there,
};
use std::borrow::Borrow;

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
