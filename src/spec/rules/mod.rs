//! What one key says about another.
mod chip;
mod network;
mod required;
mod resistors;
mod signal;
mod target;

use super::fault::Fault;
use super::place::{Document, Place};
use super::tree::Table;
use crate::designator::Topology;
use std::sync::Arc;

/// One channel under examination.
pub(crate) struct Case<'c> {
    pub(crate) tree: &'c Table,
    pub(crate) topology: Topology,
    pub(crate) document: &'c Arc<Document>,
    pub(crate) faults: &'c mut Vec<Fault>,
}

impl Case<'_> {
    /// The place of a value, else of the nearest table around it.
    fn fault(&mut self, path: &str, code: &'static str, message: String) -> &mut Fault {
        let fault = match self.place(path) {
            Some(place) => Fault::at(&place, code, message),
            None => Fault::of(self.document, code, message),
        };
        let at = self.faults.len();
        self.faults.push(fault);
        &mut self.faults[at]
    }

    fn place(&self, path: &str) -> Option<Place> {
        let mut path = path;
        let mut exact = true;
        loop {
            if let Some(entry) = self.tree.entry(path) {
                return Some(if exact { entry.at.clone() } else { entry.key.clone() });
            }
            exact = false;
            path = &path[..path.rfind('.')?];
        }
    }
}

/// Adds a few words beside the caret and what would be right.
fn say(fault: &mut Fault, label: &str, help: impl Into<String>) {
    label.clone_into(&mut fault.label);
    fault.help = Some(help.into());
}

/// Checks one channel.
pub(crate) fn check(case: &mut Case<'_>) {
    required::check(case);
    target::check(case);
    signal::check(case);
    resistors::check(case);
    network::check(case);
    chip::check(case);
}
