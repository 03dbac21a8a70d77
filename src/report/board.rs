//! An equation in plain text: the law, the values put in, the result, one below the other.
use super::document::Formula;
use super::page::steers;

/// The lines, none wider than `width`: the label ends the first one, what stands beside the result
/// follows it. A side that is too long goes on below, broken before an outer term.
pub(super) fn lines(formula: &Formula, width: usize) -> Vec<String> {
    let equation = &formula.equation;
    let head = format!("{} = ", equation.name);
    let indent = head.chars().count();
    let again = format!("{}= ", " ".repeat(indent - 2));
    let mut all = side(&head, &equation.symbol_pieces(), indent, width);
    if !formula.label.is_empty()
        && let Some(first) = all.first_mut()
    {
        let gap = width.saturating_sub(length(first) + length(&formula.label)).max(2);
        *first += &format!("{}{}", " ".repeat(gap), formula.label);
    }
    if equation.value_pieces() != equation.symbol_pieces() {
        all.extend(side(&again, &equation.value_pieces(), indent, width));
    }
    let result = format!("{again}{}", equation.result());
    if equation.value_pieces() == [equation.result()] {
        all.pop();
    }
    all.push(if formula.beside.is_empty() { result } else { format!("{result}    ({})", formula.beside) });
    all.iter().map(|line| line.chars().map(|c| if steers(c) { '\u{fffd}' } else { c }).collect()).collect()
}

/// One side of an equation; room is left for a label on its first line.
fn side(head: &str, pieces: &[String], indent: usize, width: usize) -> Vec<String> {
    const LABEL: usize = 7;
    let mut lines = vec![head.trim_end().to_owned()];
    for piece in pieces.iter().flat_map(|piece| broken(piece, width - indent - LABEL)) {
        let last = lines.len() - 1;
        if length(&lines[last]) + 1 + length(&piece) > width - LABEL && length(&lines[last]) >= indent {
            lines.push(format!("{}{piece}", " ".repeat(indent + 2)));
        } else {
            lines[last] += &format!(" {piece}");
        }
    }
    lines
}

/// A term that is too wide for a line, in parts that end before an operator.
fn broken(piece: &str, width: usize) -> Vec<String> {
    if length(piece) <= width {
        return vec![piece.to_owned()];
    }
    let mut parts: Vec<String> = Vec::new();
    for word in tied(piece) {
        match parts.last_mut() {
            Some(part) if length(part) + 1 + length(&word) <= width => *part += &format!(" {word}"),
            _ => parts.push(word),
        }
    }
    parts
}

/// The words of a term, an operator together with what follows it.
fn tied(piece: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    let mut open = false;
    for word in piece.split(' ') {
        let operator = matches!(word, "+" | "-" | "/" | "·" | "∥");
        match words.last_mut() {
            Some(last) if open || !operator => *last += &format!(" {word}"),
            _ => words.push(word.to_owned()),
        }
        open = operator;
    }
    words
}

fn length(text: &str) -> usize {
    text.chars().count()
}
