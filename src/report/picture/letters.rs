//! How wide words are. Browsers choose their own font, so this is the width in a wide one (DejaVu Sans,
//! its own table of advances): what fits here fits in all common ones.

/// Height of a letter above the baseline and below it, in units of the font size.
const ABOVE: f64 = 0.78;
const BELOW: f64 = 0.24;

/// The font size of every text in a picture.
pub(super) const SIZE: f64 = 12.0;

/// Width of words at [`SIZE`].
pub(super) fn width(words: &str, bold: bool) -> f64 {
    let bold = if bold { 1.12 } else { 1.0 };
    words.chars().map(advance).sum::<f64>() * SIZE * bold
}

/// What words cover, from the left end of their baseline.
pub(super) fn frame((x, y): (f64, f64), width: f64) -> Frame {
    Frame { left: x, right: x + width, top: y - ABOVE * SIZE, bottom: y + BELOW * SIZE }
}

/// A rectangle that something covers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Frame {
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) top: f64,
    pub(super) bottom: f64,
}

#[cfg(test)]
impl Frame {
    pub(super) fn overlaps(&self, other: &Self) -> bool {
        self.left < other.right && other.left < self.right && self.top < other.bottom && other.top < self.bottom
    }
}

fn advance(c: char) -> f64 {
    match c {
        'i' | 'j' | 'l' | '\'' => 0.28,
        ' ' | '\u{a0}' | '.' | ',' | 'I' | 'J' => 0.32,
        '/' | ':' | '-' | '|' => 0.36,
        'f' | 't' | 'r' | '(' | ')' => 0.41,
        'c' | 's' | 'z' | 'k' | 'v' | 'x' | 'y' | '°' | '–' => 0.6,
        'm' | '%' | 'W' | 'M' => 1.0,
        '+' | '=' | '<' | '>' | '±' | '−' | '∞' | '∥' | 'w' | '√' => 0.84,
        'a'..='z' | '0'..='9' | 'µ' | 'μ' => 0.64,
        'A'..='Z' | 'Ω' => 0.79,
        _ => 1.05,
    }
}
