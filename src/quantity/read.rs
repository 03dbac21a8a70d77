use super::fault::{self, FaultKind, QuantityFault};
use super::number::{self, Decimal};
use super::spelling::{self, Scale};
use super::{Unit, exact, from_decibels, marking};
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
    if super::range::separator(text).is_some() {
        let place = trimmed(text, 0..text.len());
        let kind = FaultKind::RangeNotDue { read: text[place.clone()].to_owned() };
        return Err(QuantityFault::new(text, place, kind, fault::example(unit)));
    }
    let operand = Operand::read(text, 0..text.len(), unit)?;
    let scale = operand.own_scale(text, unit)?;
    operand.value(text, scale)
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
            return Err(no_number(text, place, unit));
        };
        let unit_place = trimmed(text, place.start + length..place.end);
        let scale = match &text[unit_place.clone()] {
            "" => None,
            suffix => match spelling::scale(suffix, unit) {
                Some(scale) => Some(scale),
                None => return Err(unit_fault(text, place, length, unit)),
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
            Unit::Rejection => as_rejection(&read, self.number.value()),
            unit => format!("write `{read}{}{}`", if unit == Unit::Degree { "" } else { " " }, unit.customary()),
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
    let read = text[place.clone()].to_owned();
    if value.is_infinite() {
        let help = "write a value below 1.8e308 in SI units".to_owned();
        return Err(QuantityFault::new(text, place.clone(), FaultKind::TooLarge { read }, help));
    }
    if value == 0.0 && !number.is_zero() {
        let help = "write `0` if zero is meant".to_owned();
        return Err(QuantityFault::new(text, place.clone(), FaultKind::TooSmall { read }, help));
    }
    Ok(value)
}

/// The place without the space around it; `char::is_whitespace` counts the no-break spaces in.
pub(super) fn trimmed(text: &str, place: Range<usize>) -> Range<usize> {
    let inner = &text[place.clone()];
    let start = place.start + (inner.len() - inner.trim_start().len());
    start..start + inner.trim().len()
}

fn no_number(text: &str, place: Range<usize>, unit: Unit) -> QuantityFault {
    let written = &text[place.clone()];
    let word = written.split_whitespace().next().unwrap_or(written);
    let place = place.start..place.start + word.len();
    let read = word.to_owned();
    let unsigned = word.trim_start_matches(['+', '-', '−']).to_lowercase();
    let kind = if unsigned.starts_with("nan") || unsigned.starts_with("inf") || unsigned.starts_with('∞') {
        FaultKind::NotFinite { read }
    } else {
        FaultKind::NoNumber { read, due: unit.name() }
    };
    QuantityFault::new(text, place, kind, fault::example(unit))
}

/// Why what stands behind the number is not a unit of what is due.
fn unit_fault(text: &str, place: Range<usize>, length: usize, unit: Unit) -> QuantityFault {
    let figures = &text[place.start..place.start + length];
    let after = place.start + length;
    let at = trimmed(text, after..place.end);
    let suffix = &text[at.clone()];
    let read = suffix.to_owned();
    let due = unit.name();
    let told = |place: Range<usize>, kind, help| QuantityFault::new(text, place, kind, help);

    if at.start == after {
        let fraction = suffix.strip_prefix(',').map(|rest| number::digits_at(rest, 0));
        if let Some(fraction) = fraction.filter(|fraction| !fraction.is_empty()) {
            let kind = FaultKind::DecimalComma { read: format!("{figures},{fraction}") };
            return told(after..after + 1, kind, format!("write a decimal point: `{figures}.{fraction}`"));
        }
        if suffix.starts_with('.') {
            let kind = FaultKind::SecondPoint { read: text[place].to_owned() };
            return told(after..after + 1, kind, "write one decimal point".to_owned());
        }
    }
    if suffix.to_lowercase().starts_with("meg") {
        let right = if unit == Unit::Ohm { "MΩ".to_owned() } else { format!("M{}", unit.customary()) };
        return told(at, FaultKind::Meg { read }, format!("mega is `M`: write `{figures} {right}`"));
    }
    if let Some((right, _)) =
        spelling::ladder(unit).iter().find(|(rung, _)| rung.to_lowercase() == suffix.to_lowercase())
    {
        return told(at, FaultKind::LetterCase { read }, format!("write `{figures} {right}`"));
    }
    if matches!(suffix, "e" | "E") {
        let kind = FaultKind::ExponentWithoutDigits { read: text[place].to_owned() };
        return told(at, kind, format!("write digits behind it, as in `{figures}e3`, or leave it out"));
    }
    if unit == Unit::Celsius && suffix == "K" {
        let kind = FaultKind::WrongUnit { read, belongs: "a kelvin value", due };
        return told(at, kind, "write the temperature in °C, like `-20 °C`".to_owned());
    }
    if let Some(other) = Unit::ALL.into_iter().find(|other| spelling::scale(suffix, *other).is_some()) {
        let kind = FaultKind::WrongUnit { read, belongs: other.name(), due };
        return told(at, kind, fault::example(unit));
    }
    let known = suffix.char_indices().filter(|(_, c)| c.is_whitespace()).map(|(end, _)| end);
    if let Some(end) = known.filter(|end| spelling::scale(&suffix[..*end], unit).is_some()).last() {
        let rest = trimmed(text, at.start + end..at.end);
        let kind = FaultKind::LeftOver { read: text[rest.clone()].to_owned(), due };
        return told(rest.clone(), kind, format!("write `{}` alone", text[place.start..rest.start].trim_end()));
    }
    if unit == Unit::Plain {
        let kind = FaultKind::LeftOver { read, due };
        return told(at, kind, format!("write `{figures}` alone"));
    }
    told(at, FaultKind::UnknownUnit { read, due }, fault::example(unit))
}

/// ``write `90dB` or `31623:1` ``; a number no decibel scale reaches is taken for a ratio first.
fn as_rejection(read: &str, value: f64) -> String {
    if value > 300.0 {
        let decibels = (super::decibels(value) * 100.0).round() / 100.0;
        return format!("write `{read}:1` or `{decibels}dB`");
    }
    let ratio = from_decibels(value);
    let ratio = if ratio >= 100.0 { ratio.round() } else { (ratio * 1000.0).round() / 1000.0 };
    format!("write `{read}dB` or `{}`", exact(ratio, Unit::Rejection))
}
