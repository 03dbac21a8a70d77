use super::{Document, Record, Value, Verdict};
use crate::quantity::{Unit, rounded};

const SCHEMA: &str = "evenkeel.series.v1";

/// A preferred-number series as it is listed.
#[derive(Clone, Debug, PartialEq)]
pub struct SeriesLine {
    /// Its name, as `E96`.
    pub name: &'static str,
    /// Tolerance it is customarily sold at, a fraction.
    pub tolerance: f64,
    /// The values of the decade from 1 to 10.
    pub values: Vec<f64>,
}

/// The neighbours of a resistance in one series.
#[derive(Clone, Debug, PartialEq)]
pub struct NearLine {
    /// Name of the series.
    pub name: &'static str,
    /// The value of least relative distance and the ones next to it: below, nearest, above.
    pub values: [NearValue; 3],
}

/// A preferred value and how far it is from the one asked for.
#[derive(Clone, Debug, PartialEq)]
pub struct NearValue {
    /// The value, Ω.
    pub ohm: f64,
    /// Its IEC 60062 code, where it has one.
    pub marking: Option<String>,
    /// Relative distance from the value asked for.
    pub error: f64,
}

const PLACES: [&str; 3] = ["below", "nearest", "above"];

/// The preferred-number series: all of them in brief.
#[must_use]
pub fn series_list(lines: &[SeriesLine]) -> Document {
    let mut body = Record::new();
    body.table("series", "Series", lines, |line| {
        let mut row = Record::new();
        row.text("name", "name", line.name);
        row.number("tolerance", "customary tolerance", line.tolerance, Unit::Fraction);
        row.push("count", "values in a decade", Value::Count(line.values.len() as u64));
        row
    });
    Document::new(SCHEMA, Verdict::plain("Preferred numbers of IEC 60063."), body)
}

/// One series with its values.
#[must_use]
pub fn series(line: &SeriesLine) -> Document {
    let mut body = Record::new();
    body.text("name", "", line.name).for_data();
    body.number("tolerance", "customary tolerance", line.tolerance, Unit::Fraction);
    body.push("count", "values in a decade", Value::Count(line.values.len() as u64));
    body.push("values", "", Value::Numbers(line.values.clone(), Unit::Plain, " ")).for_data();
    let shown: Vec<String> =
        line.values.iter().map(|value| format!("{:<4}", rounded(*value, Unit::Plain, 3))).collect();
    body.note(shown.join(" "));
    Document::new(SCHEMA, Verdict::plain(format!("{}, preferred numbers of IEC 60063.", line.name)), body)
}

/// The preferred values next to a resistance, in one series or in several.
#[must_use]
pub fn near(ohm: f64, lines: &[NearLine]) -> Document {
    let mut body = Record::new();
    if let [one] = lines {
        body.text("name", "", one.name).for_data();
        body.number("near_ohm", "asked for", ohm, Unit::Ohm).digits(6);
        places(one, &mut body);
        let rows: Vec<(&str, &NearValue)> = PLACES.into_iter().zip(&one.values).collect();
        body.table("", one.name, &rows, |(place, value)| {
            let mut row = Record::new();
            row.text("", "", *place);
            columns(value, &mut row);
            row
        })
        .for_people();
        return Document::new(SCHEMA, Verdict::plain(headline(ohm, one)), body);
    }
    body.number("near_ohm", "asked for", ohm, Unit::Ohm).digits(6);
    body.table("series", "Nearest", lines, |line| {
        let mut row = Record::new();
        row.text("name", "series", line.name);
        places(line, &mut row);
        for (label, value) in PLACES.into_iter().zip(&line.values) {
            row.number("", label, value.ohm, Unit::Ohm).digits(6).for_people();
        }
        row.number("", "error of nearest", line.values[1].error, Unit::Fraction).digits(3).for_people();
        row
    });
    let asked = rounded(ohm, Unit::Ohm, 6);
    Document::new(SCHEMA, Verdict::plain(format!("Preferred values next to {asked}.")), body)
}

/// The three values as scripts read them.
fn places(line: &NearLine, record: &mut Record) {
    for (place, value) in PLACES.into_iter().zip(&line.values) {
        record.section(place, place, |part| columns(value, part)).for_data();
    }
}

fn columns(value: &NearValue, record: &mut Record) {
    record.number("ohm", "value", value.ohm, Unit::Ohm).digits(6);
    record.push("marking", "marking", Value::Text(value.marking.clone()));
    record.number("error", "error", value.error, Unit::Fraction).digits(3);
}

fn headline(ohm: f64, line: &NearLine) -> String {
    let [_, nearest, _] = &line.values;
    format!(
        "Nearest to {} in {}: {}, off by {}.",
        rounded(ohm, Unit::Ohm, 6),
        line.name,
        rounded(nearest.ohm, Unit::Ohm, 6),
        rounded(nearest.error, Unit::Fraction, 3)
    )
}
