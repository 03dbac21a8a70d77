use crate::spec::tree::{Table, Value, default_value};
use crate::study::Span;

/// A tree read with the defaults of the key table.
pub(super) struct Sheet<'t>(pub(super) &'t Table);

impl Sheet<'_> {
    fn value(&self, path: &str) -> Option<Value> {
        match self.0.entry(path) {
            Some(entry) => Some(entry.value.clone()),
            None => default_value(path),
        }
    }

    /// A number that has a default.
    pub(super) fn number(&self, path: &str) -> f64 {
        self.maybe(path).unwrap_or(0.0)
    }

    /// A number, its default, or nothing.
    pub(super) fn maybe(&self, path: &str) -> Option<f64> {
        match self.value(path)? {
            Value::Number(value) => Some(value),
            _ => None,
        }
    }

    pub(super) fn count(&self, path: &str) -> Option<u64> {
        match self.value(path)? {
            Value::Count(value) => Some(value),
            _ => None,
        }
    }

    pub(super) fn span(&self, path: &str) -> Option<Span> {
        match self.value(path)? {
            Value::Span(low, high) => Some(Span { low, high }),
            _ => None,
        }
    }

    pub(super) fn flag(&self, path: &str) -> bool {
        matches!(self.value(path), Some(Value::Flag(true)))
    }

    /// True where the word stands there, by itself or by default.
    pub(super) fn is(&self, path: &str, word: &str) -> bool {
        matches!(self.value(path), Some(Value::Text(text)) if text == word)
    }
}
