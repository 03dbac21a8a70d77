use super::place::{Document, Place};
use std::{fmt, ops::Range, sync::Arc};

/// One thing that is wrong with a spec or a part file.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub struct Fault {
    /// Stable code, kebab-case.
    pub code: &'static str,
    /// What is wrong, with what was read.
    pub message: String,
    /// A few words for beside the caret.
    pub label: String,
    /// What would be right.
    pub help: Option<String>,
    /// Name of the file.
    pub file: String,
    /// Its text, without a byte-order mark.
    pub text: Arc<str>,
    /// The bytes at fault; `None`: the file as a whole.
    pub span: Option<Range<usize>>,
}

impl Fault {
    /// A fault at a place.
    pub(crate) fn at(place: &Place, code: &'static str, message: impl Into<String>) -> Self {
        Self { span: Some(place.span.clone()), ..Self::of(&place.document, code, message) }
    }

    /// A fault of a whole document.
    pub(crate) fn of(document: &Document, code: &'static str, message: impl Into<String>) -> Self {
        Self {
            code,
            message: message.into(),
            label: String::new(),
            help: None,
            file: document.name.clone(),
            text: document.text.clone(),
            span: None,
        }
    }

    pub(crate) fn label(mut self, label: impl Into<String>) -> Self {
        self.label = label.into();
        self
    }

    pub(crate) fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// Line of the fault, from 1; the first where the whole file is meant.
    #[must_use]
    pub fn line(&self) -> usize {
        self.before().matches('\n').count() + 1
    }

    /// Column of the fault in characters, from 1.
    #[must_use]
    pub fn column(&self) -> usize {
        let before = self.before();
        let line = before.rfind('\n').map_or(before, |end| &before[end + 1..]);
        line.chars().count() + 1
    }

    fn before(&self) -> &str {
        let mut start = self.span.as_ref().map_or(0, |span| span.start).min(self.text.len());
        while !self.text.is_char_boundary(start) {
            start -= 1;
        }
        &self.text[..start]
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}:{}: {}", self.file, self.line(), self.column(), self.message)?;
        self.help.as_ref().map_or(Ok(()), |help| write!(f, " ({help})"))
    }
}

/// All that is wrong, ordered by file and place; never empty.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub struct Faults(pub Vec<Fault>);

/// As many faults of a file are told; nobody corrects more of them at a time.
const MOST: usize = 100;

impl Faults {
    /// Orders the faults and drops repetitions.
    pub(crate) fn sorted(mut faults: Vec<Fault>) -> Self {
        let key = |f: &Fault| {
            (f.file.clone(), f.span.as_ref().map_or((0, 0), |s| (s.start, s.end)), f.code, f.message.clone())
        };
        faults.sort_by_cached_key(key);
        faults.dedup_by_key(|fault| key(fault));
        Self::told(faults)
    }

    /// The faults in the order given; of very many the first, and how many more there are.
    pub(crate) fn told(mut faults: Vec<Fault>) -> Self {
        if let Some(next) = faults.get(MOST) {
            let rest = Fault {
                code: "more-faults",
                message: format!("{} more faults are not listed", faults.len() - MOST),
                label: "from here on".to_owned(),
                help: Some("correct those above first".to_owned()),
                ..next.clone()
            };
            faults.truncate(MOST);
            faults.push(rest);
        }
        Self(faults)
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, fault) in self.0.iter().enumerate() {
            if i > 0 {
                writeln!(f)?;
            }
            write!(f, "{fault}")?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters() {
        let document = Document::new("x", "\u{feff}a = 1\r\nµΩ = \"é\" !");
        let start = document.text.find('!').expect("there");
        let fault = Fault::at(&Place { document, span: start..start + 1 }, "c", "m");
        assert_eq!((fault.line(), fault.column()), (2, 10));
        assert_eq!(fault.to_string(), "x:2:10: m");
    }
}
