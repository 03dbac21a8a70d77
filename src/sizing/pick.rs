/// How a value is put together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs, reason = "the words of the contract")]
pub enum PickKind {
    Single,
    Series,
    Parallel,
    Open,
}

impl PickKind {
    /// The word in reports and JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Single => "single",
            Self::Series => "series",
            Self::Parallel => "parallel",
            Self::Open => "open",
        }
    }
}

/// A resistance put together from no, one or two parts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pick {
    kind: PickKind,
    parts_ohm: [f64; 2],
    ohm: f64,
}

impl Pick {
    /// Left out.
    pub const OPEN: Self = Self { kind: PickKind::Open, parts_ohm: [0.0; 2], ohm: f64::INFINITY };

    /// One part, Ω.
    #[must_use]
    pub const fn single(ohm: f64) -> Self {
        Self { kind: PickKind::Single, parts_ohm: [ohm, 0.0], ohm }
    }

    /// Two parts in a row, Ω.
    #[must_use]
    pub fn series(one: f64, other: f64) -> Self {
        // decimals in, decimals out: 0.1 + 0.2 is 0.3
        let ohm = ((one + other) * 1e9).round() / 1e9;
        Self { kind: PickKind::Series, parts_ohm: [one.min(other), one.max(other)], ohm }
    }

    /// Two parts side by side, Ω.
    #[must_use]
    pub fn parallel(one: f64, other: f64) -> Self {
        let ohm = one * other / (one + other);
        Self { kind: PickKind::Parallel, parts_ohm: [one.min(other), one.max(other)], ohm }
    }

    /// Single, series, parallel or open.
    #[must_use]
    pub const fn kind(self) -> PickKind {
        self.kind
    }

    /// The resistance, Ω; `None` when open.
    #[must_use]
    pub fn ohm(self) -> Option<f64> {
        (self.kind != PickKind::Open).then_some(self.ohm)
    }

    /// The parts, Ω, the smaller first.
    #[must_use]
    pub fn parts_ohm(&self) -> &[f64] {
        match self.kind {
            PickKind::Open => &[],
            PickKind::Single => &self.parts_ohm[..1],
            PickKind::Series | PickKind::Parallel => &self.parts_ohm,
        }
    }
}
