//! Columns of words in the 80 of a terminal.
use super::page::TIE;
use comfy_table::{ColumnConstraint, ContentArrangement, Table, Width, presets};

/// The columns of a terminal that shows everything without folding it.
pub(super) const WIDTH: usize = 80;
/// Space between two columns.
const GUTTER: u16 = 2;

/// A table without lines, set in what an indent leaves of the width.
pub(super) fn plain_table(indent: usize) -> Table {
    let mut table = Table::new();
    table.load_style(presets::NOTHING).set_content_arrangement(ContentArrangement::Dynamic);
    table.set_width(u16::try_from(WIDTH - indent + usize::from(GUTTER)).unwrap_or(u16::MAX));
    table
}

/// The lines of a table behind its indent.
pub(super) fn set(table: &mut Table, indent: usize) -> Vec<String> {
    for column in table.column_iter_mut() {
        column.set_padding((0, GUTTER));
    }
    keep_words_whole(table, WIDTH - indent);
    table.lines().map(|line| " ".repeat(indent) + line.replace(TIE, " ").trim_end()).collect()
}

/// Makes no column narrower than its longest word, where the width has room for all of these.
fn keep_words_whole(table: &mut Table, width: usize) {
    let cells = |at: usize| table.column_cells_with_header_iter(at).flatten().map(|cell| cell.content());
    let longest = |at: usize| cells(at).flat_map(|words| words.split(' ').map(|word| word.chars().count()).max()).max();
    let words: Vec<usize> =
        (0..table.column_iter().count()).map(|at| longest(at).unwrap_or(0) + usize::from(GUTTER)).collect();
    if words.iter().sum::<usize>() > width + usize::from(GUTTER) {
        return;
    }
    for (column, word) in table.column_iter_mut().zip(words) {
        let least = u16::try_from(word).unwrap_or(u16::MAX);
        column.set_constraint(ColumnConstraint::LowerBoundary(Width::Fixed(least)));
    }
}

/// Words folded into the width.
pub(super) fn folded(words: &str, indent: usize) -> Vec<String> {
    if words.is_empty() {
        return Vec::new();
    }
    let mut table = plain_table(indent);
    table.add_row([words]);
    set(&mut table, indent)
}
