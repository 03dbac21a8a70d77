//! Horizontal bars, a line each: name, bar, and what it says.
use super::canvas::{Canvas, Side};
use super::chart::{LINE, WIDTH};
use super::letters::width;

/// One bar; `None` has no length that could be told.
pub(super) struct Bar {
    pub(super) name: String,
    pub(super) length: Option<f64>,
    pub(super) words: String,
}

/// Sets bars of lengths from zero below `top`; returns the place below the last.
pub(super) fn bars(canvas: &mut Canvas, top: f64, bars: &[Bar]) -> f64 {
    let widest = |of: &dyn Fn(&Bar) -> f64| bars.iter().map(of).fold(0.0, f64::max);
    let left = 8.0 + widest(&|bar| width(&bar.name, false)) + 8.0;
    let right = WIDTH - 8.0 - widest(&|bar| width(&bar.words, false)) - 8.0;
    let greatest = bars.iter().filter_map(|bar| bar.length).fold(0.0, f64::max);
    let mut y = top;
    for bar in bars {
        canvas.text("", (left - 8.0, y + 14.0), Side::Left, &bar.name);
        let share = bar.length.filter(|_| greatest > 0.0).map_or(0.0, |length| length / greatest);
        let long = share * (right - left).max(0.0);
        if long > 0.0 {
            canvas.rect("bar", (left, y + 3.0), (long.max(1.0), LINE - 5.0));
        }
        canvas.text("soft", (left + long + 6.0, y + 14.0), Side::Right, &bar.words);
        y += LINE + 2.0;
    }
    canvas.line("frame", &[(left, top), (left, y)]);
    y
}

/// Height of so many bars.
pub(super) fn height(count: usize) -> f64 {
    f64::from(u32::try_from(count).unwrap_or(u32::MAX)) * (LINE + 2.0)
}
