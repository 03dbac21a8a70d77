use super::number::Decimal;
use super::spelling::ladder;
use super::{Unit, decibels};

/// The shortest digits that read back to the same bits, with an SI prefix and the unit.
///
/// `parse(&exact(x, unit), unit)` is `x` for every finite `x` (−0 becomes 0). An infinity is
/// `unbounded` and NaN is `undefined`; those don't read back.
///
/// ```
/// use evenkeel::quantity::{Unit, exact};
/// assert_eq!(exact(24_900.0, Unit::Ohm), "24.9 kΩ");
/// assert_eq!(exact(0.001, Unit::Fraction), "0.1 %");
/// assert_eq!(exact(25e-6, Unit::PerKelvin), "25 ppm/K");
/// assert_eq!(exact(1e5, Unit::Rejection), "100000:1");
/// ```
pub fn exact(value: f64, unit: Unit) -> String {
    match Decimal::shortest(value) {
        Some(number) => with_unit(&number, unit),
        None => beyond(value),
    }
}

/// Rounded for reading: so many significant digits, trailing zeros dropped, an SI prefix and the unit.
///
/// Decibels ([`Unit::Decibel`], and [`Unit::Rejection`], which is shown in dB) keep `digits` − 2 decimals
/// whatever their size. Never prints a negative zero; infinities are `unbounded`, NaN is `undefined`.
///
/// ```
/// use evenkeel::quantity::{Unit, rounded};
/// assert_eq!(rounded(24_899.97, Unit::Ohm, 4), "24.9 kΩ");
/// assert_eq!(rounded(-0.001234, Unit::Fraction, 4), "-0.1234 %");
/// assert_eq!(rounded(92.3067, Unit::Decibel, 4), "92.31 dB");
/// ```
pub fn rounded(value: f64, unit: Unit, digits: usize) -> String {
    let value = if unit == Unit::Rejection { decibels(value) } else { value };
    if matches!(unit, Unit::Rejection | Unit::Decibel) && value.is_finite() {
        let text = format!("{value:.*}", digits.saturating_sub(2));
        let text = match text.strip_prefix('-') {
            Some(zero) if !zero.contains(|c: char| ('1'..='9').contains(&c)) => zero,
            _ => &text,
        };
        return format!("{text} dB");
    }
    match Decimal::significant(value, digits) {
        Some(number) => with_unit(&number, unit),
        None => beyond(value),
    }
}

fn beyond(value: f64) -> String {
    if value.is_nan() { "undefined" } else { "unbounded" }.to_owned()
}

fn with_unit(number: &Decimal, unit: Unit) -> String {
    let rungs = ladder(unit);
    let order = if number.is_zero() { i64::from(zero_rung(unit)) } else { number.order() };
    let fitting = rungs.iter().find(|(_, tens)| order >= i64::from(tens + reach_below(unit, *tens))).or(rungs.last());
    // far outside all prefixes an exponent is due anyway, and then the bare unit reads best
    let base = rungs.iter().find(|(_, tens)| *tens == 0);
    let rung = match fitting {
        Some((_, tens)) if !number.shifted(-tens).is_positional() => base.or(fitting),
        fitting => fitting,
    };
    let (text, tens) = rung.map_or(("", 0), |(text, tens)| (text.as_str(), *tens));
    let space = if matches!(unit, Unit::Rejection | Unit::Degree | Unit::Plain) { "" } else { " " };
    format!("{}{space}{text}", number.shifted(-tens).text())
}

/// How many places below one a mantissa may go before the next smaller unit is taken.
fn reach_below(unit: Unit, tens: i32) -> i32 {
    match (unit, tens) {
        (Unit::Fraction, -2) => -2,     // 0.01 % is still in per cent
        (Unit::VoltPerSecond, 6) => -3, // slew rates are in V/µs
        (Unit::Kelvin, 0) => -2,
        _ => 0,
    }
}

fn zero_rung(unit: Unit) -> i32 {
    match unit {
        Unit::Fraction => -2,
        Unit::PerKelvin => -6,
        Unit::VoltPerSecond => 6,
        _ => 0,
    }
}
