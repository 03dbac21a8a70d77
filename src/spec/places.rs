use super::part_file::Amps;
use super::place::Place;
use super::tree::{Table, Value};
use std::collections::BTreeMap;

/// Where each key of a channel stands.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Places(BTreeMap<String, Place>);

impl Places {
    pub(crate) fn of(tree: &Table, amps: &Amps) -> Self {
        let mut out = Self::default();
        out.add(tree, "");
        for (amp, table) in &amps.own {
            out.add(table, &format!("opamp.{amp}"));
        }
        out
    }

    fn add(&mut self, table: &Table, before: &str) {
        for (name, entry) in &table.0 {
            let path = super::key::join(before, name);
            match &entry.value {
                Value::Table(inner) => {
                    self.add(inner, &path);
                    self.0.insert(path, entry.key.clone());
                }
                Value::Tables(items) => {
                    for (i, (at, inner)) in items.iter().enumerate() {
                        self.add(inner, &format!("{path}[{i}]"));
                        self.0.insert(format!("{path}[{i}]"), at.clone());
                    }
                    self.0.insert(path, entry.key.clone());
                }
                _ => {
                    self.0.insert(path, entry.at.clone());
                }
            }
        }
    }

    pub(crate) fn exactly(&self, key: &str) -> Option<&Place> {
        self.0.get(key)
    }

    /// The place of a key, or of the nearest table around it that was written.
    pub(crate) fn find(&self, key: &str) -> Option<&Place> {
        let mut key = key;
        loop {
            if let Some(place) = self.0.get(key) {
                return Some(place);
            }
            key = &key[..key.rfind(['.', '['])?];
        }
    }
}
