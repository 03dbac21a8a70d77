/// One end of what is allowed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Edge {
    /// No bound but finiteness.
    None,
    /// The bound itself is allowed.
    Closed(f64),
    /// The bound itself is not allowed.
    Open(f64),
}

/// What is allowed, SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Lower end.
    pub least: Edge,
    /// Upper end.
    pub greatest: Edge,
}

impl Bounds {
    /// Any finite value.
    pub const ANY: Self = Self { least: Edge::None, greatest: Edge::None };
    /// Above zero.
    pub const POSITIVE: Self = Self { least: Edge::Open(0.0), greatest: Edge::None };
    /// Zero or above.
    pub const FROM_ZERO: Self = Self { least: Edge::Closed(0.0), greatest: Edge::None };
    /// A tolerance: from zero to below one.
    pub const SHARE: Self = Self { least: Edge::Closed(0.0), greatest: Edge::Open(1.0) };
    /// A rejection or an open-loop gain: above one.
    pub const ABOVE_ONE: Self = Self { least: Edge::Open(1.0), greatest: Edge::None };
    /// Temperatures above the absolute zero, °C.
    pub const CELSIUS: Self = Self { least: Edge::Open(-273.15), greatest: Edge::Closed(1000.0) };

    /// Both ends allowed.
    #[must_use]
    pub const fn closed(least: f64, greatest: f64) -> Self {
        Self { least: Edge::Closed(least), greatest: Edge::Closed(greatest) }
    }

    /// Above the lower end, up to the upper one.
    #[must_use]
    pub const fn above_to(least: f64, greatest: f64) -> Self {
        Self { least: Edge::Open(least), greatest: Edge::Closed(greatest) }
    }

    /// True where the value is allowed; NaN and infinities never are.
    #[must_use]
    pub fn allow(&self, value: f64) -> bool {
        let low = match self.least {
            Edge::None => true,
            Edge::Closed(least) => value >= least,
            Edge::Open(least) => value > least,
        };
        let high = match self.greatest {
            Edge::None => true,
            Edge::Closed(greatest) => value <= greatest,
            Edge::Open(greatest) => value < greatest,
        };
        low && high && value.is_finite()
    }

    /// In words, as `at least 0 Ω and below 1 MΩ`; the values as `show` prints them.
    #[must_use]
    pub fn words(&self, show: impl Fn(f64) -> String) -> String {
        let low = match self.least {
            Edge::None => None,
            Edge::Closed(v) => Some(format!("at least {}", show(v))),
            Edge::Open(v) => Some(format!("above {}", show(v))),
        };
        let high = match self.greatest {
            Edge::None => None,
            Edge::Closed(v) => Some(format!("at most {}", show(v))),
            Edge::Open(v) => Some(format!("below {}", show(v))),
        };
        match (low, high) {
            (Some(low), Some(high)) => format!("{low} and {high}"),
            (Some(one), None) | (None, Some(one)) => one,
            (None, None) => "finite".to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_and_non_numbers() {
        assert!(Bounds::SHARE.allow(0.0) && !Bounds::SHARE.allow(1.0) && !Bounds::SHARE.allow(-1e-9));
        assert!(!Bounds::POSITIVE.allow(0.0) && Bounds::POSITIVE.allow(1e-300));
        assert!(!Bounds::ANY.allow(f64::NAN) && !Bounds::ANY.allow(f64::INFINITY));
        assert_eq!(Bounds::SHARE.words(|v| format!("{v}")), "at least 0 and below 1");
    }
}
