//! An earlier design, read back from the JSON that [`super::design`] became.
use crate::quantity::Unit;
use crate::study::FigureValue;
use serde_json::Value;

/// The figures of an earlier design.
#[derive(Clone, Debug, PartialEq)]
pub struct Baseline {
    /// Its title.
    pub title: String,
    /// Its figures, in the order of the report.
    pub figures: Vec<FigureValue>,
}

/// Why a text is no baseline.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotABaseline {
    /// It is no JSON.
    #[error("it is no JSON: {0}")]
    NotJson(String),
    /// It is something else than a design.
    #[error("it has the schema `{0}`; `evenkeel.design.v1` is due")]
    OtherSchema(String),
}

/// Where each figure stands: its name under `[check] allow`, its unit, its path, and what one of the
/// numbers there is in that unit.
const FIGURES: [(&str, Unit, &str, f64); 12] = [
    ("gain", Unit::Plain, "/gain/nominal", 1.0),
    ("gain_error", Unit::Fraction, "", 1.0),
    ("rejection", Unit::Decibel, "/rejection/worst_db", 1.0),
    ("rejection_at_interference", Unit::Decibel, "/rejection/at_interference/worst_db", 1.0),
    ("headroom", Unit::Volt, "/headroom/margin_v", 1.0),
    ("impedance", Unit::Ohm, "/impedance/common_mode_ohm", 1.0),
    ("differential_impedance", Unit::Ohm, "/impedance/differential_ohm", 1.0),
    ("offset", Unit::Volt, "/offset/rti_worst_v", 1.0),
    ("noise", Unit::Volt, "/noise/rms_v", 1.0),
    ("bandwidth", Unit::Hertz, "/bandwidth/small_signal_hz", 1.0),
    ("budget", Unit::Fraction, "/budget/rss_ppm", 1e-6),
    ("total_error", Unit::Fraction, "/budget/sum_ppm", 1e-6),
];

/// Reads the JSON of a design.
///
/// # Errors
/// [`NotABaseline`] where it is none.
///
/// ```
/// use evenkeel::report::baseline;
///
/// let text = r#"{"schema": "evenkeel.design.v1", "title": "A", "gain": {"nominal": 100.8}, "rejection": {"worst_db": null}}"#;
/// let before = baseline(text)?;
/// assert_eq!((before.title.as_str(), before.figures[0].value), ("A", Some(Some(100.8))));
/// assert!(baseline("{}").is_err());
/// # Ok::<(), evenkeel::report::NotABaseline>(())
/// ```
pub fn baseline(text: &str) -> Result<Baseline, NotABaseline> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let json: Value = serde_json::from_str(text).map_err(|why| NotABaseline::NotJson(why.to_string()))?;
    let schema = json.get("schema").and_then(Value::as_str).unwrap_or("none");
    if schema != "evenkeel.design.v1" {
        return Err(NotABaseline::OtherSchema(schema.chars().filter(|c| !c.is_control()).take(60).collect()));
    }
    let number = |path: &str| match json.pointer(path)? {
        Value::Null => Some(None),
        value => value.as_f64().map(Some),
    };
    let error = || {
        let (low, high) = (number("/gain/error_low")??, number("/gain/error_high")??);
        Some(Some(low.abs().max(high.abs())))
    };
    let figure = |&(name, unit, path, scale): &(&'static str, Unit, &str, f64)| {
        let value = if path.is_empty() { error() } else { number(path) };
        FigureValue { name, unit, value: value.map(|value| value.map(|value| value * scale)) }
    };
    let title = json.get("title").and_then(Value::as_str).unwrap_or_default().to_owned();
    let mut figures: Vec<FigureValue> = FIGURES.iter().map(figure).collect();
    figures.push(FigureValue { name: "yield", unit: Unit::Fraction, value: number("/yield/low") });
    Ok(Baseline { title, figures })
}
