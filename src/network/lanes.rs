//! Many boards side by side: one operation is done for a block of boards at a time.
use super::Scalar;
use num_complex::Complex64;

/// Boards in a block.
pub const LANES: usize = 32;

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
    /// `a - b * c`
    fn multiply_subtract(a: &Self::Block, b: &Self::Block, c: &Self::Block) -> Self::Block;
    /// `a * b`
    fn multiply(a: &Self::Block, b: &Self::Block) -> Self::Block;
    /// `a + k * b` with a real `k`
    fn add_scaled(a: &Self::Block, k: f64, b: &Self::Block) -> Self::Block;
    /// `1 / a`
    fn reciprocal(a: &Self::Block) -> Self::Block;
    /// `min(least, size(a) * scale)`
    fn least(least: &mut [f64; LANES], a: &Self::Block, scale: f64);
}

impl Lane for f64 {
    type Block = [Self; LANES];
    fn splat(self) -> Self::Block {
        [self; LANES]
    }
    fn get(block: &Self::Block, lane: usize) -> Self {
        block[lane]
    }
    fn set(block: &mut Self::Block, lane: usize, value: Self) {
        block[lane] = value;
    }
    #[inline(always)]
    fn multiply_subtract(a: &Self::Block, b: &Self::Block, c: &Self::Block) -> Self::Block {
        std::array::from_fn(|l| a[l] - b[l] * c[l])
    }
    #[inline(always)]
    fn multiply(a: &Self::Block, b: &Self::Block) -> Self::Block {
        std::array::from_fn(|l| a[l] * b[l])
    }
    #[inline(always)]
    fn add_scaled(a: &Self::Block, k: f64, b: &Self::Block) -> Self::Block {
        std::array::from_fn(|l| a[l] + k * b[l])
    }
    #[inline(always)]
    fn reciprocal(a: &Self::Block) -> Self::Block {
        std::array::from_fn(|l| 1.0 / a[l])
    }
    #[inline(always)]
    fn least(least: &mut [f64; LANES], a: &Self::Block, scale: f64) {
        for (least, a) in least.iter_mut().zip(a) {
            *least = least.min(a.abs() * scale);
        }
    }
}

/// A block of complex numbers, parts apart.
#[derive(Clone, Copy, Debug)]
pub struct ComplexBlock {
    re: [f64; LANES],
    im: [f64; LANES],
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
    fn multiply_subtract(a: &ComplexBlock, b: &ComplexBlock, c: &ComplexBlock) -> ComplexBlock {
        ComplexBlock {
            re: std::array::from_fn(|l| a.re[l] - (b.re[l] * c.re[l] - b.im[l] * c.im[l])),
            im: std::array::from_fn(|l| a.im[l] - (b.re[l] * c.im[l] + b.im[l] * c.re[l])),
        }
    }
    #[inline(always)]
    fn multiply(a: &ComplexBlock, b: &ComplexBlock) -> ComplexBlock {
        ComplexBlock {
            re: std::array::from_fn(|l| a.re[l] * b.re[l] - a.im[l] * b.im[l]),
            im: std::array::from_fn(|l| a.re[l] * b.im[l] + a.im[l] * b.re[l]),
        }
    }
    #[inline(always)]
    fn add_scaled(a: &ComplexBlock, k: f64, b: &ComplexBlock) -> ComplexBlock {
        ComplexBlock {
            re: std::array::from_fn(|l| a.re[l] + k * b.re[l]),
            im: std::array::from_fn(|l| a.im[l] + k * b.im[l]),
        }
    }
    #[inline(always)]
    fn reciprocal(a: &ComplexBlock) -> ComplexBlock {
        let square: [f64; LANES] = std::array::from_fn(|l| 1.0 / (a.re[l] * a.re[l] + a.im[l] * a.im[l]));
        ComplexBlock {
            re: std::array::from_fn(|l| a.re[l] * square[l]),
            im: std::array::from_fn(|l| -a.im[l] * square[l]),
        }
    }
    #[inline(always)]
    fn least(least: &mut [f64; LANES], a: &ComplexBlock, scale: f64) {
        for l in 0..LANES {
            least[l] = least[l].min((a.re[l].abs() + a.im[l].abs()) * scale);
        }
    }
}
