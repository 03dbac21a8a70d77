//! The one walk for people's formats: the tree becomes headings, pairs, tables and paragraphs of
//! words. A format says only how each of these is set.
use super::document::{Audience, Document, Field, Formula, Number, Record, Tone, Value, Verdict};
use super::picture::Picture;
use crate::quantity::{self, Unit};

/// Stands between a number and its unit, so that they stay on one line.
pub(super) const TIE: &str = "\u{a0}";

/// Words for one place of a table or a pair.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Cell {
    pub(super) words: String,
    pub(super) tone: Tone,
    /// True for a number with its unit, which is set to the right.
    pub(super) numeric: bool,
    /// What the words are rounded from, to sort by; infinite where there is no number.
    pub(super) rank: Option<f64>,
}

/// How a format sets what the walk hands it. `depth` is 0 for a heading of the document itself.
pub(super) trait Page {
    fn opening(&mut self, verdict: &Verdict, title: &str);
    fn heading(&mut self, depth: usize, words: &str);
    /// Begins what may stay closed under this heading; a format that can't close leaves it open.
    fn fold(&mut self, depth: usize, words: &str) {
        self.heading(depth, words);
    }
    /// Ends it.
    fn unfold(&mut self) {}
    fn pairs(&mut self, depth: usize, pairs: &[(String, Cell)]);
    fn table(&mut self, depth: usize, heads: &[String], rows: &[Vec<Cell>]);
    fn entry(&mut self, depth: usize, head: &str, rest: &[String]);
    fn list(&mut self, depth: usize, items: &[String]);
    fn paragraph(&mut self, depth: usize, words: &str);
    fn equation(&mut self, depth: usize, formula: &Formula);
    fn picture(&mut self, depth: usize, picture: &Picture);
    /// A text as it stands, under a heading of its own; a format that is not kept leaves it out.
    fn listing(&mut self, heading: &str, text: &str);
    /// The last line: what made the document.
    fn closing(&mut self, maker: &str);
}

/// What made the document: the same spec and version give the same bytes.
const MAKER: &str = concat!("evenkeel ", env!("CARGO_PKG_VERSION"));

/// Sets a document on a page.
pub(super) fn walk(document: &Document, page: &mut dyn Page) {
    page.opening(&document.verdict, &document.title);
    record(&document.body, 0, page);
    if let Some(spec) = &document.spec {
        page.listing("The spec as given", spec);
    }
    page.closing(MAKER);
}

fn record(record: &Record, depth: usize, page: &mut dyn Page) {
    let mut pairs = Vec::new();
    for field in record.fields.iter().filter(|field| for_people(field)) {
        if let Some(cell) = cell(&field.value) {
            pairs.push((field.label.to_string(), cell));
            continue;
        }
        flush(&mut pairs, depth, page);
        block(field, depth, page);
    }
    flush(&mut pairs, depth, page);
}

fn for_people(field: &Field) -> bool {
    field.audience != Audience::Data
}

fn flush(pairs: &mut Vec<(String, Cell)>, depth: usize, page: &mut dyn Page) {
    if !pairs.is_empty() {
        page.pairs(depth, pairs);
        pairs.clear();
    }
}

fn block(field: &Field, depth: usize, page: &mut dyn Page) {
    match &field.value {
        Value::Note(words) => page.paragraph(depth, words),
        Value::Equation(formula) => page.equation(depth, formula),
        Value::Picture(picture) => page.picture(depth, picture),
        Value::Section(inner) if inner.fields.iter().any(for_people) => {
            page.heading(depth, &field.label);
            record(inner, depth + 1, page);
        }
        Value::Fold(inner) => {
            page.fold(depth, &field.label);
            record(inner, depth + 1, page);
            page.unfold();
        }
        Value::Sections(all) => {
            for (heading, inner) in all {
                page.heading(depth, heading);
                record(inner, depth + 1, page);
            }
        }
        Value::Texts(items) if !items.is_empty() => {
            page.heading(depth, &field.label);
            page.list(depth + 1, items);
        }
        Value::Table(rows) if !rows.is_empty() => {
            page.heading(depth, &field.label);
            let heads = heads(rows);
            let cells: Vec<Vec<Cell>> =
                rows.iter().map(|row| heads.iter().map(|head| under(row, head)).collect()).collect();
            page.table(depth + 1, &heads, &cells);
        }
        Value::Entries(rows) if !rows.is_empty() => {
            page.heading(depth, &field.label);
            for row in rows {
                let mut words =
                    row.fields.iter().filter(|f| for_people(f)).filter_map(|f| cell(&f.value)).map(|c| c.words);
                let head = words.next().unwrap_or_default();
                page.entry(depth + 1, &head, &words.filter(|line| !line.is_empty()).collect::<Vec<_>>());
            }
        }
        _ => {}
    }
}

/// The columns of a table: every label that has a cell in some row, in the order of first sight.
fn heads(rows: &[Record]) -> Vec<String> {
    let mut heads: Vec<String> = Vec::new();
    for field in rows.iter().flat_map(|row| &row.fields).filter(|field| for_people(field)) {
        if cell(&field.value).is_some() && !heads.iter().any(|head| *head == field.label) {
            heads.push(field.label.to_string());
        }
    }
    heads
}

fn under(row: &Record, head: &str) -> Cell {
    let field = row.fields.iter().find(|field| for_people(field) && field.label == head);
    field.and_then(|field| cell(&field.value)).unwrap_or_default()
}

/// What fits one cell; `None` for what needs room of its own.
fn cell(value: &Value) -> Option<Cell> {
    match value {
        Value::Number(number) => {
            let rank = Some(number.si.unwrap_or(f64::INFINITY));
            Some(Cell { words: shown(number), numeric: true, rank, ..Cell::default() })
        }
        Value::Numbers(values, unit, joint) => {
            let each: Vec<String> = values.iter().map(|value| tied(*value, *unit, 4)).collect();
            Some(Cell { words: each.join(joint), numeric: true, ..Cell::default() })
        }
        Value::Count(count) => Some(Cell { words: count.to_string(), numeric: true, ..Cell::default() }),
        Value::Text(words) => Some(Cell { words: words.clone().unwrap_or_default(), ..Cell::default() }),
        Value::Flag(is, words) => {
            let (words, tone) = match is {
                Some(true) => (words[0], Tone::Good),
                Some(false) => (words[1], Tone::Bad),
                None => (words[2], Tone::Open),
            };
            Some(Cell { words: words.to_owned(), tone, ..Cell::default() })
        }
        Value::Texts(_) | Value::Table(_) | Value::Entries(_) => None,
        Value::Section(_)
        | Value::Fold(_)
        | Value::Sections(_)
        | Value::Note(_)
        | Value::Picture(_)
        | Value::Equation(_) => None,
    }
}

fn shown(number: &Number) -> String {
    number.si.map_or_else(|| number.none.to_owned(), |si| tied(si, number.unit, number.digits))
}

/// A rounded number that no format breaks from its unit.
fn tied(si: f64, unit: Unit, digits: usize) -> String {
    quantity::rounded(si, unit, digits).replace(' ', TIE)
}

/// Control characters, and the ones that turn the direction of writing: no title may steer the page.
pub(super) fn steers(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2028}' | '\u{2029}' | '\u{2066}'..='\u{2069}')
}

/// A character of a text that is shown as it stands, line ends and tabs included.
pub(super) fn standing(c: char) -> char {
    if steers(c) && c != '\n' && c != '\t' { '\u{fffd}' } else { c }
}
