//! The spec of a command, and the one channel of it that is meant.
use super::channel::channel;
use crate::cli::complaint::Complaint;
use crate::cli::folder::{Folder, SpecText};
use crate::cli::grammar::OneSpec;
use crate::cli::output::{Format, Wish};
use crate::cli::{NOT_MET, Outcome, Streams};
use crate::report;
use crate::spec::{self, Channel, Faults, Files, Spec};
use crate::study::StudyFault;

/// A spec as it was read, with the name people know it by.
pub(super) struct Read {
    name: String,
    text: String,
    spec: Spec,
    wanted: Option<String>,
}

impl Read {
    pub(super) fn new(asked: &OneSpec, streams: &mut Streams<'_>) -> Result<Self, Vec<Complaint>> {
        Self::by(spec::read, asked, streams)
    }

    /// The same where sections of any topology may stand in it.
    pub(super) fn for_every_topology(asked: &OneSpec, streams: &mut Streams<'_>) -> Result<Self, Vec<Complaint>> {
        Self::by(spec::read_for_every_topology, asked, streams)
    }

    fn by(
        read: fn(&str, &str, &dyn Files) -> Result<Spec, Faults>,
        asked: &OneSpec,
        streams: &mut Streams<'_>,
    ) -> Result<Self, Vec<Complaint>> {
        let SpecText { name, text } = SpecText::read(&asked.path, streams).map_err(|told| vec![told])?;
        let spec = read(&name, &text, &Folder::of(&asked.path)).map_err(Complaint::of_faults)?;
        Ok(Self { name, text, spec, wanted: asked.channel.clone() })
    }

    /// The spec as it stands in the file.
    pub(super) fn text(&self) -> &str {
        &self.text
    }

    /// The channel that is meant.
    pub(super) fn channel(&self) -> Result<&Channel, Vec<Complaint>> {
        channel(&self.spec, &self.name, self.wanted.as_deref()).map_err(|told| vec![told])
    }

    /// What there is to say of a channel that has no answer: where no standard value can do it that is the answer,
    /// as `schema` of the command; else it is a fault of the spec.
    pub(super) fn unanswered(
        &self,
        (schema, channel): (&'static str, &Channel),
        fault: &StudyFault,
        wish: &Wish,
        streams: &mut Streams<'_>,
    ) -> Outcome {
        if !fault.no_value() {
            return Err(vec![channel.fault(fault).into()]);
        }
        if wish.format() == Format::Csv {
            // a table has no place for a reason
            streams.tell(&format!("{}\n", channel.fault(fault)));
        } else {
            let document = report::no_design(schema, &channel.question, fault).answering(&self.text);
            wish.deliver(&document, streams).map_err(|told| vec![told])?;
        }
        Ok(NOT_MET)
    }
}
