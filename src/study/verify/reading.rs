/// The inputs of one reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Inputs {
    /// Each wire by itself, V.
    Wires {
        /// Positive input.
        positive_v: f64,
        /// Negative input.
        negative_v: f64,
    },
    /// Difference and common mode, V.
    Modes {
        /// `v_p - v_n`.
        differential_v: f64,
        /// `(v_p + v_n)/2`, where it was read.
        common_mode_v: Option<f64>,
    },
}

/// Standard uncertainties of one reading, V; 0 where none is stated.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ReadingErrors {
    /// Of the positive input, or of the difference.
    pub first_v: f64,
    /// Of the negative input, or of the common mode.
    pub second_v: f64,
    /// Of the output.
    pub output_v: f64,
}

/// One line of bench readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// What was applied.
    pub inputs: Inputs,
    /// What came out, V.
    pub output_v: f64,
    /// Errors that differ from one reading to the next.
    pub own: ReadingErrors,
    /// Errors that all readings of an instrument share: its scale and its zero.
    pub shared: ReadingErrors,
}

impl Reading {
    /// `v_p - v_n`, V.
    #[must_use]
    pub const fn differential_v(&self) -> f64 {
        match self.inputs {
            Inputs::Wires { positive_v, negative_v } => positive_v - negative_v,
            Inputs::Modes { differential_v, .. } => differential_v,
        }
    }

    /// `(v_p + v_n)/2`, V, where it is known.
    #[must_use]
    pub const fn common_mode_v(&self) -> Option<f64> {
        match self.inputs {
            Inputs::Wires { positive_v, negative_v } => Some((positive_v + negative_v) / 2.0),
            Inputs::Modes { common_mode_v, .. } => common_mode_v,
        }
    }

    /// What errors of the three columns do to the output, V each, for gains `(A_d, A_cm)`.
    #[must_use]
    pub fn at_output(&self, errors: &ReadingErrors, (differential, common): (f64, f64)) -> [f64; 3] {
        let (first, second) = match self.inputs {
            Inputs::Wires { .. } => (differential + common / 2.0, common / 2.0 - differential),
            Inputs::Modes { .. } => (differential, common),
        };
        [errors.output_v, first * errors.first_v, second * errors.second_v]
    }
}
