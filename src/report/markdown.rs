//! Markdown as code hosts show it: headings, tables, and every foreign word escaped.
use super::board;
use super::document::{Document, Formula, Tone, Verdict};
use super::escape::{escaped, in_a_link, started};
use super::page::{Cell, Page, standing, walk};
use super::picture::Picture;
use std::fmt::Write as _;

impl Document {
    /// The document as markdown; no title or message can turn into markup. Pictures are linked from
    /// the folder `pictures`, as the reader of the document finds it; without one they are set in characters.
    #[must_use]
    pub fn to_markdown(&self, pictures: Option<&str>) -> String {
        let mut markdown = Markdown { out: String::new(), pictures };
        walk(self, &mut markdown);
        markdown.out
    }
}

/// Columns of an equation.
const BOARD: usize = 76;

struct Markdown<'p> {
    out: String,
    pictures: Option<&'p str>,
}

impl Page for Markdown<'_> {
    fn opening(&mut self, verdict: &Verdict, title: &str) {
        if !title.trim().is_empty() {
            self.block(&format!("# {}", escaped(title)));
        }
        self.block(&format!("**{}**", escaped(&verdict.words)));
    }

    fn heading(&mut self, depth: usize, words: &str) {
        self.block(&format!("{} {}", "#".repeat((depth + 2).min(6)), escaped(words)));
    }

    fn fold(&mut self, _depth: usize, words: &str) {
        self.block(&format!("<details><summary>{}</summary>", escaped(words)));
    }

    fn unfold(&mut self) {
        self.block("</details>");
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
        self.fenced("text", &lines.join("\n"));
    }

    fn picture(&mut self, _depth: usize, picture: &Picture) {
        match self.pictures {
            Some(folder) => {
                let place = format!("{folder}/{}", picture.file_name()).replace('\\', "/");
                let place: String = place.chars().map(in_a_link).collect();
                self.block(&format!("![{}](<{place}>)", escaped(&picture.description)));
            }
            None if picture.plain.is_empty() => {}
            None => self.fenced("text", &picture.plain.join("\n")),
        }
    }

    fn listing(&mut self, heading: &str, text: &str) {
        self.heading(0, heading);
        self.fenced("toml", text.trim_end());
    }

    fn closing(&mut self, maker: &str) {
        self.block(&started(maker));
    }
}

impl Markdown<'_> {
    fn block(&mut self, block: &str) {
        if !self.out.is_empty() {
            self.out.push('\n');
        }
        self.out.push_str(block);
        self.out.push('\n');
    }

    /// A text as it stands, in a fence longer than any run of backticks in it.
    fn fenced(&mut self, language: &str, text: &str) {
        let longest = text.split(|c| c != '`').map(str::len).max().unwrap_or(0);
        let fence = "`".repeat(longest.max(2) + 1);
        let text: String = text.replace("\r\n", "\n").chars().map(standing).collect();
        self.block(&format!("{fence}{language}\n{text}\n{fence}"));
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
