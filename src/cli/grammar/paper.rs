//! Where an answer goes, and in which format.
use crate::cli::Complaint;
use crate::cli::output::{Format, Wish};
use clap::Args;
use clap::builder::{PossibleValuesParser, TypedValueParser};
use std::path::PathBuf;

/// Where an answer goes.
#[derive(Args)]
pub(in crate::cli) struct Answer {
    /// text or json.
    #[arg(long, value_parser = format(&ANSWER), hide_possible_values = true)]
    format: Option<Format>,
    /// File to write to; its name tells the format.
    #[arg(long, value_name = "FILE", allow_hyphen_values = true)]
    out: Option<PathBuf>,
}

/// Where a document goes.
#[derive(Args)]
pub(in crate::cli) struct Paper {
    /// text, json, markdown or html.
    #[arg(long, value_parser = format(&Format::ALL), hide_possible_values = true)]
    format: Option<Format>,
    /// File to write to; its name tells the format.
    #[arg(long, value_name = "FILE", allow_hyphen_values = true)]
    out: Option<PathBuf>,
    /// Folder for the pictures of a markdown report.
    #[arg(long, value_name = "DIR", allow_hyphen_values = true)]
    pictures: Option<PathBuf>,
}

/// Where what was found goes.
#[derive(Args)]
pub(in crate::cli) struct Findings {
    /// text, json, markdown, html, or csv for a plan.
    #[arg(long, value_parser = format(&Format::EVERY), hide_possible_values = true)]
    format: Option<Format>,
    /// File to write to; its name tells the format.
    #[arg(long, value_name = "FILE", allow_hyphen_values = true)]
    out: Option<PathBuf>,
}

impl Findings {
    pub(in crate::cli) fn wish(&self) -> Result<Wish, Complaint> {
        Wish::new(self.format, self.out.as_deref(), &Format::EVERY)
    }
}

/// Where rows go.
#[derive(Args)]
pub(in crate::cli) struct Sheet {
    /// text, csv or json.
    #[arg(long, value_parser = format(&SHEET), hide_possible_values = true)]
    format: Option<Format>,
    /// File to write to; its name tells the format.
    #[arg(long, value_name = "FILE", allow_hyphen_values = true)]
    out: Option<PathBuf>,
}

impl Sheet {
    pub(in crate::cli) fn wish(&self) -> Result<Wish, Complaint> {
        Wish::new(self.format, self.out.as_deref(), &SHEET)
    }
}

const SHEET: [Format; 3] = [Format::Text, Format::Csv, Format::Json];
const ANSWER: [Format; 2] = [Format::Text, Format::Json];

impl Answer {
    pub(in crate::cli) fn wish(&self) -> Result<Wish, Complaint> {
        Wish::new(self.format, self.out.as_deref(), &ANSWER)
    }
    /// For a command whose text goes into a file of any name.
    pub(in crate::cli) fn raw_wish(&self) -> Result<Wish, Complaint> {
        Wish::new(self.format.or(Some(Format::Text)), self.out.as_deref(), &ANSWER)
    }
}

impl Paper {
    pub(in crate::cli) fn wish(&self) -> Result<Wish, Complaint> {
        Wish::new(self.format, self.out.as_deref(), &Format::ALL)?.pictures(self.pictures.as_deref())
    }
}

fn format(known: &[Format]) -> impl TypedValueParser<Value = Format> {
    let by_name = |name: String| Format::EVERY.into_iter().find(|format| format.name() == name).ok_or("no format");
    PossibleValuesParser::new(known.iter().map(|format| format.name())).try_map(by_name)
}
