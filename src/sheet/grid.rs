use crate::spec::{Fault, Faults};
use std::{ops::Range, sync::Arc};

/// One cell: its text without quotes, and where it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Cell {
    pub(super) text: String,
    pub(super) span: Range<usize>,
}

/// A text cut into rows of cells.
#[derive(Clone, Debug)]
pub(super) struct Grid {
    name: String,
    text: Arc<str>,
    pub(super) rows: Vec<Vec<Cell>>,
}

impl Grid {
    /// Cuts a text; `name` is what people know the file by.
    pub(super) fn cut(name: &str, text: &str) -> Result<Self, Faults> {
        let text: Arc<str> = text.strip_prefix('\u{feff}').unwrap_or(text).into();
        let mut grid = Self { name: name.to_owned(), text: text.clone(), rows: Vec::new() };
        let (separator, start) = separator(&text);
        let mut cutter = Cutter { text: &text, at: start, separator };
        while let Some(row) = cutter.row().map_err(|span| Faults(vec![grid.unclosed(span)]))? {
            if row.iter().any(|cell| !cell.text.is_empty()) {
                grid.rows.push(row);
            }
        }
        Ok(grid)
    }

    fn unclosed(&self, span: Range<usize>) -> Fault {
        self.fault(&span, "unclosed-quote", "a cell begins with a quote that is never closed".to_owned())
            .help("close it, or double a quote that is meant as such")
    }

    /// A fault at a place of the text.
    pub(super) fn fault(&self, span: &Range<usize>, code: &'static str, message: String) -> Fault {
        Fault { span: Some(span.clone()), label: "here".to_owned(), ..self.whole(code, message) }
    }

    /// A fault of the file as a whole. Characters that steer a terminal are written out.
    pub(super) fn whole(&self, code: &'static str, message: String) -> Fault {
        let written = |c: char| if c.is_control() { c.escape_default().collect() } else { vec![c] };
        Fault {
            code,
            message: message.chars().flat_map(written).collect(),
            label: String::new(),
            help: None,
            file: self.name.clone(),
            text: self.text.clone(),
            span: None,
        }
    }

    pub(super) fn name(&self) -> &str {
        &self.name
    }
}

/// What stands between cells, and where the first row begins: the most frequent of the usual ones
/// over the first lines, unless a line `sep=` says it.
fn separator(text: &str) -> (char, usize) {
    if let Some(rest) = text.strip_prefix("sep=")
        && let Some(said) = rest.chars().next()
    {
        return (said, rest.find('\n').map_or(text.len(), |end| 4 + end + 1));
    }
    let mut counts = [(',', 0_usize), (';', 0), ('\t', 0)];
    let mut quoted = false;
    for c in text.lines().take(50).flat_map(|line| line.chars().chain(['\n'])) {
        quoted ^= c == '"';
        for (separator, count) in &mut counts {
            *count += usize::from(c == *separator && !quoted);
        }
    }
    // `;` and tabs are never part of a number or a list of designators: where they are, they separate.
    let [comma, semicolon, tab] = counts.map(|(_, count)| count);
    let chosen = if tab > 0 && tab >= semicolon {
        '\t'
    } else if semicolon > 0 && 4 * semicolon >= comma {
        ';'
    } else {
        ','
    };
    (chosen, 0)
}

struct Cutter<'t> {
    text: &'t str,
    at: usize,
    separator: char,
}

impl Cutter<'_> {
    fn peek(&self) -> Option<char> {
        self.text.get(self.at..)?.chars().next()
    }

    fn row(&mut self) -> Result<Option<Vec<Cell>>, Range<usize>> {
        if self.at >= self.text.len() {
            return Ok(None);
        }
        let mut row = Vec::new();
        loop {
            row.push(self.cell()?);
            match self.peek() {
                Some(c) if c == self.separator => self.at += c.len_utf8(),
                Some('\r') => {
                    self.at += 1;
                    self.at += usize::from(self.peek() == Some('\n'));
                    return Ok(Some(row));
                }
                Some(c) => {
                    self.at += c.len_utf8();
                    return Ok(Some(row));
                }
                None => return Ok(Some(row)),
            }
        }
    }

    /// One cell, up to what ends it.
    fn cell(&mut self) -> Result<Cell, Range<usize>> {
        while self.peek().is_some_and(|c| c == ' ' && c != self.separator) {
            self.at += 1;
        }
        let start = self.at;
        if self.peek() == Some('"') {
            return self.quoted(start);
        }
        while self.peek().is_some_and(|c| c != self.separator && c != '\n' && c != '\r') {
            self.at += self.peek().map_or(1, char::len_utf8);
        }
        let text = self.text[start..self.at].trim();
        Ok(Cell { text: text.to_owned(), span: start..start + text.len() })
    }

    fn quoted(&mut self, start: usize) -> Result<Cell, Range<usize>> {
        let mut text = String::new();
        self.at += 1;
        loop {
            match self.peek() {
                None => return Err(start..start + 1),
                Some('"') => {
                    self.at += 1;
                    if self.peek() != Some('"') {
                        break;
                    }
                    text.push('"');
                    self.at += 1;
                }
                Some(c) => {
                    text.push(c);
                    self.at += c.len_utf8();
                }
            }
        }
        let span = start..self.at;
        // What follows a closed quote inside its cell belongs to it.
        while let Some(c) = self.peek().filter(|c| *c != self.separator && *c != '\n' && *c != '\r') {
            text.push(c);
            self.at += c.len_utf8();
        }
        Ok(Cell { text: text.trim().to_owned(), span })
    }
}
