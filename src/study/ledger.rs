//! The arithmetic of an error budget, figures.md section 12: numbers in, lines and totals out.

/// What goes into a budget, all referred to the input. `None`: no such line.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Ledger {
    /// Differential span, V, above 0.
    pub full_scale_v: f64,
    /// One step of the converter at the input, V.
    pub lsb_v: Option<f64>,
    /// Greatest relative gain error at the calibration temperature.
    pub gain_error: Option<f64>,
    /// Greatest relative gain error over temperature.
    pub gain_error_over_temperature: Option<f64>,
    /// Offset-voltage causes, V.
    pub offset_v: Option<f64>,
    /// Bias- and offset-current causes, `I_b·imbalance` included, V.
    pub bias_current: Option<Remaining>,
    /// Thermal EMFs, V.
    pub thermal_emf_v: Option<f64>,
    /// Drift of the offset voltages, V/K.
    pub offset_drift_v_per_k: Option<f64>,
    /// Greatest distance from the calibration temperature, K.
    pub reach_k: f64,
    /// Static common mode.
    pub common_mode: Option<StaticCommonMode>,
    /// Common-mode pick-up.
    pub interference: Option<Carried>,
    /// Ripple of the supply.
    pub ripple: Option<Carried>,
    /// Departure from a straight line, a fraction of full scale.
    pub nonlinearity: Option<f64>,
    /// Noise, peak to peak, V.
    pub noise_peak_to_peak_v: Option<f64>,
}

/// An error that calibration takes away in part, V.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Remaining {
    /// Before.
    pub before_v: f64,
    /// After.
    pub after_v: f64,
}

/// A common mode that stands still while it is calibrated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StaticCommonMode {
    /// Greatest `|v_cm - v_ref|`, V.
    pub distance_v: f64,
    /// Highest less lowest common mode, V.
    pub width_v: f64,
    /// Worst rejection, V/V; infinite where unbounded.
    pub rejection: f64,
}

/// A disturbance and what of it counts at the input.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Carried {
    /// Peak amplitude, V.
    pub amplitude_v: f64,
    /// Volts RTI per volt.
    pub rti_per_volt: f64,
}

/// An error budget, figures.md section 12.
#[derive(Clone, Debug, PartialEq)]
pub struct BudgetFigure {
    /// Differential span, V.
    pub full_scale_v: f64,
    /// One step of the converter at the input, V.
    pub lsb_v: Option<f64>,
    /// The lines there are inputs for.
    pub lines: Vec<BudgetLine>,
    /// Sum before calibration.
    pub sum_ppm: f64,
    /// Root sum of squares before calibration.
    pub rss_ppm: f64,
    /// Sum after calibration.
    pub sum_after_calibration_ppm: f64,
    /// Root sum of squares after calibration.
    pub rss_after_calibration_ppm: f64,
}

/// One line of a budget; parts per million of full scale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BudgetLine {
    /// What it comes from.
    pub cause: &'static str,
    /// Before calibration.
    pub ppm: f64,
    /// After a two-point calibration.
    pub ppm_after_calibration: f64,
    /// Before, in steps of the converter.
    pub lsb: Option<f64>,
    /// After, in steps of the converter.
    pub lsb_after_calibration: Option<f64>,
}

impl Ledger {
    /// The budget.
    ///
    /// ```
    /// use evenkeel::study::Ledger;
    /// let ledger = Ledger { full_scale_v: 0.1, offset_v: Some(55e-6), nonlinearity: Some(40e-6), ..Ledger::default() };
    /// let budget = ledger.budget();
    /// assert!((budget.sum_ppm - 590.0).abs() < 1e-9);
    /// assert!((budget.sum_after_calibration_ppm - 40.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn budget(&self) -> BudgetFigure {
        let lines: Vec<BudgetLine> =
            self.shares().into_iter().map(|(cause, before, after)| self.line(cause, before, after)).collect();
        let before = totals(lines.iter().map(|line| line.ppm));
        let after = totals(lines.iter().map(|line| line.ppm_after_calibration));
        BudgetFigure {
            full_scale_v: self.full_scale_v,
            lsb_v: self.lsb_v,
            lines,
            sum_ppm: before.0,
            rss_ppm: before.1,
            sum_after_calibration_ppm: after.0,
            rss_after_calibration_ppm: after.1,
        }
    }

    fn line(&self, cause: &'static str, before: f64, after: f64) -> BudgetLine {
        let steps = |share: f64| self.lsb_v.map(|lsb| share * self.full_scale_v / lsb);
        BudgetLine {
            cause,
            ppm: before * 1e6,
            ppm_after_calibration: after * 1e6,
            lsb: steps(before),
            lsb_after_calibration: steps(after),
        }
    }

    /// Fractions of full scale before and after calibration.
    fn shares(&self) -> Vec<(&'static str, f64, f64)> {
        let scale = self.full_scale_v;
        let steady = |volt: f64| (volt / scale, volt / scale);
        let drift = self.gain_error_over_temperature.zip(self.gain_error).map(|(with, without)| with - without);
        let common =
            |one: StaticCommonMode| (one.distance_v / one.rejection / scale, one.width_v / one.rejection / scale);
        let carried = |one: Carried| steady(one.amplitude_v * one.rti_per_volt);
        [
            ("gain", self.gain_error.map(|error| (error, 0.0))),
            ("gain drift", drift.map(|change| (change, change))),
            ("offset", self.offset_v.map(|volt| (volt / scale, 0.0))),
            ("bias current", self.bias_current.map(|one| (one.before_v / scale, one.after_v / scale))),
            ("offset drift", self.offset_drift_v_per_k.map(|drift| steady(drift * self.reach_k))),
            ("thermal EMF", self.thermal_emf_v.map(steady)),
            ("common mode", self.common_mode.map(common)),
            ("interference", self.interference.map(carried)),
            ("ripple", self.ripple.map(carried)),
            ("nonlinearity", self.nonlinearity.map(|share| (share, share))),
            ("noise", self.noise_peak_to_peak_v.map(steady)),
        ]
        .into_iter()
        .filter_map(|(cause, pair)| pair.map(|(before, after)| (cause, before, after)))
        .collect()
    }
}

/// Sum and root sum of squares of the magnitudes.
pub fn totals(lines: impl Iterator<Item = f64>) -> (f64, f64) {
    let (sum, squares) = lines.fold((0.0, 0.0), |(sum, squares), x| (sum + x.abs(), squares + x * x));
    (sum, squares.sqrt())
}
