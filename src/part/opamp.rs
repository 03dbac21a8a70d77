/// Distance of a limit from each supply rail, in volts; negative values reach beyond the rail.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Rails {
    /// Above the negative supply.
    pub from_negative_v: f64,
    /// Below the positive supply.
    pub from_positive_v: f64,
}

/// What an op amp's data sheet states. `None` was not given and counts as ideal.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OpAmp {
    /// What it is called, where it came from a part file with a title.
    pub title: Option<String>,
    /// Least dc open-loop gain, V/V.
    pub open_loop_gain: Option<f64>,
    /// Gain-bandwidth product, Hz.
    pub gain_bandwidth_hz: Option<f64>,
    /// Relative uncertainty of the gain-bandwidth product.
    pub gain_bandwidth_tolerance: f64,
    /// Slew rate, V/s.
    pub slew_rate_v_per_s: Option<f64>,
    /// Least common-mode rejection, V/V.
    pub rejection: Option<f64>,
    /// Frequency above which the rejection falls in proportion, Hz.
    pub rejection_corner_hz: Option<f64>,
    /// Least supply rejection, V/V.
    pub supply_rejection: Option<f64>,
    /// Corner of the supply rejection, Hz.
    pub supply_rejection_corner_hz: Option<f64>,
    /// Greatest offset voltage, V.
    pub offset_v: Option<f64>,
    /// Greatest offset drift, V/K.
    pub offset_drift_v_per_k: Option<f64>,
    /// Greatest bias current, A.
    pub bias_current_a: Option<f64>,
    /// Greatest difference of the two bias currents, A.
    pub offset_current_a: Option<f64>,
    /// Temperature rise that doubles the bias current, K (FET inputs; about 10 K).
    pub bias_current_doubling_k: Option<f64>,
    /// White voltage noise, V/√Hz.
    pub voltage_noise_v_per_rthz: Option<f64>,
    /// Corner of the 1/f voltage noise, Hz.
    pub voltage_noise_corner_hz: Option<f64>,
    /// White current noise of each input, A/√Hz.
    pub current_noise_a_per_rthz: Option<f64>,
    /// Corner of the 1/f current noise, Hz.
    pub current_noise_corner_hz: Option<f64>,
    /// How near the output comes to the rails.
    pub output_swing: Option<Rails>,
    /// How near the inputs may come to the rails.
    pub input_range: Option<Rails>,
    /// Resistance of each input to ground, Ω.
    pub input_resistance_ohm: Option<f64>,
    /// Capacitance of each input to ground, F.
    pub input_capacitance_f: Option<f64>,
    /// Price of one amplifier.
    pub price: Option<f64>,
}
