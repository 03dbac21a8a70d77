use crate::quantity::QuantityFault;
use crate::spec::{Fault, Faults};
use clap::error::{ContextKind, ContextValue, ErrorKind};
use std::ops::Range;
use std::sync::Arc;

/// Why a question could not be answered, ready to be told to a person or a script.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Complaint {
    /// Stable code, kebab-case.
    pub(super) code: &'static str,
    /// What is wrong, with what was read.
    pub(super) message: String,
    /// A few words for beside the caret.
    pub(super) label: String,
    /// What would be right.
    pub(super) help: Option<String>,
    /// Where it is wrong.
    pub(super) place: Box<Place>,
}

/// Where something is wrong.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Place {
    /// Nowhere in particular.
    Nowhere,
    /// In the arguments: a flag with its value, and the bytes of that text which are meant.
    Flag { text: String, span: Range<usize> },
    /// In a file; without a span the file as a whole.
    File { name: String, text: Arc<str>, at: Option<Spot> },
}

/// A place in a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Spot {
    pub(super) span: Range<usize>,
    pub(super) line: usize,
    pub(super) column: usize,
}

impl Complaint {
    pub(super) fn new(code: &'static str, message: impl Into<String>) -> Self {
        Self { code, message: message.into(), label: String::new(), help: None, place: Box::new(Place::Nowhere) }
    }

    pub(super) fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// About a file as a whole.
    pub(super) fn about(mut self, file: &str) -> Self {
        *self.place = Place::File { name: file.to_owned(), text: Arc::from(""), at: None };
        self
    }

    /// About the value of a flag, all of it.
    pub(super) fn at_flag(mut self, flag: &str, value: &str) -> Self {
        let before = flag.len() + 1;
        *self.place = Place::Flag { text: format!("{flag} {value}"), span: before..before + value.len() };
        self
    }

    /// About a part of the value of a flag.
    pub(super) fn narrowed(mut self, flag: &str, part: Range<usize>) -> Self {
        if let Place::Flag { span, .. } = self.place.as_mut() {
            let before = flag.len() + 1;
            *span = before + part.start..before + part.end;
        }
        self
    }

    /// Moves a complaint about one item to its place in the whole value of the flag.
    pub(super) fn within(mut self, flag: &str, value: &str, offset: usize) -> Self {
        if let Place::Flag { text, span } = self.place.as_mut() {
            *text = format!("{flag} {value}");
            *span = span.start + offset..span.end + offset;
        }
        self
    }

    /// A quantity that could not be read.
    pub(super) fn of_quantity(flag: &str, fault: &QuantityFault) -> Self {
        let (before, inner) = (flag.len() + 1, fault.place());
        Self {
            code: "bad-quantity",
            message: format!("`{flag}`: {fault}"),
            label: String::new(),
            help: Some(fault.help().to_owned()),
            place: Box::new(Place::Flag {
                text: format!("{flag} {}", fault.text()),
                span: before + inner.start..before + inner.end,
            }),
        }
    }

    /// Everything that is wrong with a spec.
    pub(super) fn of_faults(faults: Faults) -> Vec<Self> {
        faults.0.into_iter().map(Self::from).collect()
    }

    /// Arguments that do not fit the grammar.
    pub(super) fn of_grammar(refusal: &clap::Error) -> Self {
        let shown = refusal.render().to_string();
        let mut parts = shown.trim_end().split("\n\n");
        let message = parts.next().unwrap_or_default().trim_start_matches("error: ").trim();
        if refusal.kind() == ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand {
            return Self::new("bad-arguments", "no command is given").help("`--help` lists the commands");
        }
        let mut help: Vec<String> = Vec::new();
        for (kind, words) in [
            (ContextKind::SuggestedSubcommand, "a command that looks like it"),
            (ContextKind::SuggestedArg, "a flag that looks like it"),
            (ContextKind::SuggestedValue, "a value that looks like it"),
        ] {
            match refusal.get(kind) {
                Some(ContextValue::String(known)) => help.push(format!("{words}: `{known}`")),
                Some(ContextValue::Strings(known)) => help.push(format!("{words}: `{}`", known.join("`, `"))),
                _ => {}
            }
        }
        let usage = parts.find_map(|part| part.strip_prefix("Usage: "));
        help.extend(usage.map(|usage| format!("usage: {}", usage.trim())));
        help.push("`--help` tells the rest".to_owned());
        let message = message.lines().map(str::trim).collect::<Vec<_>>().join(" ");
        Self::new("bad-arguments", message).help(help.join("\n"))
    }
}

impl From<Fault> for Complaint {
    fn from(fault: Fault) -> Self {
        let (line, column) = (fault.line(), fault.column());
        let at = fault.span.map(|span| Spot { span, line, column });
        let place = Box::new(Place::File { name: fault.file, text: fault.text, at });
        Self { code: fault.code, message: fault.message, label: fault.label, help: fault.help, place }
    }
}
