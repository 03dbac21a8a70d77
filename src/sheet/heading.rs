use super::grid::{Cell, Grid};
use std::ops::Range;

/// The words of a heading and the unit in its brackets.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Heading {
    /// Letters and digits alone, in lower case.
    pub(super) plain: String,
    /// As it is written, without the brackets.
    pub(super) words: String,
    pub(super) unit: Option<String>,
    pub(super) span: Range<usize>,
}

impl Heading {
    pub(super) fn of(cell: &Cell) -> Self {
        let text = cell.text.as_str();
        let (words, unit) = match text.find(['[', '(']) {
            Some(open) => {
                let inner = text[open + 1..].trim().trim_end_matches([']', ')']).trim();
                (text[..open].trim(), (!inner.is_empty()).then(|| inner.to_owned()))
            }
            None => (text, None),
        };
        Self { plain: plain(words), words: words.to_owned(), unit, span: cell.span.clone() }
    }

    pub(super) fn is(&self, names: &[&str]) -> bool {
        names.contains(&self.plain.as_str())
    }
}

/// Letters and digits alone, in lower case.
pub(super) fn plain(words: &str) -> String {
    words.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// How far down a heading may stand: other programs put a few lines of text above it.
const DEEPEST: usize = 40;

/// The first row that is a heading, as `is` says, with its number.
pub(super) fn find(grid: &Grid, is: impl Fn(&[Heading]) -> bool) -> Option<(usize, Vec<Heading>)> {
    grid.rows.iter().take(DEEPEST).enumerate().find_map(|(at, row)| {
        let heads: Vec<Heading> = row.iter().map(Heading::of).collect();
        is(&heads).then_some((at, heads))
    })
}
