use super::{Case, say};
use crate::designator::Topology;
use crate::quantity::{Unit, exact};
use crate::spec::fault::Fault;
use crate::spec::tree::Value;

/// A chip where one is due, and lists that say one thing at a gain; op amps to choose from.
pub(super) fn check(case: &mut Case<'_>) {
    let tree = case.tree;
    if case.topology == Topology::SingleChip {
        if tree.lacks("chip") {
            let message = "`[chip]` is missing: `single-chip` is described by its gain law".to_owned();
            let fault = case.fault("circuit.topology", "missing-key", message);
            say(fault, "needs `[chip]`", "add `[chip]` with `gain_constant = \"50k\"`");
        }
        for list in ["chip.gain_error", "chip.rejection", "chip.bandwidth"] {
            twice(case, list);
        }
        return;
    }
    for (name, entry) in tree.named("opamp") {
        let Value::Table(table) = &entry.value else { continue };
        if let Some(candidates) = table.entry("candidates").filter(|_| name != "all") {
            let mut fault =
                Fault::at(&candidates.key, "misplaced-key", format!("`candidates` stands in `[opamp.{name}]`"));
            say(
                &mut fault,
                "not here",
                "put it in `[opamp.all]`; an op amp that is decided names its part file with `from`",
            );
            case.faults.push(fault);
        }
    }
}

fn twice(case: &mut Case<'_>, list: &str) {
    let tree = case.tree;
    let mut seen: Vec<f64> = Vec::new();
    for (at, row) in tree.tables(list) {
        let Some(gain) = row.number("gain") else { continue };
        if seen.contains(&gain) {
            let place = row.entry("gain").map_or(at, |entry| &entry.at);
            let mut fault = Fault::at(
                place,
                "duplicate-gain",
                format!("`{list}` has two entries at gain {}", exact(gain, Unit::Plain)),
            );
            say(&mut fault, "listed already", "keep one entry for each gain");
            case.faults.push(fault);
        }
        seen.push(gain);
    }
}
