//! Sections, keys and names that the chosen topology can't use.
use super::fault::Fault;
use super::key::{Key, Level, Names, ROOT, join};
use super::place::Place;
use super::tree::{Table, Value};
use crate::designator::{Amp, Designator, Topology};

/// A channel's own keys have to suit its topology; shared keys have to suit that of one channel at least.
pub(crate) fn check(shared: &Table, own: &[(Table, Topology)], faults: &mut Vec<Fault>) {
    for (table, topology) in own {
        walk(table, Level::Rows(ROOT), "", *topology, faults);
    }
    let mut all: Option<Vec<Fault>> = None;
    for (_, topology) in own {
        let mut here = Vec::new();
        walk(shared, Level::Rows(ROOT), "", *topology, &mut here);
        all = Some(match all {
            None => here,
            Some(before) => {
                before.into_iter().filter(|fault| here.iter().any(|other| other.span == fault.span)).collect()
            }
        });
    }
    faults.extend(all.into_iter().flatten());
}

/// True where the circuit can have the resistor; R5 and R6 of `difference` included.
pub(crate) fn has(topology: Topology, name: Designator) -> bool {
    let divides = matches!(name, Designator::R5 | Designator::R6) && topology == Topology::Difference;
    divides || topology.resistors().contains(&name)
}

fn walk(table: &Table, level: Level, path: &str, topology: Topology, faults: &mut Vec<Fault>) {
    for (name, entry) in &table.0 {
        let path = join(path, name);
        let Some(row) = level.row(name) else { continue };
        if !row.usable_by(topology) {
            faults.push(of_row(&entry.key, row, &path, topology));
            continue;
        }
        if !knows(level, name, topology) {
            faults.push(of_name(&entry.key, name, level, topology));
            continue;
        }
        match &entry.value {
            Value::Table(inner) => walk(inner, Level::below(row), &path, topology, faults),
            Value::Tables(items) => {
                for (_, inner) in items {
                    walk(inner, Level::below(row), &path, topology, faults);
                }
            }
            Value::Members(members) => {
                for (member, at) in members.iter().filter(|(member, _)| !has(topology, *member)) {
                    faults.push(of_name(at, member.name(), Level::Each(Names::Resistors, row), topology));
                }
            }
            _ => {}
        }
    }
}

fn knows(level: Level, name: &str, topology: Topology) -> bool {
    match level {
        Level::Each(Names::Resistors, _) => name.parse().is_ok_and(|one| has(topology, one)),
        Level::Each(Names::Amps, _) => name.parse().map_or(true, |amp: Amp| topology.amps().contains(&amp)),
        _ => true,
    }
}

fn of_row(at: &Place, row: &Key, path: &str, topology: Topology) -> Fault {
    let uses: Vec<_> = row.uses.unwrap_or(&Topology::ALL).iter().map(|t| format!("`{t}`")).collect();
    Fault::at(at, "not-usable", format!("`{path}` can't be used by the topology `{topology}`"))
        .label(format!("not for {topology}"))
        .help(format!("it belongs to {}; leave it out, or choose such a topology in `[circuit]`", uses.join(", ")))
}

fn of_name(at: &Place, name: &str, level: Level, topology: Topology) -> Fault {
    let known: Vec<&str> = match level {
        Level::Each(Names::Amps, _) => std::iter::once("all").chain(topology.amps().iter().map(|a| a.name())).collect(),
        _ => Designator::ALL.into_iter().filter(|one| has(topology, *one)).map(Designator::name).collect(),
    };
    Fault::at(at, "not-usable", format!("`{topology}` has no {name}"))
        .label("not in this circuit")
        .help(format!("it has {}", known.join(", ")))
}
