//! Markdown as code hosts show it: headings, tables, and every foreign word escaped.
use super::board;
use super::document::{Document, Formula, Tone, Verdict};
use super::page::{Cell, Page, steers, walk};
use std::fmt::Write as _;

impl Document {
    /// The document as markdown; no title or message can turn into markup.
    #[must_use]
    pub fn to_markdown(&self) -> String {
        let mut markdown = Markdown { out: String::new() };
        walk(self, &mut markdown);
        markdown.out
    }
}

/// Columns of an equation.
const BOARD: usize = 76;

struct Markdown {
    out: String,
}

impl Page for Markdown {
    fn opening(&mut self, verdict: &Verdict, title: &str) {
        if !title.trim().is_empty() {
            self.block(&format!("# {}", escaped(title)));
        }
        self.block(&format!("**{}**", escaped(&verdict.words)));
    }

    fn heading(&mut self, depth: usize, words: &str) {
        self.block(&format!("{} {}", "#".repeat((depth + 2).min(6)), escaped(words)));
    }

    fn pairs(&mut self, _depth: usize, pairs: &[(String, Cell)]) {
        let mut lines = "| | |\n| --- | --- |".to_owned();
        for (label, cell) in pairs {
            let _ = write!(lines, "\n| {} | {} |", escaped(label), toned(cell));
        }
        self.block(&lines);
    }

    fn table(&mut self, _depth: usize, heads: &[String], rows: &[Vec<Cell>]) {
        let mut lines = row(heads.iter().map(|head| escaped(head)));
        lines.push('\n');
        lines += &row((0..heads.len()).map(|at| {
            let numeric = rows.iter().all(|row| row.get(at).is_none_or(|c| c.numeric || c.words.is_empty()));
            if numeric { "---:" } else { "---" }.to_owned()
        }));
        for cells in rows {
            lines.push('\n');
            lines += &row(cells.iter().map(toned));
        }
        self.block(&lines);
    }

    fn entry(&mut self, _depth: usize, head: &str, rest: &[String]) {
        let rest: Vec<String> = rest.iter().map(|words| escaped(words)).collect();
        self.block(&format!("- **{}**: {}", escaped(head), rest.join("<br>\n  ")));
    }

    fn list(&mut self, _depth: usize, items: &[String]) {
        let items: Vec<String> = items.iter().map(|item| format!("- {}", started(item))).collect();
        self.block(&items.join("\n"));
    }

    fn paragraph(&mut self, _depth: usize, words: &str) {
        self.block(&started(words));
    }

    fn equation(&mut self, _depth: usize, formula: &Formula) {
        let lines = board::lines(formula, BOARD);
        self.block(&format!("```text\n{}\n```", lines.join("\n")));
    }
}

impl Markdown {
    fn block(&mut self, block: &str) {
        if !self.out.is_empty() {
            self.out.push('\n');
        }
        self.out.push_str(block);
        self.out.push('\n');
    }
}

fn row(cells: impl Iterator<Item = String>) -> String {
    format!("| {} |", cells.collect::<Vec<_>>().join(" | "))
}

fn toned(cell: &Cell) -> String {
    match cell.tone {
        Tone::Bad | Tone::Open if !cell.words.is_empty() => format!("**{}**", escaped(&cell.words)),
        _ => escaped(&cell.words),
    }
}

/// Escaped words for the start of a block, where a number or a sign could begin a list.
fn started(words: &str) -> String {
    let escaped = escaped(words);
    let digits = escaped.len() - escaped.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    match escaped[digits..].chars().next() {
        Some('.' | ')') if digits > 0 => format!("{}\\{}", &escaped[..digits], &escaped[digits..]),
        Some('-' | '+' | '=') if digits == 0 => format!("\\{escaped}"),
        _ => escaped,
    }
}

/// Words that mean themselves: on one line, with markup characters escaped, and with addresses and
/// mentions kept from turning into links.
fn escaped(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
    for c in words.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '@' => out.push_str("&#64;"),
            '\\' | '`' | '*' | '_' | '[' | ']' | '|' | '~' | '#' | '$' | '!' => {
                out.push('\\');
                out.push(c);
            }
            c if steers(c) => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out.replace("://", "&#58;//").replace("www.", "www&#46;")
}
