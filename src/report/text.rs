//! Text for a terminal of 80 columns.
use super::board;
use super::columns::{WIDTH, folded, plain_table, set};
use super::document::{Document, Formula, Tone, Verdict};
use super::page::{Cell, Page, steers, walk};
use super::picture::Picture;
use anstyle::{AnsiColor, Style};
use comfy_table::CellAlignment;

const STEP: usize = 2;
/// Whether the reader's terminal takes colour.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paint {
    /// Words alone.
    #[default]
    Plain,
    /// Headings and verdicts stand out.
    Styled,
}

impl Document {
    /// The document for a terminal, at most 80 columns wide.
    #[must_use]
    pub fn to_text(&self, paint: Paint) -> String {
        let mut text = Text { out: String::new(), paint, headed: false };
        walk(self, &mut text);
        text.out
    }
}

struct Text {
    out: String,
    paint: Paint,
    /// True right after a heading.
    headed: bool,
}

impl Page for Text {
    fn opening(&mut self, verdict: &Verdict, title: &str) {
        let style = tone(verdict.tone).bold();
        for line in folded(&printable(&verdict.words), 0) {
            self.line(&self.painted(&line, style));
        }
        self.lines(folded(&printable(title), 0));
    }

    fn heading(&mut self, depth: usize, words: &str) {
        self.out.push('\n');
        for line in folded(&printable(words), depth * STEP) {
            self.line(&self.painted(&line, Style::new().bold()));
        }
        self.headed = true;
    }

    fn pairs(&mut self, depth: usize, pairs: &[(String, Cell)]) {
        let mut table = plain_table(depth * STEP);
        for (label, cell) in pairs {
            table.add_row([printable(label), printable(&cell.words)]);
        }
        self.gap();
        self.lines(set(&mut table, depth * STEP));
    }

    fn table(&mut self, depth: usize, heads: &[String], rows: &[Vec<Cell>]) {
        let mut table = plain_table(depth * STEP);
        table.set_header(heads.iter().map(|head| printable(head)));
        for row in rows {
            table.add_row(row.iter().map(|cell| printable(&cell.words)));
        }
        for (at, column) in table.column_iter_mut().enumerate() {
            let numeric = rows.iter().all(|row| row.get(at).is_none_or(|c| c.numeric || c.words.is_empty()));
            column.set_cell_alignment(if numeric { CellAlignment::Right } else { CellAlignment::Left });
        }
        let last: Vec<&Cell> = rows.iter().filter_map(|row| row.last()).collect();
        for line in set(&mut table, depth * STEP) {
            self.line(&self.toned(&line, &last));
        }
    }

    fn entry(&mut self, depth: usize, head: &str, rest: &[String]) {
        self.lines(folded(&printable(head), depth * STEP));
        for words in rest {
            self.lines(folded(&printable(words), (depth + 1) * STEP));
        }
    }

    fn list(&mut self, depth: usize, items: &[String]) {
        let mut table = plain_table(depth * STEP);
        for item in items {
            table.add_row(["-".to_owned(), printable(item)]);
        }
        self.lines(set(&mut table, depth * STEP));
    }

    fn paragraph(&mut self, depth: usize, words: &str) {
        self.gap();
        self.lines(folded(&printable(words), depth * STEP));
    }

    fn equation(&mut self, depth: usize, formula: &Formula) {
        let indent = (depth + 1) * STEP;
        self.lines(board::lines(formula, WIDTH - indent).into_iter().map(|line| " ".repeat(indent) + &line).collect());
    }
    fn picture(&mut self, depth: usize, picture: &Picture) {
        if picture.plain.is_empty() {
            return;
        }
        self.gap();
        self.lines(folded(&printable(&picture.caption), depth * STEP));
        self.lines(picture.plain.iter().map(|line| format!("{}{line}", " ".repeat((depth + 1) * STEP))).collect());
    }

    fn listing(&mut self, _heading: &str, _text: &str) {}

    fn closing(&mut self, _maker: &str) {}
}

impl Text {
    fn line(&mut self, line: &str) {
        self.out.push_str(line.trim_end());
        self.out.push('\n');
        self.headed = false;
    }

    fn lines(&mut self, lines: Vec<String>) {
        for line in lines {
            self.line(&line);
        }
    }

    /// A blank line before a block that no heading introduces.
    fn gap(&mut self) {
        if !self.headed {
            self.out.push('\n');
        }
    }

    fn painted(&self, words: &str, style: Style) -> String {
        let spaces = words.len() - words.trim_start().len();
        match self.paint {
            Paint::Styled if !words.trim().is_empty() => {
                format!("{}{style}{}{style:#}", &words[..spaces], words.trim())
            }
            _ => words.to_owned(),
        }
    }

    /// Colours the verdict that ends a row; the widths are settled by then.
    fn toned(&self, line: &str, last: &[&Cell]) -> String {
        let line = line.trim_end();
        let verdict = last.iter().find(|cell| cell.tone != Tone::Plain && line.ends_with(&cell.words));
        match verdict.and_then(|cell| Some((line.strip_suffix(cell.words.as_str())?, cell))) {
            Some((before, cell)) => format!("{before}{}", self.painted(&cell.words, tone(cell.tone))),
            None => line.to_owned(),
        }
    }
}

const fn tone(tone: Tone) -> Style {
    let colour = match tone {
        Tone::Plain => return Style::new(),
        Tone::Good => AnsiColor::Green,
        Tone::Bad => AnsiColor::Red,
        Tone::Open => AnsiColor::Yellow,
    };
    Style::new().fg_color(Some(anstyle::Color::Ansi(colour)))
}

/// Words on one line, without what would steer a terminal.
fn printable(words: &str) -> String {
    let shown = words.split(['\n', '\r', '\t']).filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ");
    shown.chars().map(|c| if steers(c) { '\u{fffd}' } else { c }).collect()
}
