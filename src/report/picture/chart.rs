//! What every chart has: a legend above, marks and words along two axes.
use super::axis::{Axis, digits};
use super::canvas::{Canvas, Side};
use super::letters::{SIZE, width};

/// Width of every chart; a telephone shows it at eight tenths.
pub(super) const WIDTH: f64 = 420.0;
/// Height of a line of words.
pub(super) const LINE: f64 = 18.0;
const SAMPLE: f64 = 26.0;

/// One entry of a legend: the class of its sample, whether that is an area, and its words.
pub(super) struct Key {
    pub(super) class: &'static str,
    pub(super) area: bool,
    pub(super) words: String,
}

impl Key {
    pub(super) fn line(class: &'static str, words: impl Into<String>) -> Self {
        Self { class, area: false, words: words.into() }
    }
    pub(super) fn area(class: &'static str, words: impl Into<String>) -> Self {
        Self { class, area: true, words: words.into() }
    }
}

/// Where the entries of a legend stand, and how high it is.
pub(super) fn arranged(keys: &[Key]) -> (Vec<(f64, f64)>, f64) {
    let (mut x, mut y) = (8.0, LINE);
    let mut places = Vec::with_capacity(keys.len());
    for key in keys {
        let wide = SAMPLE + 6.0 + width(&key.words, false);
        if x > 8.0 && x + wide > WIDTH - 4.0 {
            (x, y) = (8.0, y + LINE);
        }
        places.push((x, y));
        x += wide + 16.0;
    }
    (places, if keys.is_empty() { 0.0 } else { y })
}

/// Sets a legend.
pub(super) fn legend(canvas: &mut Canvas, keys: &[Key]) {
    for (key, (x, y)) in keys.iter().zip(arranged(keys).0) {
        let middle = y - 0.35 * SIZE;
        if key.area {
            canvas.rect(key.class, (x + 4.0, middle - 5.0), (SAMPLE - 8.0, 10.0));
        } else {
            canvas.line(key.class, &[(x, middle), (x + SAMPLE, middle)]);
        }
        canvas.text("", (x + SAMPLE + 6.0, y), Side::Right, &key.words);
    }
}

/// Marks along the left edge; `x` are the left and right end of the grid lines, `unit` stands on top.
pub(super) fn upright(canvas: &mut Canvas, axis: &Axis, (step, scale): (f64, f64), x: (f64, f64), unit: &str) {
    for value in axis.multiples(step) {
        let y = axis.place(value);
        canvas.line("grid", &[(x.0, y), (x.1, y)]);
        canvas.text("soft", (x.0 - 6.0, y + 0.35 * SIZE), Side::Left, &digits(value / scale, step / scale));
    }
    canvas.text("soft", (8.0, axis.to - 12.0), Side::Right, unit);
}

/// Marks along the lower edge; `y` are the upper and lower end of the grid lines.
pub(super) fn level(canvas: &mut Canvas, axis: &Axis, (step, scale): (f64, f64), y: (f64, f64), unit: &str) {
    for value in axis.multiples(step) {
        let x = axis.place(value);
        canvas.line("grid", &[(x, y.0), (x, y.1)]);
        let words = digits(value / scale, step / scale);
        let half = width(&words, false) / 2.0;
        if x - half > 0.0 && x + half < WIDTH {
            canvas.text("soft", (x, y.1 + 18.0), Side::Middle, &words);
        }
    }
    canvas.text("soft", (f64::midpoint(axis.from, axis.to), y.1 + 36.0), Side::Middle, unit);
}

/// Room that the widest mark of an upright axis takes.
pub(super) fn widest(axis: &Axis, (step, scale): (f64, f64)) -> f64 {
    let each = axis.multiples(step).into_iter().map(|value| width(&digits(value / scale, step / scale), false));
    each.fold(0.0, f64::max)
}

/// The step of a level axis whose marks do not touch.
pub(super) fn roomy(axis: &Axis, scale: f64) -> f64 {
    let fits = |step: &f64| {
        let room = (axis.to - axis.from) * step / (axis.high - axis.low);
        room > widest(axis, (*step, scale)) + 10.0
    };
    (1..=8).rev().map(|most| axis.step(most)).find(fits).unwrap_or(axis.high - axis.low)
}
