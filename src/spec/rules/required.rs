use super::Case;
use crate::spec::fault::Fault;
use crate::spec::key::{Default, Level, ROOT, join};
use crate::spec::place::Place;
use crate::spec::tree::{Table, Value};

/// Keys that a table can't do without.
pub(super) fn check(case: &mut Case<'_>) {
    let mut faults = Vec::new();
    for (name, entry) in &case.tree.0 {
        let (Some(row), Value::Table(inner)) = (Level::Rows(ROOT).row(name), &entry.value) else { continue };
        if row.usable_by(case.topology) {
            walk(inner, Level::below(row), name, &entry.key, &mut faults);
        }
    }
    case.faults.append(&mut faults);
}

fn walk(table: &Table, level: Level, path: &str, at: &Place, faults: &mut Vec<Fault>) {
    if let Level::Rows(rows) = level {
        for row in rows.iter().filter(|row| row.default == Default::Required && !table.0.contains_key(row.name)) {
            faults.push(
                Fault::at(at, "missing-key", format!("`{}` is missing", join(path, row.name)))
                    .label(format!("needs `{}`", row.name))
                    .help(format!("add `{} = {}`: {}", row.name, row.sample, row.sentence)),
            );
        }
    }
    for (name, entry) in &table.0 {
        let Some(row) = level.row(name) else { continue };
        let path = join(path, name);
        match &entry.value {
            Value::Table(inner) => walk(inner, Level::below(row), &path, &entry.key, faults),
            Value::Tables(items) => {
                for (i, (at, inner)) in items.iter().enumerate() {
                    walk(inner, Level::below(row), &format!("{path}[{i}]"), at, faults);
                }
            }
            _ => {}
        }
    }
}
