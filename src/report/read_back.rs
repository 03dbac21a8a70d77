//! Earlier designs, read back from the JSON that [`super::design`] and [`super::batch_json`] became.
use crate::quantity::Unit;
use crate::study::FigureValue;
use serde_json::{Deserializer, Value};

/// The figures of an earlier design.
#[derive(Clone, Debug, PartialEq)]
pub struct Baseline {
    /// The spec, where it is told: a row of a batch does, a design does not.
    pub file: Option<String>,
    /// Its title.
    pub title: String,
    /// Its figures, in the order of the report; a row of a batch has those that its columns show.
    pub figures: Vec<FigureValue>,
}

/// Why a text is no baseline.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotABaseline {
    /// It is no JSON.
    #[error("it is no JSON: {0}")]
    NotJson(String),
    /// It is something else than a design.
    #[error("it has the schema `{0}`; `evenkeel.design.v1` or `evenkeel.batch.v1` is due")]
    OtherSchema(String),
    /// Nothing in it was designed: every row says why not.
    #[error("it holds no design")]
    NoDesign,
}

/// Where a figure stands in one of the two: the way to it, and what one of the numbers there is in its unit.
type Place = (&'static str, f64);

/// Where each figure stands: its name under `[check] allow`, its unit, its place in a design and in a row of a
/// batch. The gain error stands at two places, and is made of both.
const FIGURES: [(&str, Unit, Place, Place); 13] = [
    ("gain", Unit::Plain, ("/gain/nominal", 1.0), ("/gain_nominal", 1.0)),
    ("gain_error", Unit::Fraction, ("/gain/error_", 1.0), ("/gain_error_", 1.0)),
    ("rejection", Unit::Decibel, ("/rejection/worst_db", 1.0), ("/rejection_worst_db", 1.0)),
    (
        "rejection_at_interference",
        Unit::Decibel,
        ("/rejection/at_interference/worst_db", 1.0),
        ("/rejection_at_interference_predicted", 1.0),
    ),
    ("headroom", Unit::Volt, ("/headroom/margin_v", 1.0), ("/headroom_predicted", 1.0)),
    ("impedance", Unit::Ohm, ("/impedance/common_mode_ohm", 1.0), ("", 1.0)),
    (
        "differential_impedance",
        Unit::Ohm,
        ("/impedance/differential_ohm", 1.0),
        ("/differential_impedance_predicted", 1.0),
    ),
    ("offset", Unit::Volt, ("/offset/rti_worst_v", 1.0), ("/offset_predicted", 1.0)),
    ("noise", Unit::Volt, ("/noise/rms_v", 1.0), ("/noise_predicted", 1.0)),
    ("bandwidth", Unit::Hertz, ("/bandwidth/small_signal_hz", 1.0), ("/bandwidth_predicted", 1.0)),
    ("budget", Unit::Fraction, ("/budget/rss_ppm", 1e-6), ("", 1.0)),
    ("total_error", Unit::Fraction, ("/budget/sum_ppm", 1e-6), ("/total_error_predicted", 1.0)),
    ("yield", Unit::Fraction, ("/yield/low", 1.0), ("/yield_predicted", 1.0)),
];

/// Reads the JSON of a design.
///
/// # Errors
/// [`NotABaseline`] where it is none, or more than one.
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
    let json = serde_json::from_str(text.strip_prefix('\u{feff}').unwrap_or(text))
        .map_err(|why| NotABaseline::NotJson(why.to_string()))?;
    read(&json)?.ok_or(NotABaseline::NoDesign)
}

/// Reads what `design` or `batch` printed as JSON: one object after the other, each a design or a row. Rows
/// without a design are passed over.
///
/// # Errors
/// [`NotABaseline`] where one of them is something else, or none is a design.
///
/// ```
/// use evenkeel::report::baselines;
///
/// let rows = r#"{"schema": "evenkeel.batch.v1", "file": "a.toml", "title": "A", "gain_nominal": 100.8}
/// {"schema": "evenkeel.batch.v1", "file": "b.toml", "title": "B", "met": null, "message": "no such file"}"#;
/// let all = baselines(rows)?;
/// assert_eq!((all.len(), all[0].title.as_str(), all[0].file.as_deref()), (1, "A", Some("a.toml")));
/// assert!(baselines(rows.lines().last().unwrap_or_default()).is_err());
/// # Ok::<(), evenkeel::report::NotABaseline>(())
/// ```
pub fn baselines(text: &str) -> Result<Vec<Baseline>, NotABaseline> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut all = Vec::new();
    for json in Deserializer::from_str(text).into_iter::<Value>() {
        all.extend(read(&json.map_err(|why| NotABaseline::NotJson(why.to_string()))?)?);
    }
    if all.is_empty() { Err(NotABaseline::NoDesign) } else { Ok(all) }
}

/// One object; `None` where it says why there is no design.
fn read(json: &Value) -> Result<Option<Baseline>, NotABaseline> {
    let text = |key: &str| json.get(key).and_then(Value::as_str);
    let of_batch = match text("schema").unwrap_or("none") {
        "evenkeel.design.v1" => false,
        "evenkeel.batch.v1" => true,
        other => {
            return Err(NotABaseline::OtherSchema(other.chars().filter(|c| !c.is_control()).take(60).collect()));
        }
    };
    let number = |path: &str| match json.pointer(path)? {
        Value::Null => Some(None),
        value => value.as_f64().map(Some),
    };
    let error = |stem: &str| {
        let (low, high) = (number(&format!("{stem}low"))??, number(&format!("{stem}high"))??);
        Some(Some(low.abs().max(high.abs())))
    };
    let figures: Vec<FigureValue> = FIGURES
        .iter()
        .filter_map(|&(name, unit, in_design, in_row)| {
            let (path, scale) = if of_batch { in_row } else { in_design };
            if path.is_empty() {
                return None;
            }
            let value = if path.ends_with('_') { error(path) } else { number(path) };
            Some(FigureValue { name, unit, value: value.map(|value| value.map(|value| value * scale)) })
        })
        .collect();
    let designed = figures.iter().any(|figure| figure.name == "gain" && figure.value.is_some());
    Ok(designed.then(|| Baseline {
        file: text("file").map(str::to_owned),
        title: text("title").unwrap_or_default().to_owned(),
        figures,
    }))
}
