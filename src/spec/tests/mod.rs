mod channels;
mod contract;
mod examples;
mod faults;
mod parts;
mod resistors;
mod rows;
mod rules;
mod starters;
mod wild;

use super::{Channel, Fault, Files, NoFiles, Spec, read};
use std::collections::BTreeMap;

/// Files that live in the test.
pub(super) struct Shelf(pub(super) BTreeMap<&'static str, &'static str>);

impl Files for Shelf {
    fn read(&self, path: &str) -> Result<String, String> {
        self.0.get(path).map(|text| (*text).to_owned()).ok_or_else(|| "no such file".to_owned())
    }
    fn list(&self, folder: &str) -> Result<Vec<String>, String> {
        let folder = format!("{}/", folder.trim_end_matches('/'));
        let names: Vec<String> =
            self.0.keys().filter_map(|path| path.strip_prefix(&folder)).map(str::to_owned).collect();
        if names.is_empty() { Err("no such folder".to_owned()) } else { Ok(names) }
    }
}

pub(super) fn spec(text: &str) -> Spec {
    read("a.toml", text, &NoFiles).unwrap_or_else(|faults| panic!("{faults}"))
}

pub(super) fn one(text: &str) -> Channel {
    let mut channels = spec(text).channels;
    assert_eq!(channels.len(), 1);
    channels.remove(0)
}

pub(super) fn faults(text: &str) -> Vec<Fault> {
    read("a.toml", text, &NoFiles).expect_err("it has a fault").0
}

/// The one fault: code, line, column, the text under the caret, message, help.
#[track_caller]
pub(super) fn fault(text: &str, code: &str, line: usize, column: usize, under: &str, message: &str, help: &str) {
    let faults = faults(text);
    assert_eq!(faults.len(), 1, "{faults:#?}");
    let f = &faults[0];
    let caret = f.span.clone().map_or("", |span| &f.text[span]);
    assert_eq!(
        (f.code, f.line(), f.column(), caret, f.message.as_str(), f.help.as_deref().unwrap_or("")),
        (code, line, column, under, message, help)
    );
    assert!(!f.label.is_empty(), "no label");
}
