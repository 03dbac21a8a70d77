/// What a double of this scale can't tell from zero.
const ROUNDING: f64 = 1e-12;

/// A value, or zero where it is only what the rounding of a computation left: at most a trillionth of `scale`.
///
/// `scale` is the size of what was added and subtracted on the way, in the same unit; its sign does not count.
///
/// ```
/// use evenkeel::quantity::or_zero;
/// assert_eq!(or_zero(3.782e-16, 0.02397), 0.0);
/// assert_eq!(or_zero(-1e-9, 0.02397), -1e-9);
/// ```
#[must_use]
pub fn or_zero(value: f64, scale: f64) -> f64 {
    if value.abs() <= ROUNDING * scale.abs() { 0.0 } else { value }
}
