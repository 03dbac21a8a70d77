/// A ratio of voltages in decibels: 20·log10(ratio). Zero gives −∞.
///
/// ```
/// assert_eq!(evenkeel::quantity::decibels(100_000.0), 100.0);
/// ```
pub fn decibels(ratio: f64) -> f64 {
    20.0 * libm::log10(ratio)
}

/// Decibels as a ratio of voltages: 10^(dB/20), exact where that is a whole power of ten.
///
/// ```
/// assert_eq!(evenkeel::quantity::from_decibels(100.0), 100_000.0);
/// ```
pub fn from_decibels(decibels: f64) -> f64 {
    let power = decibels / 20.0;
    if power == power.trunc() && power.abs() <= 400.0 {
        return super::number::tens(1, power as i32);
    }
    libm::pow(10.0, power)
}
