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
}
