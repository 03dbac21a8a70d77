use super::fault::{self, FaultKind, QuantityFault};
use super::number::{self, Decimal};
use super::spelling::{self, Scale};
use super::{Unit, diagnose, from_decibels, marking};
use std::ops::Range;

/// Reads one quantity.
///
/// The whole text must be understood. Space around it and before the unit is free (no-break spaces
/// too). A resistance may be a bare number, a number with a prefix, or an IEC 60062 code; a
/// capacitance may be such a code. Zero and negative values are read: whether they make sense is for
/// the caller to say.
///
/// # Errors
/// [`QuantityFault`]: nothing written, no number, a unit that is missing, unknown or of something else,
/// a decimal comma, `meg`, text left over, a range, or a value beyond a double.
///
/// ```
/// use evenkeel::quantity::{Unit, parse};
/// assert_eq!(parse("4.7 kΩ", Unit::Ohm)?, 4700.0);
/// assert_eq!(parse("4k7", Unit::Ohm)?, 4700.0);
/// assert_eq!(parse("25 ppm/K", Unit::PerKelvin)?, 25e-6);
/// assert_eq!(parse("100 V/mV", Unit::Rejection)?, 1e5);
///
/// let fault = parse("3 spoons", Unit::Second).unwrap_err();
/// assert_eq!(fault.place(), 2..8);
/// assert_eq!(fault.help(), "write a time like `10 µs`");
/// # Ok::<(), evenkeel::quantity::QuantityFault>(())
/// ```
pub fn parse(text: &str, unit: Unit) -> Result<f64, QuantityFault> {
    not_too_long(text, unit)?;
    if super::range::separator(text).is_some() {
        let place = trimmed(text, 0..text.len());
        let kind = FaultKind::RangeNotDue { read: text[place.clone()].to_owned() };
        return Err(QuantityFault::new(text, place, kind, fault::example(unit)));
    }
    let operand = Operand::read(text, 0..text.len(), unit)?;
    let scale = operand.own_scale(text, unit)?;
    operand.value(text, scale)
}

/// The longest text that is read, bytes: a double has at most 767 digits that tell it from its neighbours.
const LONGEST: usize = 1000;

/// What is wrong with a very long text is not worth the search.
pub(super) fn not_too_long(text: &str, unit: Unit) -> Result<(), QuantityFault> {
    if text.len() <= LONGEST {
        return Ok(());
    }
    let kind = FaultKind::TooLong { length: text.len(), due: unit.name() };
    let rest = text.floor_char_boundary(LONGEST)..text.len();
    Err(QuantityFault::new(text, rest, kind, fault::example(unit)))
}

/// One number with the unit written beside it, if any.
pub(super) struct Operand {
    pub(super) number: Decimal,
    /// `None` for a bare number
    pub(super) scale: Option<Scale>,
    pub(super) place: Range<usize>,
    /// empty for a bare number and for a code
    pub(super) unit_place: Range<usize>,
}

impl Operand {
    pub(super) fn read(text: &str, place: Range<usize>, unit: Unit) -> Result<Operand, QuantityFault> {
        let place = trimmed(text, place);
        let written = &text[place.clone()];
        let end = place.end..place.end;
        if written.is_empty() {
            return Err(QuantityFault::new(text, end, FaultKind::Empty { due: unit.name() }, fault::example(unit)));
        }
        if let Some(number) = marking::decimal(written, unit) {
            return Ok(Operand { number, scale: Some(Scale::Tens(0)), place, unit_place: end });
        }
        let Some((number, length)) = number::lead(written) else {
            return Err(diagnose::no_number(text, place, unit));
        };
        let unit_place = trimmed(text, place.start + length..place.end);
        let scale = match &text[unit_place.clone()] {
            "" => None,
            suffix => match spelling::scale(suffix, unit) {
                Some(scale) => Some(scale),
                None => return Err(diagnose::unit_fault(text, place, length, unit)),
            },
        };
        Ok(Operand { number, scale, place, unit_place })
    }

    pub(super) fn is_code(&self) -> bool {
        self.scale.is_some() && self.unit_place.is_empty()
    }

    /// The scale written, or the one that a bare number has by itself.
    pub(super) fn own_scale(&self, text: &str, unit: Unit) -> Result<Scale, QuantityFault> {
        self.scale.or_else(|| spelling::bare(unit)).ok_or_else(|| self.unit_missing(text, unit))
    }

    pub(super) fn value(&self, text: &str, scale: Scale) -> Result<f64, QuantityFault> {
        scaled(&self.number, scale, text, &self.place)
    }

    fn unit_missing(&self, text: &str, unit: Unit) -> QuantityFault {
        let read = text[self.place.clone()].to_owned();
        let help = match unit {
            Unit::Rejection => diagnose::as_rejection(&read, self.number.value()),
            unit => format!("write `{read} {}`", unit.customary()),
        };
        QuantityFault::new(text, self.place.clone(), FaultKind::UnitMissing { read, due: unit.name() }, help)
    }
}

/// The double that a decimal in this scale names.
pub(super) fn scaled(number: &Decimal, scale: Scale, text: &str, place: &Range<usize>) -> Result<f64, QuantityFault> {
    let value = match scale {
        Scale::Tens(tens) => number.shifted(tens).value(),
        Scale::Decibels => from_decibels(number.value()),
    };
    let read = || text[place.clone()].to_owned();
    if value.is_infinite() {
        let help = "write a value below 1.8e308 in SI units".to_owned();
        return Err(QuantityFault::new(text, place.clone(), FaultKind::TooLarge { read: read() }, help));
    }
    if value == 0.0 && !number.is_zero() {
        let help = "write `0` if zero is meant".to_owned();
        return Err(QuantityFault::new(text, place.clone(), FaultKind::TooSmall { read: read() }, help));
    }
    Ok(value)
}

/// The place without the space around it; `char::is_whitespace` counts the no-break spaces in.
pub(super) fn trimmed(text: &str, place: Range<usize>) -> Range<usize> {
    let inner = &text[place.clone()];
    let start = place.start + (inner.len() - inner.trim_start().len());
    start..start + inner.trim().len()
}
