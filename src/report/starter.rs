use super::{Document, Record, Verdict};
use crate::designator::Topology;

/// A starter spec as data.
#[must_use]
pub fn starter(topology: Topology, spec: &str) -> Document {
    let mut body = Record::new();
    body.text("topology", "circuit", topology.name());
    body.text("spec", "", spec).for_data();
    Document::new("evenkeel.new.v1", Verdict::plain("A spec to start from."), body)
}
