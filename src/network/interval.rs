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

    /// By definition too, for ends of every sign: the hull of what the ends, and 0 where it is a member, come to.
    #[test]
    fn operations_are_no_wider_than_their_members() {
        let ends = [-3.0, -1.0, 0.0, 0.5, 2.0];
        let each =
            |low: f64| ends.into_iter().filter(move |&high| low <= high).map(move |high| Interval::new(low, high));
        let all: Vec<Interval> = ends.into_iter().flat_map(each).collect();
        let members = |of: Interval| [of.low, of.high, if of.low < 0.0 && of.high > 0.0 { 0.0 } else { of.low }];
        let hull = |values: &mut dyn Iterator<Item = f64>| {
            let (low, high) = (f64::INFINITY, f64::NEG_INFINITY);
            values.fold(Interval::new(low, high), |hull, x| Interval::new(hull.low.min(x), hull.high.max(x)))
        };
        for &a in &all {
            let one = |of: fn(f64) -> f64| hull(&mut members(a).into_iter().map(of));
            assert_eq!((-a, a.square(), a.magnitude()), (one(|x| -x), one(|x| x * x), one(f64::abs).high));
            assert_eq!(a.recip(), (a.low * a.high > 0.0).then(|| one(|x| 1.0 / x)), "{a:?}");
            for &b in &all {
                let two = |of: fn(f64, f64) -> f64| {
                    hull(&mut members(a).into_iter().flat_map(|x| members(b).map(|y| of(x, y))))
                };
                assert_eq!((a + b, a - b, a * b), (two(|x, y| x + y), two(|x, y| x - y), two(|x, y| x * y)));
                let (mut more, mut less) = (a, a);
                more += b;
                less -= b;
                assert_eq!((more, less), (a + b, a - b));
                assert_eq!(a.scale(b.low), a * Interval::point(b.low));
            }
        }
    }
}
