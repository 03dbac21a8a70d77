use num_complex::Complex64;
use std::ops::{Add, AddAssign, Mul, Neg, Sub, SubAssign};

/// What a network is solved in: `f64` at dc, [`Complex64`] at a frequency.
pub trait Scalar:
    Copy
    + std::fmt::Debug
    + PartialEq
    + Send
    + Sync
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Neg<Output = Self>
    + AddAssign
    + SubAssign
    + 'static
{
    /// 0.
    const ZERO: Self;
    /// 1.
    const ONE: Self;
    /// A real number.
    fn real(value: f64) -> Self;
    /// A complex number; the real part of it where the scalar is real.
    fn complex(value: Complex64) -> Self;
    /// The value as a complex number.
    fn to_complex(self) -> Complex64;
    /// The product with a real number.
    fn scale(self, by: f64) -> Self;
    /// `1 / self`.
    fn recip(self) -> Self;
    /// A cheap measure of size, within a factor √2 of the modulus: for pivots.
    fn size(self) -> f64;
    /// The modulus.
    fn modulus(self) -> f64;
}

impl Scalar for f64 {
    const ZERO: Self = 0.0;
    const ONE: Self = 1.0;
    fn real(value: f64) -> Self {
        value
    }
    fn complex(value: Complex64) -> Self {
        value.re
    }
    fn to_complex(self) -> Complex64 {
        Complex64::new(self, 0.0)
    }
    fn scale(self, by: f64) -> Self {
        self * by
    }
    fn recip(self) -> Self {
        1.0 / self
    }
    fn size(self) -> f64 {
        self.abs()
    }
    fn modulus(self) -> f64 {
        self.abs()
    }
}

impl Scalar for Complex64 {
    const ZERO: Self = Self::new(0.0, 0.0);
    const ONE: Self = Self::new(1.0, 0.0);
    fn real(value: f64) -> Self {
        Self::new(value, 0.0)
    }
    fn complex(value: Complex64) -> Self {
        value
    }
    fn to_complex(self) -> Complex64 {
        self
    }
    fn scale(self, by: f64) -> Self {
        Self::new(self.re * by, self.im * by)
    }
    fn recip(self) -> Self {
        let square = self.re * self.re + self.im * self.im;
        Self::new(self.re / square, -self.im / square)
    }
    fn size(self) -> f64 {
        self.re.abs() + self.im.abs()
    }
    fn modulus(self) -> f64 {
        libm::hypot(self.re, self.im)
    }
}
