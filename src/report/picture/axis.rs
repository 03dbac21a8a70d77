//! Scales: from a value to a place on the paper, and the values that are marked.

/// A scale from `low` to `high` between two places.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Axis {
    pub(super) low: f64,
    pub(super) high: f64,
    pub(super) from: f64,
    pub(super) to: f64,
}

impl Axis {
    /// The place of a value; what lies beyond an end is set on it.
    pub(super) fn place(&self, value: f64) -> f64 {
        let share = ((value - self.low) / (self.high - self.low)).clamp(0.0, 1.0);
        self.from + share * (self.to - self.from)
    }

    /// The step that marks at most so many values: 1, 2 or 5 times a power of ten.
    pub(super) fn step(&self, most: usize) -> f64 {
        let width = self.high - self.low;
        #[allow(clippy::cast_precision_loss, reason = "a handful of marks")]
        let rough = width / most.max(1) as f64;
        let ten = libm::pow(10.0, libm::log10(rough).floor());
        [1.0, 2.0, 5.0, 10.0].into_iter().map(|by| by * ten).find(|step| *step >= rough * (1.0 - 1e-9)).unwrap_or(ten)
    }

    /// The multiples of a step between the ends.
    pub(super) fn multiples(&self, step: f64) -> Vec<f64> {
        let slack = 1e-9 * step;
        let first = ((self.low - slack) / step).ceil();
        (0..1000).map(|at| (first + f64::from(at)) * step).take_while(|value| *value <= self.high + slack).collect()
    }

    /// The same scale with its ends moved outwards onto multiples of a step.
    pub(super) fn rounded_out(self, step: f64) -> Self {
        Self { low: (self.low / step).floor() * step, high: (self.high / step).ceil() * step, ..self }
    }
}

/// An SI prefix that brings the greatest of some values between 1 and 1000: its factor and sign.
pub(super) fn prefix(greatest: f64) -> (f64, &'static str) {
    let known = [(1e9, "G"), (1e6, "M"), (1e3, "k"), (1.0, ""), (1e-3, "m"), (1e-6, "µ"), (1e-9, "n"), (1e-12, "p")];
    known.into_iter().find(|(factor, _)| greatest >= *factor).unwrap_or((1.0, ""))
}

/// A marked value in digits as fine as the step needs.
pub(super) fn digits(value: f64, step: f64) -> String {
    let places = (0..=9_usize).find(|&places| {
        let scaled = step * libm::pow(10.0, f64::from(u8::try_from(places).unwrap_or(9)));
        (scaled - scaled.round()).abs() < 1e-6 * scaled && scaled >= 0.5
    });
    let text = format!("{value:.*}", places.unwrap_or(9));
    if text.trim_start_matches(['-', '0', '.']).is_empty() { text.trim_start_matches('-').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_round_numbers() {
        let axis = Axis { low: -0.37, high: 2.2, from: 0.0, to: 100.0 };
        assert_eq!(axis.step(6), 0.5);
        assert_eq!(axis.multiples(0.5), [0.0, 0.5, 1.0, 1.5, 2.0]);
        let out = axis.rounded_out(0.5);
        assert_eq!((out.low, out.high), (-0.5, 2.5));
        assert_eq!((digits(0.5, 0.5), digits(2.0, 0.5), digits(-0.0, 1.0)), ("0.5".into(), "2.0".into(), "0".into()));
        assert_eq!(digits(150.0, 50.0), "150");
    }

    #[test]
    fn a_value_beyond_the_end_is_set_on_it() {
        let axis = Axis { low: 0.0, high: 10.0, from: 100.0, to: 0.0 };
        assert_eq!((axis.place(5.0), axis.place(20.0), axis.place(-1.0)), (50.0, 0.0, 100.0));
    }
}
