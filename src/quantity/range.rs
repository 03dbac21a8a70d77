use super::Unit;
use super::fault::{FaultKind, QuantityFault};
use super::read::{self, Operand};
use super::spelling::{self, Scale};
use std::ops::Range;

/// Reads a range: `low .. high`, `centre ± half`, `± half` (`+-` and `+/-` too), or one value.
///
/// One unit may serve both ends: `-18 .. 18 mV`. The ends of `centre ± half` are formed in decimal, so
/// `2.5 V ± 50 mV` is `2.45 V .. 2.55 V` to the bit.
///
/// # Errors
/// As [`super::parse`] for each end; a low end above the high end; a negative half-width; a bare
/// resistance beside a prefix alone (`10 .. 100k`), which can be read two ways.
///
/// ```
/// use evenkeel::quantity::{Unit, parse_range};
/// assert_eq!(parse_range("-18 .. 18 mV", Unit::Volt)?, (-0.018, 0.018));
/// assert_eq!(parse_range("2.5 V ± 50 mV", Unit::Volt)?, (2.45, 2.55));
/// assert_eq!(parse_range("70 °C", Unit::Celsius)?, (70.0, 70.0));
/// assert!(parse_range("70 °C .. -20 °C", Unit::Celsius).is_err());
/// # Ok::<(), evenkeel::quantity::QuantityFault>(())
/// ```
pub fn parse_range(text: &str, unit: Unit) -> Result<(f64, f64), QuantityFault> {
    read::not_too_long(text, unit)?;
    let (low, high) = match separator(text) {
        None => {
            let value = super::parse(text, unit)?;
            return Ok((value, value));
        }
        Some((place, Separator::To)) => ends(text, place, unit)?,
        Some((place, Separator::PlusMinus)) => around(text, place, unit)?,
    };
    if low <= high {
        return Ok((low, high));
    }
    let place = read::trimmed(text, 0..text.len());
    let read = text[place.clone()].to_owned();
    let help = format!("write the lower end first: `{} .. {}`", super::exact(high, unit), super::exact(low, unit));
    Err(QuantityFault::new(text, place, FaultKind::Reversed { read }, help))
}

#[derive(Clone, Copy)]
pub(super) enum Separator {
    To,
    PlusMinus,
}

pub(super) fn separator(text: &str) -> Option<(Range<usize>, Separator)> {
    let find = |mark: &str| text.find(mark).map(|at| at..at + mark.len());
    if let Some(place) = find("..") {
        return Some((place, Separator::To));
    }
    let place = ["±", "+/-", "+/−", "+-", "+−"].into_iter().find_map(find)?;
    Some((place, Separator::PlusMinus))
}

fn ends(text: &str, place: Range<usize>, unit: Unit) -> Result<(f64, f64), QuantityFault> {
    let low = Operand::read(text, 0..place.start, unit)?;
    let high = Operand::read(text, place.end..text.len(), unit)?;
    let (low_scale, high_scale) = scales(text, &low, &high, unit)?;
    Ok((low.value(text, low_scale)?, high.value(text, high_scale)?))
}

fn around(text: &str, place: Range<usize>, unit: Unit) -> Result<(f64, f64), QuantityFault> {
    let half = Operand::read(text, place.end..text.len(), unit)?;
    if half.number.is_negative() {
        let read = text[half.place.clone()].to_owned();
        let help = "write the half-width without a sign".to_owned();
        return Err(QuantityFault::new(text, half.place, FaultKind::NegativeHalf { read }, help));
    }
    if text[..place.start].trim().is_empty() {
        let scale = half.own_scale(text, unit)?;
        let high = half.value(text, scale)?;
        let low = read::scaled(&half.number.negated(), scale, text, &half.place)?;
        return Ok((low, high));
    }
    let centre = Operand::read(text, 0..place.start, unit)?;
    let whole = centre.place.start..half.place.end;
    let (number, width, scale) = match scales(text, &centre, &half, unit)? {
        (Scale::Tens(a), Scale::Tens(b)) => (centre.number.shifted(a), half.number.shifted(b), Scale::Tens(0)),
        (Scale::Decibels, Scale::Decibels) => (centre.number.clone(), half.number.clone(), Scale::Decibels),
        _ => {
            let read = text[whole.clone()].to_owned();
            let help = "write both in dB, or the two ends as `low .. high`".to_owned();
            return Err(QuantityFault::new(text, whole, FaultKind::MixedScales { read }, help));
        }
    };
    let end = |width| match number.plus(&width) {
        Some(sum) => read::scaled(&sum, scale, text, &whole),
        // ends this far apart have no short decimal; the nearest double of the sum must do
        None => {
            let sum = number.value() + width.value();
            let sum = if scale == Scale::Decibels { super::from_decibels(sum) } else { sum };
            if sum.is_finite() {
                return Ok(sum);
            }
            let read = text[whole.clone()].to_owned();
            let help = "write a value below 1.8e308 in SI units".to_owned();
            Err(QuantityFault::new(text, whole.clone(), FaultKind::TooLarge { read }, help))
        }
    };
    Ok((end(width.negated())?, end(width.clone())?))
}

/// The scales of both ends, where one unit may serve both.
fn scales(text: &str, one: &Operand, other: &Operand, unit: Unit) -> Result<(Scale, Scale), QuantityFault> {
    match (one.scale, other.scale) {
        (None, Some(scale)) => Ok((shared(text, one, other, scale, unit)?, scale)),
        (Some(scale), None) => Ok((scale, shared(text, other, one, scale, unit)?)),
        _ => Ok((one.own_scale(text, unit)?, other.own_scale(text, unit)?)),
    }
}

fn shared(text: &str, bare: &Operand, written: &Operand, scale: Scale, unit: Unit) -> Result<Scale, QuantityFault> {
    let Some(alone) = spelling::bare(unit) else {
        return Ok(scale);
    };
    if written.is_code() {
        return if unit == Unit::Ohm { Ok(alone) } else { bare.own_scale(text, unit) };
    }
    let suffix = &text[written.unit_place.clone()];
    if bare.number.is_zero() || scale == alone || spelling::spells_ohm(suffix) {
        return Ok(scale);
    }
    let read = text[bare.place.clone()].to_owned();
    let help = format!("write `{read}{suffix}` or `{read} Ω`");
    let place = bare.place.clone();
    Err(QuantityFault::new(text, place, FaultKind::UnclearUnit { read }, help))
}
