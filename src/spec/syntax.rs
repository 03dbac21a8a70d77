//! Text to TOML, with a size and a nesting that can't hurt.
use super::fault::Fault;
use super::place::Document;
use std::sync::Arc;
use toml::Spanned;
use toml::de::DeTable;

/// Greatest size of a file, bytes.
const LARGEST: usize = 1 << 20;
/// Deepest nesting of tables and lists; a spec needs five.
const DEEPEST: usize = 16;

/// Parses a document; syntax faults go to `faults`, what could be read is returned.
pub(crate) fn parse<'a>(document: &'a Arc<Document>, faults: &mut Vec<Fault>) -> Option<Spanned<DeTable<'a>>> {
    let text: &str = &document.text;
    if text.len() > LARGEST {
        faults.push(
            Fault::of(
                document,
                "too-large",
                format!("the file has {} bytes; the most that is read is {LARGEST}", text.len()),
            )
            .help("a spec holds a few kilobytes; is this the right file?"),
        );
        return None;
    }
    if let Some(at) = too_deep(text) {
        let place = document.at(at..at + 1);
        faults.push(
            Fault::at(&place, "too-deep", format!("tables and lists are nested more than {DEEPEST} deep"))
                .label("too deep")
                .help("a spec needs no more than five"),
        );
        return None;
    }
    let (table, errors) = DeTable::parse_recoverable(text);
    for error in errors {
        let message = error.message().lines().collect::<Vec<_>>().join(", ");
        let message = format!("not TOML: {message}");
        let fault = match error.span() {
            Some(span) => Fault::at(&document.at(span), "syntax", message),
            None => Fault::of(document, "syntax", message),
        };
        faults.push(fault.label("here").help(help(error.message())));
    }
    Some(table)
}

/// What would be right, by what the parser missed.
fn help(message: &str) -> &'static str {
    const HELP: [(&[&str], &str); 6] = [
        (&["must be quoted"], "text and values with a unit stand in quotes, as `\"4.7 kΩ\"`"),
        (&["duplicate"], "keep one of the two"),
        (&["unclosed", "invalid table"], "close what is open: every bracket and brace has its partner"),
        (&["quote", "string", "escape", "unicode"], "text stands in quotes of one kind on one line, as `\"4.7 kΩ\"`"),
        (
            &["comma", "array", "inline table"],
            "values in brackets and braces are parted by one comma each, as `[\"100\", \"220\"]`",
        ),
        (
            &["radix", "sign", "digit", "zero", "number", "integer", "float"],
            "write a plain decimal number, as `100` or `0.05`",
        ),
    ];
    let found = HELP.iter().find(|(words, _)| words.iter().any(|word| message.contains(word)));
    found.map_or("a line holds `key = value`, a `[section]`, or nothing", |(_, help)| help)
}

/// The first byte that opens a level too many. Parts of a dotted key count as levels too.
fn too_deep(text: &str) -> Option<usize> {
    let bytes = text.as_bytes();
    let (mut at, mut open, mut dots) = (0, 0_usize, 0_usize);
    while let Some(&byte) = bytes.get(at) {
        match byte {
            b'#' => {
                at += bytes[at..].iter().position(|b| *b == b'\n').unwrap_or(bytes.len() - at);
                continue;
            }
            b'"' | b'\'' => {
                at = after_string(bytes, at);
                continue;
            }
            b'[' | b'{' => open += 1,
            b']' | b'}' => open = open.saturating_sub(1),
            b'.' => dots += 1,
            b'\n' | b'=' | b',' => dots = 0,
            _ => {}
        }
        if open + dots > DEEPEST {
            return Some(at);
        }
        at += 1;
    }
    None
}

/// The byte after the string that starts at `at`; the end of the line where a one-line string isn't closed.
fn after_string(bytes: &[u8], at: usize) -> usize {
    let quote = bytes[at];
    let long = bytes[at..].starts_with(&[quote; 3]);
    let mut here = at + if long { 3 } else { 1 };
    while let Some(&byte) = bytes.get(here) {
        match byte {
            b'\\' if quote == b'"' => here += 1,
            b'\n' if !long => return here,
            _ if byte == quote && !long => return here + 1,
            _ if byte == quote && bytes[here..].starts_with(&[quote; 3]) => return here + 3,
            _ => {}
        }
        here += 1;
    }
    bytes.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nesting_is_counted_outside_strings_and_comments() {
        assert_eq!(
            too_deep("a = \"[[[[[[[[[[[[[[[[[[[[[\" # [[[[[[[[[[[[[[[[[[[[[[[[\nb = '''[[[[[[[[[[[[[[[[[[[['''"),
            None
        );
        assert_eq!(too_deep(&format!("a = {}", "[".repeat(17))), Some(20));
        assert_eq!(too_deep(&format!("a = {}", "[".repeat(16))), None);
        assert_eq!(too_deep(&format!("a{} = 1", ".a".repeat(17))), Some(33));
    }

    #[test]
    fn what_the_scan_lets_through_the_parser_bears() {
        for text in
            ["a.".repeat(100_000), "[".repeat(500_000), format!("x = \"\n{}", "[".repeat(90_000)), "{a=".repeat(90_000)]
        {
            let mut faults = Vec::new();
            let document = Document::new("x", &text);
            parse(&document, &mut faults);
            assert!(!faults.is_empty());
        }
        let mut faults = Vec::new();
        let document = Document::new("x", &format!("title = \"\"\"{}\n", "[".repeat(200_000)));
        parse(&document, &mut faults);
        assert_eq!(faults[0].code, "syntax");
    }
}
