//! Closed intervals: what a value can be anywhere in a box.
use std::ops::{Add, AddAssign, Mul, Neg, Sub, SubAssign};

/// All numbers from `low` to `high`. Sums and products enclose every sum and product of members, up to
/// the rounding of doubles.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Interval {
    /// Least member.
    pub low: f64,
    /// Greatest member.
    pub high: f64,
}

impl Interval {
    /// From `low` to `high`, which must not be less.
    #[must_use]
    pub const fn new(low: f64, high: f64) -> Self {
        Self { low, high }
    }

    /// A single number.
    #[must_use]
    pub const fn point(at: f64) -> Self {
        Self::new(at, at)
    }

    /// Every member times `by`.
    #[must_use]
    pub fn scale(self, by: f64) -> Self {
        let (a, b) = (self.low * by, self.high * by);
        if by < 0.0 { Self::new(b, a) } else { Self::new(a, b) }
    }

    /// The greatest modulus of a member.
    #[must_use]
    pub fn magnitude(self) -> f64 {
        self.low.abs().max(self.high.abs())
    }

    /// Reciprocals; `None` where 0 is a member, or so near that they overflow.
    #[must_use]
    pub fn recip(self) -> Option<Self> {
        let inverse = Self::new(1.0 / self.high, 1.0 / self.low);
        ((self.low > 0.0 || self.high < 0.0) && inverse.magnitude().is_finite()).then_some(inverse)
    }

    /// Squares.
    #[must_use]
    pub fn square(self) -> Self {
        let (a, b) = (self.low * self.low, self.high * self.high);
        let least = if self.low <= 0.0 && self.high >= 0.0 { 0.0 } else { a.min(b) };
        Self::new(least, a.max(b))
    }
}

impl Add for Interval {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.low + other.low, self.high + other.high)
    }
}

impl AddAssign for Interval {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sub for Interval {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.low - other.high, self.high - other.low)
    }
}

impl SubAssign for Interval {
    fn sub_assign(&mut self, other: Self) {
        *self = *self - other;
    }
}

impl Neg for Interval {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.high, -self.low)
    }
}

impl Mul for Interval {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        let (a, b) = (self.low * other.low, self.low * other.high);
        let (c, d) = (self.high * other.low, self.high * other.high);
        Self::new(a.min(b).min(c.min(d)), a.max(b).max(c.max(d)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By definition: the extremes over the ends, worked by hand.
    #[test]
    fn operations_enclose() {
        let (a, b) = (Interval::new(-1.0, 2.0), Interval::new(3.0, 4.0));
        assert_eq!(a + b, Interval::new(2.0, 6.0));
        assert_eq!(a - b, Interval::new(-5.0, -1.0));
        assert_eq!(a * b, Interval::new(-4.0, 8.0));
        assert_eq!(-a, Interval::new(-2.0, 1.0));
        assert_eq!(a.scale(-2.0), Interval::new(-4.0, 2.0));
        assert_eq!(a.square(), Interval::new(0.0, 4.0));
        assert_eq!(b.square(), Interval::new(9.0, 16.0));
        assert_eq!(b.recip(), Some(Interval::new(0.25, 1.0 / 3.0)));
        assert_eq!(a.recip(), None);
        assert_eq!(Interval::new(1e-310, 1.0).recip(), None);
    }
}
