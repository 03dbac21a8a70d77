//! A spec whose types and ranges are checked, every value with its place.
use super::key::{self, Default, Key, Level};
use super::place::Place;
use super::scalar::{self, Read};
use crate::designator::Designator;
use crate::study::Allowance;
use std::collections::{BTreeMap, HashMap};
use std::sync::OnceLock;

/// A checked value.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Value {
    /// Written, but wrong; the fault has been told.
    Bad,
    Number(f64),
    Span(f64, f64),
    Count(u64),
    Flag(bool),
    Text(String),
    Open,
    Change(Allowance),
    Numbers(Vec<f64>),
    Members(Vec<(Designator, Place)>),
    Table(Table),
    Tables(Vec<(Place, Table)>),
}

/// A value, where it stands, and where its key does.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Entry {
    pub(crate) key: Place,
    pub(crate) at: Place,
    pub(crate) value: Value,
}

/// A checked table.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Table(pub(crate) BTreeMap<String, Entry>);

impl Table {
    /// The entry of a dotted path.
    pub(crate) fn entry(&self, path: &str) -> Option<&Entry> {
        match path.split_once('.') {
            None => self.0.get(path),
            Some((first, rest)) => self.table(first)?.entry(rest),
        }
    }

    pub(crate) fn has(&self, path: &str) -> bool {
        self.entry(path).is_some()
    }

    /// True where the key is not written; false where a table around it is wrong, which has been told.
    pub(crate) fn lacks(&self, path: &str) -> bool {
        match path.split_once('.') {
            None => !self.0.contains_key(path),
            Some((first, rest)) => match self.0.get(first).map(|entry| &entry.value) {
                Some(Value::Table(table)) => table.lacks(rest),
                Some(Value::Bad) => false,
                _ => true,
            },
        }
    }

    pub(crate) fn table(&self, path: &str) -> Option<&Self> {
        match &self.entry(path)?.value {
            Value::Table(table) => Some(table),
            _ => None,
        }
    }

    pub(crate) fn tables(&self, path: &str) -> &[(Place, Self)] {
        match self.entry(path).map(|e| &e.value) {
            Some(Value::Tables(tables)) => tables,
            _ => &[],
        }
    }

    pub(crate) fn number(&self, path: &str) -> Option<f64> {
        match self.entry(path)?.value {
            Value::Number(value) => Some(value),
            Value::Count(value) => Some(value as f64),
            _ => None,
        }
    }

    pub(crate) fn span(&self, path: &str) -> Option<(f64, f64)> {
        match self.entry(path)?.value {
            Value::Span(low, high) => Some((low, high)),
            _ => None,
        }
    }

    pub(crate) fn text(&self, path: &str) -> Option<&str> {
        match &self.entry(path)?.value {
            Value::Text(text) => Some(text),
            _ => None,
        }
    }

    /// The entries of a table that is keyed by names.
    pub(crate) fn named<'a>(&'a self, path: &str) -> impl Iterator<Item = (&'a str, &'a Entry)> + use<'a> {
        self.table(path).into_iter().flat_map(|table| table.0.iter().map(|(name, entry)| (name.as_str(), entry)))
    }

    /// Lays `over` on top: its keys win, tables are joined key by key, a key takes away the one it excludes.
    pub(crate) fn lay(&mut self, over: &Self, level: Level) {
        for (name, entry) in &over.0 {
            let row = level.row(name);
            if let Some(other) = row.and_then(|row| row.instead_of)
                && !over.0.contains_key(other)
            {
                self.0.remove(other);
            }
            match (self.0.get_mut(name), &entry.value) {
                (Some(Entry { value: Value::Table(under), key, at }), Value::Table(table)) => {
                    under.lay(table, row.map_or(Level::Rows(&[]), Level::below));
                    *key = entry.key.clone();
                    *at = entry.at.clone();
                }
                _ => {
                    self.0.insert(name.clone(), entry.clone());
                }
            }
        }
    }
}

/// The default that the row of a path states.
pub(crate) fn default_value(path: &str) -> Option<Value> {
    // every spec wants the same ones: they are read once, and found by the row's place
    static READ: OnceLock<HashMap<usize, Value>> = OnceLock::new();
    let place = |row: &'static Key| std::ptr::from_ref(row).addr();
    let known = READ.get_or_init(|| {
        let leaves = key::leaves(key::ROOT).into_iter();
        leaves.filter_map(|leaf| Some((place(leaf.key), read_default(leaf.key, &leaf.path)?))).collect()
    });
    let row = key::find(path)?;
    // another copy of the table has other places
    known.get(&place(row)).cloned().or_else(|| read_default(row, path))
}

fn read_default(row: &Key, path: &str) -> Option<Value> {
    let Default::Value(toml) = row.default else { return None };
    let value = toml::de::DeValue::parse(toml).ok()?;
    match scalar::read(value.get_ref(), row, path) {
        Read::Value(value) => Some(value),
        Read::Fault(_) => None,
    }
}
