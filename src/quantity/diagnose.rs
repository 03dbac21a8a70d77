//! What is wrong with a text that could not be read: kept apart so that reading stays short.

use super::fault::{self, FaultKind, QuantityFault};
use super::number;
use super::read::trimmed;
use super::spelling;
use super::{Unit, exact, from_decibels};
use std::ops::Range;

/// Where a number is due and none stands.
pub(super) fn no_number(text: &str, place: Range<usize>, unit: Unit) -> QuantityFault {
    let written = &text[place.clone()];
    let word = written.split_whitespace().next().unwrap_or(written);
    let place = place.start..place.start + word.len();
    let read = word.to_owned();
    let unsigned = word.trim_start_matches(['+', '-', '−']).to_lowercase();
    let kind = if matches!(unsigned.as_str(), "nan" | "inf" | "infinity" | "∞") {
        FaultKind::NotFinite { read }
    } else {
        FaultKind::NoNumber { read, due: unit.name() }
    };
    QuantityFault::new(text, place, kind, fault::example(unit))
}

/// Why what stands behind the number, from byte `length` of the place on, is not a unit of what is due.
pub(super) fn unit_fault(text: &str, place: Range<usize>, length: usize, unit: Unit) -> QuantityFault {
    let figures = &text[place.start..place.start + length];
    let after = place.start + length;
    let at = trimmed(text, after..place.end);
    let (at, kind, help) = if at.start == after
        && let Some(found) = bad_number(text, &place, figures, at.clone())
    {
        found
    } else {
        bad_unit(text, &place, figures, at, unit)
    };
    QuantityFault::new(text, at, kind, help)
}

type Found = (Range<usize>, FaultKind, String);

/// What goes on directly behind the digits.
fn bad_number(text: &str, place: &Range<usize>, figures: &str, at: Range<usize>) -> Option<Found> {
    let rest = &text[at.clone()];
    let first = at.start..at.start + 1;
    if let Some(behind) = rest.strip_prefix(',') {
        let fraction = number::digits_at(behind, 0);
        if fraction.is_empty() {
            return None;
        }
        let thousands = if fraction.len() == 3 { ", and nothing between thousands" } else { "" };
        let kind = FaultKind::DecimalComma { read: format!("{figures},{fraction}") };
        return Some((first, kind, format!("write a decimal point: `{figures}.{fraction}`{thousands}")));
    }
    if rest.starts_with('.') {
        let kind = FaultKind::SecondPoint { read: text[place.clone()].to_owned() };
        return Some((first, kind, "write one decimal point".to_owned()));
    }
    if matches!(rest, "e" | "E") {
        let kind = FaultKind::ExponentWithoutDigits { read: text[place.clone()].to_owned() };
        return Some((at, kind, format!("write digits behind it, as in `{figures}e3`, or leave it out")));
    }
    None
}

fn bad_unit(text: &str, place: &Range<usize>, figures: &str, at: Range<usize>, unit: Unit) -> Found {
    let suffix = &text[at.clone()];
    let read = suffix.to_owned();
    let due = unit.name();
    if suffix.to_lowercase().starts_with("meg") {
        let help = match unit {
            Unit::Ohm | Unit::Volt | Unit::Ampere | Unit::Farad | Unit::Hertz | Unit::Second | Unit::Watt => {
                format!("mega is `M`: write `{figures} M{}`", unit.customary())
            }
            unit => fault::example(unit),
        };
        return (at, FaultKind::Meg { read }, help);
    }
    if let Some(right) = spelling::but_for_case(suffix, unit) {
        return (at, FaultKind::LetterCase { read }, format!("write `{figures} {right}`"));
    }
    if let Some(full) = spelling::completed(suffix, unit) {
        let kind = FaultKind::UnitMissing { read: text[place.clone()].to_owned(), due };
        return (place.clone(), kind, format!("write `{figures} {full}`"));
    }
    if unit == Unit::Celsius && suffix == "K" {
        let kind = FaultKind::WrongUnit { read, belongs: "a kelvin value", due };
        return (at, kind, fault::example(unit));
    }
    if let Some(other) = spelling::owner(suffix) {
        return (at, FaultKind::WrongUnit { read, belongs: other.name(), due }, fault::example(unit));
    }
    let mut ends = suffix.char_indices().filter(|(_, c)| c.is_whitespace()).map(|(end, _)| end);
    if let Some(end) = ends.rfind(|end| spelling::scale(&suffix[..*end], unit).is_some()) {
        let rest = trimmed(text, at.start + end..at.end);
        let kind = FaultKind::LeftOver { read: text[rest.clone()].to_owned(), due };
        let help = format!("write `{}` alone", text[place.start..rest.start].trim_end());
        return (rest, kind, help);
    }
    if unit == Unit::Plain {
        return (at, FaultKind::LeftOver { read, due }, format!("write `{figures}` alone"));
    }
    (at, FaultKind::UnknownUnit { read, due }, fault::example(unit))
}

/// ``write `90dB` or `31623:1` ``; a number beyond any decibel scale is taken for a ratio.
pub(super) fn as_rejection(read: &str, value: f64) -> String {
    if value > 300.0 {
        let decibels = (super::decibels(value) * 100.0).round() / 100.0;
        return format!("write `{read}:1` or `{decibels}dB`");
    }
    let ratio = from_decibels(value);
    let ratio = if ratio >= 100.0 { ratio.round() } else { (ratio * 1000.0).round() / 1000.0 };
    format!("write `{read}dB` or `{}`", exact(ratio, Unit::Rejection))
}
