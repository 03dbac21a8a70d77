//! One TOML value to one checked value.
use super::key::{FIGURES, Key, Kind};
use super::nearest;
use super::tree::Value;
use super::walk::printable;
use crate::quantity::{self, QuantityFault, Unit};
use crate::study::Allowance;
use std::ops::Range;
use toml::de::DeValue;

/// The value, or what is wrong with it.
pub(crate) enum Read {
    Value(Value),
    Fault(ScalarFault),
}

/// What is wrong with one value.
pub(crate) struct ScalarFault {
    pub(crate) code: &'static str,
    pub(crate) message: String,
    pub(crate) label: String,
    pub(crate) help: Option<String>,
    /// Bytes inside the text of a string, where only a part of it is at fault.
    pub(crate) place: Option<Range<usize>>,
}

/// Reads a value as its row wants it.
pub(crate) fn read(toml: &DeValue<'_>, row: &Key, path: &str) -> Read {
    match text_or_number(toml, row, path).and_then(|value| within(value, toml, row, path)) {
        Ok(value) => Read::Value(value),
        Err(fault) => Read::Fault(fault),
    }
}

fn text_or_number(toml: &DeValue<'_>, row: &Key, path: &str) -> Result<Value, ScalarFault> {
    let bad = |fault: QuantityFault| quantity_fault(fault, path);
    match (row.kind, toml) {
        (Kind::Quantity(unit), DeValue::String(text)) => quantity::parse(text, unit).map(Value::Number).map_err(bad),
        (Kind::Range(unit), DeValue::String(text)) => {
            quantity::parse_range(text, unit).map(|(low, high)| Value::Span(low, high)).map_err(bad)
        }
        (Kind::Decibels, DeValue::String(text)) => decibels(text).map(Value::Number).map_err(bad),
        (Kind::OhmOrOpen, DeValue::String(text)) if text == "open" => Ok(Value::Open),
        (Kind::OhmOrOpen, DeValue::String(text)) => quantity::parse(text, Unit::Ohm).map(Value::Number).map_err(bad),
        (Kind::Change, DeValue::String(text)) => change(text, path),
        (Kind::Number, DeValue::String(text)) => quantity::parse(text, Unit::Plain).map(Value::Number).map_err(bad),
        (Kind::Count, DeValue::String(text)) => quantity::parse_count(text).map(Value::Count).map_err(bad),
        (Kind::Number, _) => bare(toml).map(Value::Number).ok_or_else(|| wrong_type(toml, row, path)),
        (Kind::Count, _) => whole(toml).map(Value::Count).ok_or_else(|| wrong_type(toml, row, path)),
        (Kind::Flag, DeValue::Boolean(flag)) => Ok(Value::Flag(*flag)),
        (Kind::Text | Kind::Path, DeValue::String(text)) => plain_text(text, row, path),
        (Kind::Word(words), DeValue::String(text)) => word(text, words, path),
        _ => Err(wrong_type(toml, row, path)),
    }
}

/// Decibels as they are written; a ratio is turned into them.
fn decibels(text: &str) -> Result<f64, QuantityFault> {
    quantity::parse(text, Unit::Decibel).or_else(|_| quantity::parse(text, Unit::Rejection).map(quantity::decibels))
}

fn change(text: &str, path: &str) -> Result<Value, ScalarFault> {
    let name = path.rsplit('.').next().unwrap_or(path);
    let (_, unit, relative) =
        FIGURES.iter().find(|(figure, ..)| *figure == name).copied().unwrap_or(("", Unit::Fraction, true));
    let allowance = if relative && let Ok(fraction) = quantity::parse(text, Unit::Fraction) {
        Allowance::Relative(fraction)
    } else {
        Allowance::Absolute(quantity::parse(text, unit).map_err(|fault| quantity_fault(fault, path))?)
    };
    let (Allowance::Relative(size) | Allowance::Absolute(size)) = allowance;
    if size < 0.0 {
        return Err(ScalarFault {
            code: "out-of-range",
            message: format!("`{path}` is `{}`; it must be at least 0", printable(text)),
            label: "below zero".to_owned(),
            help: None,
            place: None,
        });
    }
    Ok(Value::Change(allowance))
}

