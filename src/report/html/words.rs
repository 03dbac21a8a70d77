//! Words as a page sets them, with the sound of a verdict.
use crate::report::document::{Formula, Tone};
use crate::report::page::{Cell, steers};
use maud::{Markup, PreEscaped, html};

/// Words on one line, without what would steer the page.
pub(super) fn shown(words: &str) -> String {
    let words = words.split([' ', '\n', '\r', '\t']).filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ");
    words.chars().map(|c| if steers(c) { '\u{fffd}' } else { c }).collect()
}

/// A sentence, with what stands between backticks as code.
pub(super) fn spoken(words: &str) -> Markup {
    let words = shown(words);
    let parts: Vec<&str> = words.split('`').collect();
    if parts.len().is_multiple_of(2) {
        return html! { (words) };
    }
    html! { @for (at, part) in parts.into_iter().enumerate() { @if at % 2 == 1 { code { (part) } } @else { (part) } } }
}

pub(super) fn toned(cell: &Cell) -> Markup {
    let words = shown(&cell.words);
    html! {
        @if cell.tone == Tone::Plain || words.is_empty() { (words) }
        @else { span class=(tone(cell.tone)) { (sign(cell.tone)) (words) } }
    }
}

pub(super) const fn tone(tone: Tone) -> &'static str {
    match tone {
        Tone::Plain => "plain",
        Tone::Good => "good",
        Tone::Bad => "bad",
        Tone::Open => "open",
    }
}

/// A sign that says the same as the colour, for whoever sees none; it is not read aloud.
pub(super) fn sign(tone: Tone) -> Markup {
    let sign = match tone {
        Tone::Plain => return html! {},
        Tone::Good => "✓",
        Tone::Bad => "✗",
        Tone::Open => "?",
    };
    html! { span.sign aria-hidden="true" { (sign) } " " }
}

/// A heading; those of the document itself have an id to be led to.
pub(super) fn headed(depth: usize, id: Option<&str>, words: &str) -> Markup {
    match depth {
        0 => html! { h2 id=[id] { (words) } },
        1 => html! { h3 { (words) } },
        2 => html! { h4 { (words) } },
        _ => html! { h5 { (words) } },
    }
}

/// An equation, with its number and what stands beside its result.
pub(super) fn told(formula: &Formula) -> Markup {
    // a line that is too long for paper is set smaller there
    let sides = [formula.equation.symbols(), formula.equation.with_values()];
    let longest = sides.iter().map(|side| side.chars().count()).max().unwrap_or(0);
    html! {
        div.equation style=(format!("--signs:{longest}")) {
            div.wide role="region" tabindex="0" aria-label=(shown(&formula.equation.name)) {
                (PreEscaped(formula.equation.to_mathml()))
            }
            @if !formula.label.is_empty() { span.label { (shown(&formula.label)) } }
            @if !formula.beside.is_empty() { p.beside { (shown(&formula.beside)) } }
        }
    }
}
