//! Words that mean themselves in markdown.
use super::page::steers;

/// A character of a link between angle brackets.
pub(super) fn in_a_link(c: char) -> String {
    match c {
        ' ' | '<' | '>' | '%' | '(' | ')' => format!("%{:02X}", u32::from(c)),
        c if steers(c) => "%EF%BF%BD".to_owned(),
        c => c.to_string(),
    }
}

/// Escaped words for the start of a block, where a number or a sign could begin a list.
pub(super) fn started(words: &str) -> String {
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
pub(super) fn escaped(words: &str) -> String {
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