fn bare(toml: &DeValue<'_>) -> Option<f64> {
    match toml {
        DeValue::Float(float) => float.as_str().parse().ok(),
        DeValue::Integer(integer) => i128::from_str_radix(integer.as_str(), integer.radix()).ok().map(|i| i as f64),
        _ => None,
    }
}

fn whole(toml: &DeValue<'_>) -> Option<u64> {
    match toml {
        DeValue::Integer(integer) => u64::from_str_radix(integer.as_str(), integer.radix()).ok(),
        // `1e6` is a float to TOML and a count to a person.
        DeValue::Float(_) => bare(toml).filter(|v| v.fract() == 0.0 && (0.0..=9e15).contains(v)).map(|v| v as u64),
        _ => None,
    }
}

fn plain_text(text: &str, row: &Key, path: &str) -> Result<Value, ScalarFault> {
    let fault = |code, message, label: &str, help: &str| ScalarFault {
        code,
        message,
        label: label.to_owned(),
        help: Some(help.to_owned()),
        place: None,
    };
    if text.chars().any(char::is_control) {
        let message = format!("`{path}` holds a control character: `{}`", printable(text));
        return Err(fault("control-character", message, "not printable", "write it in one line of plain text"));
    }
    if text.trim().is_empty() {
        return Err(fault(
            "empty-text",
            format!("`{path}` is empty"),
            "nothing in it",
            "fill it, or leave the key out",
        ));
    }
    if row.kind == Kind::Path && !stays_below(text) {
        let message = format!("`{path}` leads out of the spec's folder: `{}`", printable(text));
        return Err(fault(
            "path-outside",
            message,
            "leads outside",
            "name a file below the spec's own folder, as `parts/one.toml`",
        ));
    }
    Ok(Value::Text(text.to_owned()))
}

/// True for a relative path that never climbs, on any system.
fn stays_below(path: &str) -> bool {
    let mut parts = path.split(['/', '\\']);
    !path.starts_with(['/', '\\', '~']) && !path.contains(':') && parts.all(|part| part != "..")
}

fn word(text: &str, words: &'static [&'static str], path: &str) -> Result<Value, ScalarFault> {
    if words.contains(&text) {
        return Ok(Value::Text(text.to_owned()));
    }
    let help = match nearest::nearest(text, words) {
        Some(word) => format!("did you mean `\"{word}\"`? known: {}", words.join(", ")),
        None => format!("known: {}", words.join(", ")),
    };
    Err(ScalarFault {
        code: "unknown-word",
        message: format!("`{path}` can't be `{}`", printable(text)),
        label: "unknown word".to_owned(),
        help: Some(help),
        place: None,
    })
}

fn quantity_fault(fault: QuantityFault, path: &str) -> ScalarFault {
    ScalarFault {
        code: "bad-quantity",
        message: format!("`{path}`: {}", printable_long(&fault.to_string())),
        label: "here".to_owned(),
        help: Some(printable_long(fault.help())),
        place: Some(fault.place()),
    }
}

fn printable_long(text: &str) -> String {
    text.chars()
        .take(300)
        .flat_map(|c| if c.is_control() { c.escape_default().collect::<Vec<_>>() } else { vec![c] })
        .collect()
}

/// What a TOML value is, in words.
pub(crate) fn kind_of(toml: &DeValue<'_>) -> String {
    match toml {
        DeValue::String(text) => format!("text, `\"{}\"`", printable(text)),
        DeValue::Integer(integer) => format!("a bare number, `{}`", printable(&integer.to_string())),
        DeValue::Float(float) => format!("a bare number, `{}`", printable(&float.to_string())),
        DeValue::Boolean(flag) => format!("`{flag}`"),
        DeValue::Datetime(date) => format!("a date, `{date}`"),
        DeValue::Array(_) => "a list".to_owned(),
        DeValue::Table(_) => "a table".to_owned(),
    }
}

