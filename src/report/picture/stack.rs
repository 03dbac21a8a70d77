//! Shares of a whole, twice: as they are, and as they would be.
use super::Picture;
use super::canvas::{Canvas, Point, Side};
use super::chart::{LINE, WIDTH};
use super::letters::width;
use crate::quantity::{Unit, rounded};

/// One share, in the same measure before and after.
#[derive(Clone, Debug, PartialEq)]
pub struct Share {
    /// What it is.
    pub name: String,
    /// As it is; zero or above.
    pub before: f64,
    /// As it would be; zero or above.
    pub after: f64,
}

const BAR: f64 = 26.0;
const TONES: [(&str, &str); 4] = [("f1", "on1"), ("f2", "on2"), ("f3", "on3"), ("f4", "on4")];

/// Two stacked bars with numbered shares, and the numbers' names below.
///
/// Shares are fractions (shown in ppm or %). Nothing where they are all zero.
#[must_use]
pub fn stack(name: &'static str, caption: &str, rows: [&str; 2], shares: &[Share]) -> Option<Picture> {
    let totals = [|s: &Share| s.before, |s: &Share| s.after].map(|of| shares.iter().map(of).sum::<f64>());
    let greatest = totals[0].max(totals[1]);
    if !(greatest > 0.0 && greatest.is_finite()) {
        return None;
    }
    let told = |value: f64| rounded(value, Unit::Fraction, 3);
    let mut canvas = Canvas::new(WIDTH, 0.0);
    let mut y = 8.0;
    for (row, (words, total)) in rows.into_iter().zip(totals).enumerate() {
        canvas.text("name", (8.0, y + 12.0), Side::Right, words);
        canvas.text("soft", (WIDTH - 8.0, y + 12.0), Side::Left, &told(total));
        let lengths = shares.iter().map(|share| if row == 0 { share.before } else { share.after } / greatest);
        pile(&mut canvas, (8.0, y + LINE), &lengths.collect::<Vec<_>>());
        y += LINE + BAR + 12.0;
    }
    let heads = rows.map(|words| words.to_owned());
    let columns = [WIDTH - 138.0, WIDTH - 8.0];
    for (words, right) in heads.iter().zip(columns) {
        canvas.text("soft", (right, y + 12.0), Side::Left, words);
    }
    y += LINE;
    for (at, share) in shares.iter().enumerate() {
        canvas.rect(TONES[at % 4].0, (8.0, y + 2.0), (14.0, 13.0));
        canvas.text("", (46.0, y + 13.0), Side::Left, &(at + 1).to_string());
        canvas.text("", (54.0, y + 13.0), Side::Right, &share.name);
        for (value, right) in [share.before, share.after].into_iter().zip(columns) {
            canvas.text("soft", (right, y + 13.0), Side::Left, &told(value));
        }
        y += LINE;
    }
    canvas.height = y + 8.0;
    let longest = shares.iter().max_by(|a, b| a.before.total_cmp(&b.before))?;
    let description = format!(
        "{}: {}, {}: {}. The greatest share is {}, {}.",
        rows[0],
        told(totals[0]),
        rows[1],
        told(totals[1]),
        longest.name,
        told(longest.before),
    );
    Some(Picture { name, caption: caption.to_owned(), description, plain: Vec::new(), canvas })
}

/// One bar of shares side by side, each with its number where that has room.
fn pile(canvas: &mut Canvas, (left, top): Point, lengths: &[f64]) {
    let mut x = left;
    for (at, length) in lengths.iter().enumerate() {
        let long = length * (WIDTH - 16.0);
        let (fill, on) = TONES[at % 4];
        if long > 0.0 {
            canvas.rect(fill, (x, top), (long.max(0.5), BAR));
        }
        let number = (at + 1).to_string();
        if long > width(&number, false) + 4.0 {
            canvas.text(on, (x + long / 2.0, top + 17.0), Side::Middle, &number);
        }
        x += long;
    }
}
