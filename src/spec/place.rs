use std::{ops::Range, sync::Arc};

/// A text that was read, with the name people know it by.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Document {
    /// Name, as it stands in faults.
    pub(crate) name: String,
    /// The text, without a byte-order mark.
    pub(crate) text: Arc<str>,
}

/// Bytes of a document.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Place {
    pub(crate) document: Arc<Document>,
    pub(crate) span: Range<usize>,
}

impl Document {
    pub(crate) fn new(name: &str, text: &str) -> Arc<Self> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        Arc::new(Self { name: name.to_owned(), text: text.into() })
    }

    /// A place in the document, widened to whole characters: a parser's span may end inside one.
    pub(crate) fn at(self: &Arc<Self>, span: Range<usize>) -> Place {
        let text = &self.text;
        let (mut start, mut end) = (span.start.min(text.len()), span.end.min(text.len()));
        while !text.is_char_boundary(start) {
            start -= 1;
        }
        while !text.is_char_boundary(end) {
            end += 1;
        }
        Place { document: self.clone(), span: start..end.max(start) }
    }
}