fn wrong_type(toml: &DeValue<'_>, row: &Key, path: &str) -> ScalarFault {
    let number = match toml {
        DeValue::Integer(integer) => Some(integer.to_string()),
        DeValue::Float(float) => Some(float.to_string()),
        _ => None,
    };
    let with_unit = |unit: Unit| number.as_ref().map(|n| format!("write `\"{} {}\"`", printable(n), unit.customary()));
    let like = |sample: &str| Some(format!("write it like `{sample}`"));
    let (due, help) = match row.kind {
        Kind::Quantity(unit) => {
            ("text with a unit", with_unit(unit).or_else(|| like(&format!("\"{}\"", unit.example()))))
        }
        Kind::Range(unit) => ("a range as text", with_unit(unit).or_else(|| like(sample_or(row, "\"1 V .. 2 V\"")))),
        Kind::Decibels => ("a rejection as text", with_unit(Unit::Decibel).or_else(|| like("\"90 dB\""))),
        Kind::OhmOrOpen => ("a resistance as text, or \"open\"", with_unit(Unit::Ohm).or_else(|| like("\"10k\""))),
        Kind::Change => ("a change as text", like("\"0.1 dB\"")),
        Kind::Number => ("a number", like(sample_or(row, "100"))),
        Kind::Count => ("a whole number", like(sample_or(row, "1"))),
        Kind::Flag => ("`true` or `false`", None),
        Kind::Text | Kind::Path => ("text", like(sample_or(row, "\"R101\""))),
        Kind::Word(words) => ("a word as text", Some(format!("known: {}", words.join(", ")))),
        Kind::Quantities(_) => ("a list of texts", like(sample_or(row, "[\"100\", \"4k7\"]"))),
        Kind::Members => ("a list of designators", like("[\"R1\", \"R2\"]")),
        Kind::Table(_) => ("a table", None),
        Kind::Tables(_) => ("a list of tables", like(sample_or(row, "[[…]]"))),
        Kind::Each(..) => ("a table of names", like(sample_or(row, "{ R1 = … }"))),
    };
    ScalarFault {
        code: "wrong-type",
        message: format!("`{path}` is {}; {due} is due", kind_of(toml)),
        label: format!("expected {due}"),
        help,
        place: None,
    }
}

fn sample_or<'a>(row: &Key, other: &'a str) -> &'a str {
    if row.sample.is_empty() { other } else { row.sample }
}

fn within(value: Value, toml: &DeValue<'_>, row: &Key, path: &str) -> Result<Value, ScalarFault> {
    let unit = match row.kind {
        Kind::Quantity(unit) | Kind::Range(unit) => unit,
        Kind::OhmOrOpen => Unit::Ohm,
        Kind::Decibels => Unit::Decibel,
        _ => Unit::Plain,
    };
    let outside = match value {
        Value::Number(v) => !row.bounds.allow(v),
        Value::Count(v) => !row.bounds.allow(v as f64),
        Value::Span(low, high) => !row.bounds.allow(low) || !row.bounds.allow(high),
        _ => false,
    };
    if !outside {
        return Ok(value);
    }
    let what = match toml {
        DeValue::String(text) => printable(text),
        DeValue::Integer(integer) => printable(&integer.to_string()),
        DeValue::Float(float) => printable(&float.to_string()),
        _ => String::new(),
    };
    let bounds = row.bounds.words(|v| quantity::exact(v, unit));
    Err(ScalarFault {
        code: "out-of-range",
        message: format!("`{path}` is `{what}`; it must be {bounds}"),
        label: format!("must be {bounds}"),
        help: None,
        place: None,
    })
}

/// The bytes of a document for bytes inside a string's text; the whole value where escapes or newlines
/// make the two disagree.
pub(crate) fn inside(document: &str, span: &Range<usize>, place: Option<Range<usize>>) -> Range<usize> {
    let whole = span.clone();
    let Some(place) = place else { return whole };
    let Some(raw) = document.get(span.clone()) else { return whole };
    let plain = !raw.starts_with("\"\"\"") && !raw.starts_with("'''") && (raw.starts_with('\'') || !raw.contains('\\'));
    if !plain || raw.len() < 2 {
        return whole;
    }
    let shifted = span.start + 1 + place.start..span.start + 1 + place.end;
    if shifted.is_empty() || shifted.end > span.end { whole } else { shifted }
}
