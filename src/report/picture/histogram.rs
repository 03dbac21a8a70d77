//! How many boards lie where, and the limits among them.
use super::Picture;
use super::axis::{Axis, prefix};
use super::canvas::Canvas;
use super::chart::{self, Key, WIDTH};
use crate::quantity::{Unit, rounded};

const HIGH: f64 = 160.0;
/// Limits are drawn up to so many widths of the spread away.
const FAR: f64 = 2.0;

/// A limit and its words.
#[derive(Clone, Debug, PartialEq)]
pub struct Bound {
    /// Where it stands.
    pub at: f64,
    /// What it is called.
    pub words: String,
}

/// A histogram of equal classes from `low` to `high`, by the share of boards in each.
///
/// `unit` is what the values are measured in: a fraction is shown in %, all else with an SI prefix. A limit far
/// outside is named and not drawn, so that the boards keep their width.
/// Nothing where there are no classes, or no width.
#[must_use]
pub fn histogram(
    name: &'static str,
    caption: &str,
    (low, high): (f64, f64),
    (unit, sign): (Unit, &str),
    shares: &[f64],
    bounds: &[Bound],
) -> Option<Picture> {
    let greatest = shares.iter().copied().fold(0.0, f64::max);
    if shares.is_empty() || !(high > low) || !(greatest > 0.0) {
        return None;
    }
    let mut keys = vec![Key::area("bar", "share of boards")];
    let far = FAR * (high - low);
    let outside = |bound: &Bound| match bound.at {
        at if at < low - far => Some("far to the left"),
        at if at > high + far => Some("far to the right"),
        _ => None,
    };
    let told: Vec<String> = bounds
        .iter()
        .map(|bound| outside(bound).map_or_else(|| bound.words.clone(), |where_| format!("{}, {where_}", bound.words)))
        .collect();
    keys.extend(told.iter().map(|words| Key::line("warm", words.clone())));
    let top = chart::arranged(&keys).1 + 36.0;
    let up = Axis { low: 0.0, high: greatest, from: top + HIGH, to: top };
    let step = up.step(4);
    let up = up.rounded_out(step);
    let left = 8.0 + chart::widest(&up, (step, 0.01)) + 8.0;
    let drawn = || bounds.iter().filter(|bound| outside(bound).is_none());
    let reach = drawn().fold((low, high), |(a, b), bound| (a.min(bound.at), b.max(bound.at)));
    let edge = 0.04 * (reach.1 - reach.0);
    let across = Axis { low: reach.0 - edge, high: reach.1 + edge, from: left, to: WIDTH - 16.0 };
    let (scale, sign) = match unit {
        Unit::Fraction => (0.01, "%".to_owned()),
        Unit::Decibel => (1.0, "dB".to_owned()),
        _ => {
            let (scale, letter) = prefix(across.low.abs().max(across.high.abs()));
            (scale, format!("{letter}{sign}"))
        }
    };
    let mut canvas = Canvas::new(WIDTH, top + HIGH + 44.0);
    chart::legend(&mut canvas, &keys);
    chart::level(&mut canvas, &across, (chart::roomy(&across, scale), scale), (top, top + HIGH), &sign);
    chart::upright(&mut canvas, &up, (step, 0.01), (left, across.to), "%");
    let count = f64::from(u32::try_from(shares.len()).ok()?);
    // one outline: bars side by side would show seams
    let mut outline = vec![(across.place(low), up.from)];
    for (at, share) in (0_u32..).zip(shares) {
        let ends = [f64::from(at), f64::from(at) + 1.0].map(|end| across.place(low + (high - low) * end / count));
        outline.extend(ends.map(|end| (end, up.place(*share))));
    }
    outline.push((across.place(high), up.from));
    canvas.shape("bar", &outline);
    canvas.rect("frame", (left, top), (across.to - left, HIGH));
    for bound in drawn() {
        let x = across.place(bound.at);
        canvas.line("warm", &[(x, top), (x, top + HIGH)]);
    }
    let (a, b) = (rounded(low, unit, 4), rounded(high, unit, 4));
    let listed = if told.is_empty() { String::new() } else { format!(" Limits: {}.", told.join("; ")) };
    let description = format!("Boards lie from {a} to {b}.{listed}");
    Some(Picture { name, caption: caption.to_owned(), description, plain: Vec::new(), canvas })
}
