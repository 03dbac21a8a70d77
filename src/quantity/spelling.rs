use super::Unit;

/// How the number in front of a unit becomes an SI value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Scale {
    /// times this power of ten
    Tens(i32),
    /// ratio = 10^(number/20)
    Decibels,
}

const PREFIXES: [(&str, i32); 10] =
    [("T", 12), ("G", 9), ("M", 6), ("k", 3), ("", 0), ("m", -3), ("µ", -6), ("n", -9), ("p", -12), ("f", -15)];

/// What a bare number means, where it means anything.
pub(super) fn bare(unit: Unit) -> Option<Scale> {
    matches!(unit, Unit::Ohm | Unit::Plain).then_some(Scale::Tens(0))
}

/// The scale of a unit's text, understood in whole or not at all.
pub(super) fn scale(text: &str, unit: Unit) -> Option<Scale> {
    let text = one_spelling(text);
    let text = text.as_str();
    let tens = match unit {
        Unit::Ohm => ohm(text),
        Unit::Volt => prefixed(text, "V"),
        Unit::Ampere => prefixed(text, "A"),
        Unit::Farad => prefixed(text, "F"),
        Unit::Hertz => prefixed(text, "Hz"),
        Unit::Second => prefixed(text, "s"),
        Unit::Watt => prefixed(text, "W"),
        Unit::Fraction => fraction(text),
        Unit::PerKelvin => per_kelvin(text).and_then(fraction),
        Unit::Rejection if text == "dB" => return Some(Scale::Decibels),
        Unit::Rejection => ratio(text),
        Unit::Decibel => (text == "dB").then_some(0),
        Unit::VoltPerRootHertz => per_root_hertz(text).and_then(|top| prefixed(top, "V")),
        Unit::AmperePerRootHertz => per_root_hertz(text).and_then(|top| prefixed(top, "A")),
        Unit::VoltPerSecond => quotient(text, "V", "s"),
        Unit::VoltPerKelvin => per_kelvin(text).and_then(|top| prefixed(top, "V")),
        Unit::Celsius => matches!(text, "°C" | "C").then_some(0),
        Unit::Kelvin => kelvin(text),
        Unit::KelvinPerWatt => {
            text.split_once('/').and_then(|(top, bottom)| Some(kelvin(top)? - prefixed(bottom, "W")?))
        }
        Unit::Joule => prefixed(text, "J"),
        Unit::JoulePerKelvin => per_kelvin(text).and_then(|top| prefixed(top, "J")),
        Unit::Degree => matches!(text, "°" | "deg").then_some(0),
        Unit::Plain => None,
    };
    tens.map(Scale::Tens)
}

/// Whether a resistance is written with its unit, not a prefix alone.
pub(super) fn spells_ohm(text: &str) -> bool {
    let text = one_spelling(text);
    text.ends_with('Ω') || text.ends_with("ohm")
}

/// The units in which a value is printed, largest first: text and power of ten.
pub(super) fn ladder(unit: Unit) -> Vec<(String, i32)> {
    let fixed = |rungs: &[(&str, i32)]| rungs.iter().map(|(text, tens)| ((*text).to_owned(), *tens)).collect();
    let with_prefix = |base: &str, most: i32| -> Vec<(String, i32)> {
        PREFIXES
            .iter()
            .filter(|(_, tens)| *tens <= most)
            .map(|(prefix, tens)| (format!("{prefix}{base}"), *tens))
            .collect()
    };
    match unit {
        Unit::Ohm => with_prefix("Ω", 12),
        Unit::Volt => with_prefix("V", 3),
        Unit::Ampere => with_prefix("A", 3),
        Unit::Farad => with_prefix("F", 0),
        Unit::Hertz => with_prefix("Hz", 12).into_iter().filter(|(_, tens)| *tens >= 0).collect(),
        Unit::Second => with_prefix("s", 0),
        Unit::Watt => with_prefix("W", 6),
        Unit::Fraction => fixed(&[("%", -2), ("ppm", -6)]),
        Unit::PerKelvin => fixed(&[("%/K", -2), ("ppm/K", -6)]),
        Unit::Rejection => fixed(&[(":1", 0)]),
        Unit::Decibel => fixed(&[("dB", 0)]),
        Unit::VoltPerRootHertz => with_prefix("V/√Hz", 0),
        Unit::AmperePerRootHertz => with_prefix("A/√Hz", 0),
        Unit::VoltPerSecond => fixed(&[("V/µs", 6), ("V/s", 0)]),
        Unit::VoltPerKelvin => with_prefix("V/K", 0),
        Unit::Celsius => fixed(&[("°C", 0)]),
        Unit::Kelvin => fixed(&[("K", 0), ("mK", -3)]),
        Unit::KelvinPerWatt => fixed(&[("K/W", 0)]),
        Unit::Joule => fixed(&[("J", 0)]),
        Unit::JoulePerKelvin => fixed(&[("J/K", 0)]),
        Unit::Degree => fixed(&[("°", 0)]),
        Unit::Plain => fixed(&[("", 0)]),
    }
}

