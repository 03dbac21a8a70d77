//! A spread of boards as a histogram, with its limits.
use super::Picture;
use super::histogram::{Bound, histogram};
use crate::quantity::{Unit, rounded};
use crate::study::YieldSpread;

/// Classes of the drawing, and rows of the same in characters.
const CLASSES: usize = 48;
const ROWS: usize = 16;
/// Columns of its longest bar.
const COLUMNS: f64 = 40.0;
/// Above 200 dB nothing is told apart.
const UNBOUNDED: f64 = 200.0;

/// All but the outermost thousandths; nothing where all boards are alike.
pub(in crate::report) fn spread(key: &str, spread: &YieldSpread, unit: Unit) -> Option<Picture> {
    let (first, last) = (spread.quantiles.first()?, spread.quantiles.last()?);
    let ends = (first.value?, last.value.unwrap_or(UNBOUNDED));
    let (name, caption) = match key {
        "gain_error" => ("yield-gain-error", "Boards by gain error, the outermost thousandths at the ends"),
        _ => ("yield-rejection", "Boards by rejection, the outermost thousandths at the ends"),
    };
    let bound = |at: &f64| Bound { at: *at, words: format!("limit {}", rounded(*at, unit, 4)) };
    let bounds: Vec<Bound> = spread.bounds.iter().map(bound).collect();
    let shares = spread.histogram.rows(ends.0, ends.1, CLASSES);
    let drawn = histogram(name, caption, ends, (unit, ""), &shares, &bounds)?;
    Some(Picture { plain: rows(spread, ends, unit), ..drawn })
}

/// A row a class, with the value where it begins.
fn rows(spread: &YieldSpread, (low, high): (f64, f64), unit: Unit) -> Vec<String> {
    let shares = spread.histogram.rows(low, high, ROWS);
    let most = shares.iter().copied().fold(0.0, f64::max);
    let from = |row: usize| rounded(low + (high - low) * row as f64 / ROWS as f64, unit, 3);
    let words: Vec<String> = (0..ROWS).map(from).collect();
    let wide = words.iter().map(|word| word.chars().count()).max().unwrap_or(0);
    let line = |(word, share): (&String, &f64)| format!("{word:>wide$}  {}", bar(*share, most)).trim_end().to_owned();
    words.iter().zip(&shares).map(line).collect()
}

/// A bar of eighths of a column.
fn bar(share: f64, most: f64) -> String {
    const EIGHTHS: [&str; 8] = ["", "▏", "▎", "▍", "▌", "▋", "▊", "▉"];
    let eighths = if most > 0.0 { (share / most * COLUMNS * 8.0).round() as usize } else { 0 };
    format!("{}{}", "█".repeat(eighths / 8), EIGHTHS[eighths % 8])
}
