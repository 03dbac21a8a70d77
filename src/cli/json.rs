//! Complaints as data.
use super::complaint::{Complaint, Place};
use serde::Serialize;

#[derive(Serialize)]
struct Errors<'a> {
    schema: &'static str,
    errors: Vec<Error<'a>>,
}

#[derive(Serialize)]
struct Error<'a> {
    code: &'static str,
    message: &'a str,
    file: Option<&'a str>,
    line: Option<usize>,
    column: Option<usize>,
    help: Option<&'a str>,
}

/// All complaints as the contract's error object, with a line end. What is wrong in the arguments
/// has no file.
pub(super) fn told(complaints: &[Complaint]) -> String {
    let errors = complaints.iter().map(error).collect();
    let errors = Errors { schema: "evenkeel.error.v1", errors };
    serde_json::to_string_pretty(&errors).map(|text| text + "\n").unwrap_or_default()
}

fn error(complaint: &Complaint) -> Error<'_> {
    let (file, at) = match complaint.place.as_ref() {
        Place::File { name, at, .. } => (Some(name.as_str()), at.as_ref()),
        Place::Nowhere | Place::Flag { .. } => (None, None),
    };
    Error {
        code: complaint.code,
        message: &complaint.message,
        file,
        line: at.map(|spot| spot.line),
        column: at.map(|spot| spot.column),
        help: complaint.help.as_deref(),
    }
}