/// The spelling that differs from this text by the case of letters alone.
pub(super) fn but_for_case(text: &str, unit: Unit) -> Option<String> {
    let folded = |text: &str| one_spelling(text).to_lowercase().replace('u', "µ").replace("ohm", "ω");
    let mut known: Vec<String> = ladder(unit).into_iter().map(|(rung, _)| rung).collect();
    if unit == Unit::Rejection {
        known.extend(["dB", "V/V", "V/mV", "V/µV"].map(str::to_owned));
    }
    known.into_iter().find(|right| folded(right) == folded(text))
}

/// A prefix that lacks its unit, with the unit: `mV` for `m`.
pub(super) fn completed(text: &str, unit: Unit) -> Option<String> {
    let tens = prefix(text).filter(|_| !matches!(unit, Unit::Fraction | Unit::PerKelvin | Unit::VoltPerSecond))?;
    ladder(unit).into_iter().find(|(rung, _)| scale(rung, unit) == Some(Scale::Tens(tens))).map(|(rung, _)| rung)
}

/// What a unit's text measures; a prefix alone measures nothing.
pub(super) fn owner(text: &str) -> Option<Unit> {
    let claims = |unit: &Unit| scale(text, *unit).is_some() && (*unit != Unit::Ohm || text == "R" || spells_ohm(text));
    Unit::ALL.into_iter().find(claims)
}

fn one_spelling(text: &str) -> String {
    text.replace('\u{2126}', "Ω").replace('\u{3bc}', "µ").replace('℃', "°C")
}

fn prefix(text: &str) -> Option<i32> {
    let text = if text == "u" { "µ" } else { text };
    PREFIXES.iter().find(|(prefix, _)| *prefix == text).map(|(_, tens)| *tens)
}

fn prefixed(text: &str, base: &str) -> Option<i32> {
    text.strip_suffix(base).and_then(prefix)
}

fn ohm(text: &str) -> Option<i32> {
    let body = text.strip_suffix('Ω').or_else(|| text.strip_suffix("ohm"));
    match body.unwrap_or(text) {
        "K" => Some(3),
        "R" if body.is_none() => Some(0),
        body => prefix(body),
    }
}

fn fraction(text: &str) -> Option<i32> {
    match text {
        "%" => Some(-2),
        "ppm" => Some(-6),
        _ => None,
    }
}

fn kelvin(text: &str) -> Option<i32> {
    match text {
        "°C" | "C" => Some(0),
        text => prefixed(text, "K"),
    }
}

fn per_kelvin(text: &str) -> Option<&str> {
    let (top, bottom) = text.split_once('/')?;
    matches!(bottom, "K" | "°C" | "C").then_some(top)
}

fn per_root_hertz(text: &str) -> Option<&str> {
    let (top, bottom) = text.split_once('/')?;
    matches!(bottom, "√Hz" | "rtHz").then_some(top)
}

fn quotient(text: &str, top: &str, bottom: &str) -> Option<i32> {
    let (above, below) = text.split_once('/')?;
    Some(prefixed(above, top)? - prefixed(below, bottom)?)
}

fn ratio(text: &str) -> Option<i32> {
    if let Some(one) = text.strip_prefix(':') {
        return (one.trim_start() == "1").then_some(0);
    }
    quotient(text, "V", "V")
}
