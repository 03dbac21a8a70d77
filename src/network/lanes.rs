//! Many boards side by side: one operation is done for a block of boards at a time.
use super::Scalar;
use num_complex::Complex64;

/// Boards in a block.
pub const LANES: usize = 32;

/// Lanes that are loaded before any of them is stored, so that an operand may be the result's register.
const CHUNK: usize = 8;

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
    fn multiply_subtract(registers: &mut [Self::Block], to: usize, operands: [usize; 3]);
    /// `registers[to] = registers[a] * registers[b]`
    fn multiply(registers: &mut [Self::Block], to: usize, operands: [usize; 2]);
    /// `registers[to] = registers[a] + k * b` with a real `k`
    fn add_scaled(registers: &mut [Self::Block], to: usize, a: usize, k: f64, b: &Self::Block);
    /// `registers[to] = 1 / registers[a]`
    fn reciprocal(registers: &mut [Self::Block], to: usize, a: usize);
    /// `a + b`
    fn sum(a: &Self::Block, b: &Self::Block) -> Self::Block;
    /// `min(least, size(a) * scale)`
    fn least(least: &mut [f64; LANES], a: &Self::Block, scale: f64);
}

type Real = [f64; LANES];

#[inline(always)]
fn load(block: &Real, at: usize) -> [f64; CHUNK] {
    let mut chunk = [0.0; CHUNK];
    chunk.copy_from_slice(&block[at..at + CHUNK]);
    chunk
}

#[inline(always)]
fn store(block: &mut Real, at: usize, chunk: [f64; CHUNK]) {
    block[at..at + CHUNK].copy_from_slice(&chunk);
}

/// Applies `f` lane by lane to chunks.
#[inline(always)]
fn each(mut f: impl FnMut(usize) -> f64) -> [f64; CHUNK] {
    let mut chunk = [0.0; CHUNK];
    let mut lane = 0;
    while lane < CHUNK {
        chunk[lane] = f(lane);
        lane += 1;
    }
    chunk
}

const fn chunks() -> [usize; LANES / CHUNK] {
    let mut starts = [0; LANES / CHUNK];
    let mut k = 0;
    while k < LANES / CHUNK {
        starts[k] = k * CHUNK;
        k += 1;
    }
    starts
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
    fn multiply_subtract(registers: &mut [Real], to: usize, [a, b, c]: [usize; 3]) {
        for at in chunks() {
            let (x, y, z) = (load(&registers[a], at), load(&registers[b], at), load(&registers[c], at));
            store(&mut registers[to], at, each(|l| x[l] - y[l] * z[l]));
        }
    }
    #[inline(always)]
    fn multiply(registers: &mut [Real], to: usize, [a, b]: [usize; 2]) {
        for at in chunks() {
            let (x, y) = (load(&registers[a], at), load(&registers[b], at));
            store(&mut registers[to], at, each(|l| x[l] * y[l]));
        }
    }
    #[inline(always)]
    fn add_scaled(registers: &mut [Real], to: usize, a: usize, k: f64, b: &Real) {
        for at in chunks() {
            let (x, y) = (load(&registers[a], at), load(b, at));
            store(&mut registers[to], at, each(|l| x[l] + k * y[l]));
        }
    }
    #[inline(always)]
    fn reciprocal(registers: &mut [Real], to: usize, a: usize) {
        for at in chunks() {
            let x = load(&registers[a], at);
            store(&mut registers[to], at, each(|l| 1.0 / x[l]));
        }
    }
    fn sum(a: &Real, b: &Real) -> Real {
        std::array::from_fn(|l| a[l] + b[l])
    }
    #[inline(always)]
    fn least(least: &mut Real, a: &Real, scale: f64) {
        for at in chunks() {
            let (x, y) = (load(least, at), load(a, at));
            store(
                least,
                at,
                each(|l| {
                    let size = y[l].abs() * scale;
                    if size < x[l] { size } else { x[l] }
                }),
            );
        }
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
    fn load(&self, at: usize) -> ([f64; CHUNK], [f64; CHUNK]) {
        (load(&self.re, at), load(&self.im, at))
    }
    #[inline(always)]
    fn store(&mut self, at: usize, re: [f64; CHUNK], im: [f64; CHUNK]) {
        store(&mut self.re, at, re);
        store(&mut self.im, at, im);
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
    fn multiply_subtract(registers: &mut [ComplexBlock], to: usize, [a, b, c]: [usize; 3]) {
        for at in chunks() {
            let ((xr, xi), (yr, yi)) = (registers[a].load(at), registers[b].load(at));
            let (zr, zi) = registers[c].load(at);
            registers[to].store(
                at,
                each(|l| xr[l] - (yr[l] * zr[l] - yi[l] * zi[l])),
                each(|l| xi[l] - (yr[l] * zi[l] + yi[l] * zr[l])),
            );
        }
    }
    #[inline(always)]
    fn multiply(registers: &mut [ComplexBlock], to: usize, [a, b]: [usize; 2]) {
        for at in chunks() {
            let ((xr, xi), (yr, yi)) = (registers[a].load(at), registers[b].load(at));
            registers[to].store(at, each(|l| xr[l] * yr[l] - xi[l] * yi[l]), each(|l| xr[l] * yi[l] + xi[l] * yr[l]));
        }
    }
    #[inline(always)]
    fn add_scaled(registers: &mut [ComplexBlock], to: usize, a: usize, k: f64, b: &ComplexBlock) {
        for at in chunks() {
            let ((xr, xi), (yr, yi)) = (registers[a].load(at), b.load(at));
            registers[to].store(at, each(|l| xr[l] + k * yr[l]), each(|l| xi[l] + k * yi[l]));
        }
    }
    #[inline(always)]
    fn reciprocal(registers: &mut [ComplexBlock], to: usize, a: usize) {
        for at in chunks() {
            let (xr, xi) = registers[a].load(at);
            let square = each(|l| 1.0 / (xr[l] * xr[l] + xi[l] * xi[l]));
            registers[to].store(at, each(|l| xr[l] * square[l]), each(|l| -xi[l] * square[l]));
        }
    }
    fn sum(a: &ComplexBlock, b: &ComplexBlock) -> ComplexBlock {
        ComplexBlock { re: std::array::from_fn(|l| a.re[l] + b.re[l]), im: std::array::from_fn(|l| a.im[l] + b.im[l]) }
    }
    #[inline(always)]
    fn least(least: &mut Real, a: &ComplexBlock, scale: f64) {
        for at in chunks() {
            let (x, (re, im)) = (load(least, at), a.load(at));
            store(
                least,
                at,
                each(|l| {
                    let size = (re[l].abs() + im[l].abs()) * scale;
                    if size < x[l] { size } else { x[l] }
                }),
            );
        }
    }
}
