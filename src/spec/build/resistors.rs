use super::sheet::Sheet;
use crate::designator::{Designator, Topology};
use crate::part::{Fixed, Grade, Matched, PricedGrade};
use crate::series::Series;
use crate::spec::tree::{Table, Value};
use crate::spec::usable;
use crate::study::{Resistors, Span, Stock};
use std::collections::BTreeMap;

/// The tolerance that values at hand are taken to have.
const STOCK_TOLERANCE: f64 = 0.01;

/// Only what the topology has is kept.
pub(super) fn resistors(sheet: &Sheet<'_>, topology: Topology) -> Resistors {
    let stock = stock(sheet);
    let customary = match &stock {
        Stock::Series(series) => series.customary_tolerance(),
        Stock::Values(_) => STOCK_TOLERANCE,
    };
    let grade = Grade {
        tolerance: sheet.maybe("resistors.tolerance").unwrap_or(customary),
        tempco_per_k: sheet.number("resistors.tempco"),
    };
    let grade_in = |table: &Table| Grade {
        tolerance: table.number("tolerance").unwrap_or(grade.tolerance),
        tempco_per_k: table.number("tempco").unwrap_or(grade.tempco_per_k),
    };
    let tree = sheet.0;
    Resistors {
        stock,
        parts: if sheet.count("resistors.parts") == Some(2) { 2 } else { 1 },
        grade,
        range: named(tree, "resistors.range", topology, |value| match value {
            Value::Span(low, high) => Some(Span { low: *low, high: *high }),
            _ => None,
        }),
        fixed: named(tree, "resistors.fixed", topology, |value| match value {
            Value::Number(ohm) => Some(Fixed::Ohm(*ohm)),
            Value::Open => Some(Fixed::Open),
            _ => None,
        }),
        own_grade: named(tree, "resistors.part", topology, |value| match value {
            Value::Table(table) => Some(grade_in(table)),
            _ => None,
        }),
        networks: tree
            .tables("resistors.network")
            .iter()
            .filter_map(|(_, table)| network(table, topology, grade_in))
            .collect(),
        grades: tree
            .tables("resistors.grade")
            .iter()
            .filter_map(|(_, table)| Some(PricedGrade { grade: grade_in(table), price: table.number("price")? }))
            .collect(),
        noise_index_db: sheet.maybe("resistors.noise_index"),
        thermal_resistance_k_per_w: sheet.maybe("resistors.thermal_resistance"),
    }
}

fn stock(sheet: &Sheet<'_>) -> Stock {
    if let Some(Value::Numbers(values)) = sheet.0.entry("resistors.stock").map(|entry| &entry.value) {
        return Stock::Values(values.clone());
    }
    let series = Series::ALL.into_iter().find(|series| sheet.is("resistors.series", series.name()));
    Stock::Series(series.unwrap_or(Series::E96))
}

fn named<T>(
    tree: &Table,
    path: &str,
    topology: Topology,
    read: impl Fn(&Value) -> Option<T>,
) -> BTreeMap<Designator, T> {
    tree.named(path)
        .filter_map(|(name, entry)| Some((name.parse().ok()?, read(&entry.value)?)))
        .filter(|(name, _)| usable::has(topology, *name))
        .collect()
}

fn network(table: &Table, topology: Topology, grade_in: impl Fn(&Table) -> Grade) -> Option<Matched> {
    let Value::Members(members) = &table.entry("members")?.value else { return None };
    let members: Vec<_> = members.iter().map(|(name, _)| *name).filter(|name| usable::has(topology, *name)).collect();
    let grade = grade_in(table);
    let own = table.has("tolerance") || table.has("tempco");
    (members.len() >= 2).then(|| Matched {
        members,
        match_fraction: table.number("match").unwrap_or(0.0),
        match_tempco_per_k: table.number("match_tempco").unwrap_or(2.0 * grade.tempco_per_k),
        grade: own.then_some(grade),
    })
}
