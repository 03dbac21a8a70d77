//! The spec of a command, and the one channel of it that is meant.
use super::channel::channel;
use crate::cli::Streams;
use crate::cli::complaint::Complaint;
use crate::cli::folder::{Folder, SpecText};
use crate::spec::{self, Channel, Faults, Files, Spec};
use std::path::Path;

/// A spec as it was read, with the name people know it by.
pub(super) struct Read {
    name: String,
    text: String,
    spec: Spec,
}

impl Read {
    pub(super) fn new(path: &Path, streams: &mut Streams<'_>) -> Result<Self, Vec<Complaint>> {
        Self::by(spec::read, path, streams)
    }

    /// The same where sections of any topology may stand in it.
    pub(super) fn for_every_topology(path: &Path, streams: &mut Streams<'_>) -> Result<Self, Vec<Complaint>> {
        Self::by(spec::read_for_every_topology, path, streams)
    }

    fn by(
        read: fn(&str, &str, &dyn Files) -> Result<Spec, Faults>,
        path: &Path,
        streams: &mut Streams<'_>,
    ) -> Result<Self, Vec<Complaint>> {
        let SpecText { name, text } = SpecText::read(path, streams).map_err(|told| vec![told])?;
        let spec = read(&name, &text, &Folder::of(path)).map_err(Complaint::of_faults)?;
        Ok(Self { name, text, spec })
    }

    /// The spec as it stands in the file.
    pub(super) fn text(&self) -> &str {
        &self.text
    }

    pub(super) fn channel(&self, wanted: Option<&str>) -> Result<&Channel, Vec<Complaint>> {
        channel(&self.spec, &self.name, wanted).map_err(|told| vec![told])
    }
}
