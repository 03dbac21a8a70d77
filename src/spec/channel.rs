use super::build;
use super::fault::{Fault, Faults};
use super::part_file::Amps;
use super::place::{Document, Place};
use super::places::Places;
use super::rules::{self, Case};
use super::tree::{Table, Value};
use crate::designator::Topology;
use crate::study::{Question, StudyFault};
use std::sync::Arc;

/// A spec that was read: one channel, or several.
#[derive(Clone, Debug, PartialEq)]
pub struct Spec {
    /// In the order of the file; one where the spec has no `[[channel]]`.
    pub channels: Vec<Channel>,
    /// True where the spec has `[[channel]]`.
    pub titled: bool,
}

/// One channel of a spec.
#[derive(Clone, Debug, PartialEq)]
pub struct Channel {
    /// What is asked.
    pub question: Question,
    document: Arc<Document>,
    tree: Table,
    amps: Amps,
}

impl Channel {
    pub(super) fn new(document: Arc<Document>, tree: Table, amps: Amps, topology: Topology) -> Self {
        Self { question: build::question(&tree, &amps, topology), document, tree, amps }
    }

    /// Turns a fault that was found late into one with a place: that of its key, else that of the
    /// nearest table around it, else the whole file.
    #[must_use]
    pub fn fault(&self, fault: &StudyFault) -> Fault {
        let places = Places::of(&self.tree, &self.amps);
        let found = match places.find(&fault.key) {
            Some(place) => Fault::at(place, fault.code, &fault.message),
            None => Fault::of(&self.document, fault.code, &fault.message),
        };
        if fault.help.is_empty() { found } else { found.help(&fault.help) }
    }

    /// The same requirement in another topology: `fixed`, `stage_two_gain` and all that the topology
    /// can't use is left out. R5 and R6 stay: they are never chosen, and the common mode asks for them.
    ///
    /// # Errors
    /// What the spec lacks for that topology, as `[chip]`.
    pub fn in_topology(&self, topology: Topology) -> Result<Question, Faults> {
        let mut tree = self.tree.clone();
        if let Some(Value::Table(table)) = tree.0.get_mut("circuit").map(|entry| &mut entry.value) {
            table.0.remove("stage_two_gain");
        }
        if let Some(Value::Table(table)) = tree.0.get_mut("resistors").map(|entry| &mut entry.value) {
            undecided(table, topology);
        }
        let mut faults = Vec::new();
        rules::check(&mut Case { tree: &tree, topology, document: &self.document, faults: &mut faults });
        if faults.is_empty() { Ok(build::question(&tree, &self.amps, topology)) } else { Err(Faults::sorted(faults)) }
    }

    /// True where the spec says this key, itself or through a part file.
    #[must_use]
    pub fn says(&self, key: &str) -> bool {
        Places::of(&self.tree, &self.amps).exactly(key).is_some()
    }
}

/// Takes out of `[resistors]` what is decided, except the dividing pair where the topology has it; where it has not,
/// they are in no network either.
fn undecided(resistors: &mut Table, topology: Topology) {
    let divides = |name: &str| matches!(name, "R5" | "R6");
    if let Some(Value::Table(fixed)) = resistors.0.get_mut("fixed").map(|entry| &mut entry.value) {
        fixed.0.retain(|name, _| divides(name) && topology == Topology::Difference);
    }
    let networks = match resistors.0.get_mut("network").map(|entry| &mut entry.value) {
        Some(Value::Tables(networks)) if topology != Topology::Difference => networks,
        _ => return,
    };
    for (_, network) in networks.iter_mut() {
        if let Some(Value::Members(members)) = network.0.get_mut("members").map(|entry| &mut entry.value) {
            members.retain(|(name, _)| !divides(name.name()));
        }
    }
    let empty = |network: &Table| matches!(network.entry("members").map(|entry| &entry.value), Some(Value::Members(members)) if members.len() < 2);
    networks.retain(|(_, network)| !empty(network));
}

/// Where a table of a channel has its title.
pub(super) fn title<'t>(at: &'t Place, table: &'t Table) -> (&'t Place, Option<&'t str>) {
    (table.entry("title").map_or(at, |entry| &entry.at), table.text("title"))
}
