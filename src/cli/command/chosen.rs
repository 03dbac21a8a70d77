//! The spec of a command, and the one channel of it that is meant.
use crate::cli::Streams;
use crate::cli::complaint::Complaint;
use crate::cli::folder::{Folder, SpecText};
use crate::spec::{self, Channel, Spec};
use std::path::Path;

/// A spec as it was read, with the name people know it by.
pub(super) struct Read {
    name: String,
    spec: Spec,
}

impl Read {
    pub(super) fn new(path: &Path, streams: &mut Streams<'_>) -> Result<Self, Vec<Complaint>> {
        let SpecText { name, text } = SpecText::read(path, streams).map_err(|told| vec![told])?;
        let spec = spec::read(&name, &text, &Folder::of(path)).map_err(Complaint::of_faults)?;
        Ok(Self { name, spec })
    }

    pub(super) fn channel(&self, wanted: Option<&str>) -> Result<&Channel, Vec<Complaint>> {
        channel(&self.spec, &self.name, wanted).map_err(|told| vec![told])
    }
}

/// The one channel that is meant.
fn channel<'s>(spec: &'s Spec, name: &str, wanted: Option<&str>) -> Result<&'s Channel, Complaint> {
    let titles: Vec<&str> = spec.channels.iter().map(|channel| channel.question.title.trim()).collect();
    let listed = format!("its channels: `{}`", titles.join("`, `"));
    match (wanted, spec.channels.as_slice()) {
        (None, [only]) => Ok(only),
        (None, _) => Err(Complaint::new("several-channels", format!("`{name}` has several channels, and one is due"))
            .about(name)
            .help(format!("add `--channel TITLE`; {listed}"))),
        (Some(wanted), channels) => {
            let at = titles.iter().position(|title| *title == wanted.trim());
            let missing = || {
                let message = format!("`{name}` has no channel `{wanted}`");
                let help =
                    if spec.titled { listed.clone() } else { "leave `--channel` out: the spec has none".to_owned() };
                Complaint::new("unknown-channel", message).at_flag("--channel", wanted).help(help)
            };
            at.and_then(|at| channels.get(at)).ok_or_else(missing)
        }
    }
}
