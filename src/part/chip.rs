/// A property listed at a gain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AtGain {
    /// The gain it holds at, V/V.
    pub gain: f64,
    /// The value there: a fraction, a ratio in V/V, or hertz.
    pub value: f64,
}

/// An amplifier whose gain one outside resistor sets: `G = base_gain + gain_constant / RG`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Chip {
    /// K of the gain law, Ω.
    pub gain_constant_ohm: f64,
    /// Gain with RG left out, V/V.
    pub base_gain: f64,
    /// Greatest relative gain error, by gain, ascending.
    pub gain_error: Vec<AtGain>,
    /// Least rejection in V/V, by gain, ascending.
    pub rejection: Vec<AtGain>,
    /// Bandwidth in Hz, by gain, ascending.
    pub bandwidth: Vec<AtGain>,
    /// Greatest relative change of gain per kelvin.
    pub gain_drift_per_k: Option<f64>,
    /// Greatest departure from a straight line, fraction of full scale.
    pub nonlinearity: Option<f64>,
    /// Offset of the input stage, V.
    pub offset_in_v: Option<f64>,
    /// Offset of the output stage, V; divided by the gain when referred to the input.
    pub offset_out_v: Option<f64>,
    /// Drift of the input stage's offset, V/K.
    pub offset_in_drift_v_per_k: Option<f64>,
    /// Drift of the output stage's offset, V/K.
    pub offset_out_drift_v_per_k: Option<f64>,
    /// White noise of the input stage, V/√Hz.
    pub noise_in_v_per_rthz: Option<f64>,
    /// White noise of the output stage, V/√Hz.
    pub noise_out_v_per_rthz: Option<f64>,
    /// 1/f corner of the input stage's noise, Hz.
    pub noise_in_corner_hz: Option<f64>,
    /// 1/f corner of the output stage's noise, Hz.
    pub noise_out_corner_hz: Option<f64>,
    /// Frequency above which the rejection falls in proportion, Hz.
    pub rejection_corner_hz: Option<f64>,
    /// Gain of the first stage, V/V, where it is known; else the whole gain counts as made there.
    pub stage_one_gain: Option<f64>,
}
