use super::{Case, say};
use crate::designator::{Designator, Topology};
use crate::spec::fault::Fault;
use crate::spec::place::Place;
use crate::spec::tree::Value;
use std::collections::BTreeMap;

/// Resistors of one substrate: two at least, each on one substrate only.
pub(super) fn check(case: &mut Case<'_>) {
    if case.topology == Topology::SingleChip {
        return;
    }
    let tree = case.tree;
    let mut taken: BTreeMap<Designator, usize> = BTreeMap::new();
    for (i, (at, network)) in tree.tables("resistors.network").iter().enumerate() {
        let Some(entry) = network.entry("members") else { continue };
        let Value::Members(members) = &entry.value else { continue };
        let mut seen: Vec<Designator> = Vec::new();
        for (name, at) in members {
            let other = taken.get(name).copied();
            if seen.contains(name) {
                tell(
                    case,
                    at,
                    format!("{name} stands twice in one network"),
                    "listed already",
                    "name each member once",
                );
            } else if let Some(other) = other {
                let message = format!(
                    "{name} is in network {} and in network {}; a resistor is on one substrate",
                    other + 1,
                    i + 1
                );
                tell(case, at, message, "in another network already", "keep it in one of them");
            } else if tree.has(&format!("resistors.part.{name}")) {
                let message = format!("{name} has a grade of its own in `resistors.part` and is in a network");
                tell(
                    case,
                    at,
                    message,
                    "has its own grade",
                    "give `tolerance` and `tempco` in the network, or take it out",
                );
            }
            seen.push(*name);
            taken.entry(*name).or_insert(i);
        }
        if members.len() < 2 {
            let place = if network.has("members") { &entry.at } else { at };
            let message = format!(
                "a network has {} member{}; two at least make one",
                members.len(),
                if members.len() == 1 { "" } else { "s" }
            );
            tell(case, place, message, "too few", "name two or more, as `[\"R1\", \"R2\"]`");
        }
    }
}

fn tell(case: &mut Case<'_>, at: &Place, message: String, label: &str, help: &str) {
    let mut fault = Fault::at(at, "network", message);
    say(&mut fault, label, help);
    case.faults.push(fault);
}
