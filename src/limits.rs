//! Wanted bounds, margin, verdict.

/// On which side of its bound a figure has to lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sense {
    /// The bound is the least value allowed.
    AtLeast,
    /// The bound is the greatest value allowed.
    AtMost,
}

/// A figure held against its bound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Verdict {
    /// By how much it is met, in the figure's unit; negative where missed, `None` where unbounded.
    pub margin: Option<f64>,
    /// Whether it is met; equality meets.
    pub met: bool,
}

/// Holds a figure against its bound; `None` is an unbounded figure, which is on the good side of a
/// least value and on the bad side of a greatest one. Not-a-number meets nothing.
///
/// ```
/// use evenkeel::limits::{Sense, hold};
/// assert!(hold(90.0, Some(93.5), Sense::AtLeast).met);
/// assert_eq!(hold(90.0, Some(84.0), Sense::AtLeast).margin, Some(-6.0));
/// assert!(hold(90.0, None, Sense::AtLeast).met);
/// ```
#[must_use]
pub fn hold(required: f64, predicted: Option<f64>, sense: Sense) -> Verdict {
    let margin = predicted.map(|value| match sense {
        Sense::AtLeast => value - required,
        Sense::AtMost => required - value,
    });
    Verdict { margin, met: margin.map_or(sense == Sense::AtLeast, |margin| margin >= 0.0) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bound_itself_is_met_and_what_is_no_number_is_not() {
        assert!(hold(0.006, Some(0.006), Sense::AtMost).met);
        assert!(!hold(0.006, Some(0.0061), Sense::AtMost).met);
        assert!(!hold(90.0, Some(f64::NAN), Sense::AtLeast).met);
        assert!(!hold(1.0, None, Sense::AtMost).met);
    }
}
