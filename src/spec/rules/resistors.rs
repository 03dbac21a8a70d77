use super::{Case, say};
use crate::designator::Topology;
use crate::spec::tree::Value;
use std::collections::BTreeMap;

/// What is decided, and where a resistor is meant that isn't there.
pub(super) fn check(case: &mut Case<'_>) {
    open(case);
    dividing_pair(case);
    bill(case);
}

fn open(case: &mut Case<'_>) {
    let tree = case.tree;
    for (name, entry) in tree.named("resistors.fixed") {
        if entry.value == Value::Open && name != "RG" {
            let message = format!("`resistors.fixed.{name}` is `open`; only RG can be left out");
            let fault = case.fault(&format!("resistors.fixed.{name}"), "open", message);
            say(fault, "can't be open", "write its resistance, as `\"10k\"`");
        }
    }
}

fn dividing_pair(case: &mut Case<'_>) {
    let tree = case.tree;
    if case.topology != Topology::Difference {
        return;
    }
    let fixed = |name: &str| tree.has(&format!("resistors.fixed.{name}"));
    for (one, other) in [("R5", "R6"), ("R6", "R5")] {
        if fixed(one) && !fixed(other) {
            let fault = case.fault(
                &format!("resistors.fixed.{one}"),
                "dividing-pair",
                format!("`resistors.fixed` has {one} without {other}: one alone puts the stage out of balance"),
            );
            say(fault, "one of two", format!("give {other} too (equal to {one} for balance), or neither"));
        }
    }
}

/// Two resistors can't be one line of the bill.
fn bill(case: &mut Case<'_>) {
    let tree = case.tree;
    let mut taken: BTreeMap<&str, &str> = BTreeMap::new();
    for (name, entry) in tree.named("board.designators") {
        let Value::Text(text) = &entry.value else { continue };
        if let Some(other) = taken.insert(text.trim(), name) {
            let message = format!("`{}` is named for both {other} and {name}", text.trim());
            let fault = case.fault(&format!("board.designators.{name}"), "duplicate-name", message);
            say(fault, "taken already", "name each resistor's own line of the bill");
        }
    }
}
