//! Complaints for people: headline, place, the line with a caret, help.
use super::complaint::{Complaint, Place};
use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet};
use std::ops::Range;

const WIDTH: usize = 80;
/// What stands before a headline and before a help.
const BEFORE_HEADLINE: usize = "error: ".len();
const BEFORE_HELP: usize = "     = help: ".len();

/// All complaints, a blank line between two of them.
pub(super) fn told(complaints: &[Complaint], styled: bool) -> String {
    let renderer = if styled { Renderer::styled() } else { Renderer::plain() };
    let renderer = renderer.term_width(WIDTH);
    let each: Vec<String> = complaints.iter().map(|one| renderer.render(&[group(one)])).collect();
    each.join("\n\n") + "\n"
}

fn group(complaint: &Complaint) -> Group<'_> {
    let title = Level::ERROR.primary_title(folded(&complaint.message, WIDTH - BEFORE_HEADLINE));
    let mut group = match complaint.place.as_ref() {
        Place::Nowhere => Group::with_title(title),
        Place::Flag { text, span } => title.element(snippet(text, span, &complaint.label).path("arguments")),
        Place::File { name, at: None, .. } => title.element(Origin::path(name.as_str())),
        Place::File { name, text, at: Some(spot) } => {
            title.element(snippet(text, &spot.span, &complaint.label).path(name.as_str()))
        }
    };
    if let Some(help) = &complaint.help {
        group = group.element(Level::HELP.message(folded(&shown(help), WIDTH - BEFORE_HELP)));
    }
    group
}

fn snippet<'a>(text: &'a str, span: &Range<usize>, label: &'a str) -> Snippet<'a, annotate_snippets::Annotation<'a>> {
    let caret = AnnotationKind::Primary.span(within(text, span));
    let caret = if label.is_empty() { caret } else { caret.label(label) };
    Snippet::source(text).annotation(caret)
}

/// A span that lies inside the text, on character boundaries.
fn within(text: &str, span: &Range<usize>) -> Range<usize> {
    let floor = |at: usize| (0..=at.min(text.len())).rev().find(|at| text.is_char_boundary(*at)).unwrap_or(0);
    let start = floor(span.start);
    start..floor(span.end).max(start)
}

/// Help may quote what was read; nothing in it may steer the terminal.
fn shown(words: &str) -> String {
    words.chars().map(|c| if c.is_control() && c != '\n' { '\u{fffd}' } else { c }).collect()
}

/// Words folded at spaces into so many columns; a longer word stays whole.
fn folded(words: &str, width: usize) -> String {
    let mut lines: Vec<String> = Vec::new();
    for line in words.split('\n') {
        let mut current = String::new();
        for word in line.split(' ') {
            if !current.is_empty() && current.chars().count() + 1 + word.chars().count() > width {
                lines.push(std::mem::take(&mut current));
            } else if !current.is_empty() {
                current.push(' ');
            }
            current.push_str(word);
        }
        lines.push(current);
    }
    lines.join("\n")
}
