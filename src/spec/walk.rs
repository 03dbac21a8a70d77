//! Holds a TOML table against the key table: unknown keys, wrong types, bad quantities, values out of range.
use super::fault::Fault;
use super::key::{Key, Kind, Level, Names, join};
use super::nearest;
use super::place::{Document, Place};
use super::scalar::{self, Read};
use super::tree::{Entry, Table, Value};
use crate::designator::Designator;
use std::{ops::Range, sync::Arc};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// One walk over one document.
pub(crate) struct Walk<'w> {
    pub(crate) document: &'w Arc<Document>,
    pub(crate) faults: &'w mut Vec<Fault>,
}

impl Walk<'_> {
    fn place(&self, span: Range<usize>) -> Place {
        self.document.at(span)
    }

    /// Checks a table; a wrong value stays in it as [`Value::Bad`].
    pub(crate) fn table(&mut self, toml: &DeTable<'_>, level: Level, path: &str) -> Table {
        let mut out = Table::default();
        let mut meant: Vec<(String, Place)> = Vec::new();
        let mut items: Vec<_> = toml.iter().collect();
        items.sort_by_key(|(key, _)| key.span().start);
        for (key, value) in items {
            let name: &str = key.get_ref();
            let path = join(path, name);
            let at = self.place(key.span());
            let Some(row) = level.row(name) else {
                meant.extend(nearest::nearest(name, &level.known()).map(|name| (name.to_owned(), at.clone())));
                self.unknown(&at, name, level);
                continue;
            };
            let (span, read) = self.value(value, row, &path);
            for name in stands_for(name, level) {
                let entry = Entry { key: at.clone(), at: self.place(span.clone()), value: read.clone() };
                if out.0.insert(name.to_owned(), entry).is_some() {
                    let message = format!(
                        "`{}` is given twice: RF stands for RF1 and RF2",
                        join(path.rsplit_once('.').map_or("", |p| p.0), name)
                    );
                    self.faults.push(
                        Fault::at(&at, "duplicate-name", message)
                            .label("given twice")
                            .help("keep `RF`, or `RF1` and `RF2`"),
                    );
                }
            }
        }
        self.exclusive(&out, level);
        // A key that was misspelt is not missing as well.
        for (name, at) in meant {
            out.0.entry(name).or_insert(Entry { key: at.clone(), at, value: Value::Bad });
        }
        out
    }

    /// Two keys of one table that exclude each other.
    fn exclusive(&mut self, table: &Table, level: Level) {
        let Level::Rows(rows) = level else { return };
        for row in rows {
            let Some(other) = row.instead_of.filter(|other| row.name < *other) else { continue };
            if let (Some(one), Some(two)) = (table.0.get(row.name), table.0.get(other)) {
                let later = if one.key.span.start > two.key.span.start { one } else { two };
                self.faults.push(
                    Fault::at(&later.key, "conflict", format!("`{}` and `{other}` exclude each other", row.name))
                        .label("one too many")
                        .help(format!("keep one of `{}` and `{other}`", row.name)),
                );
            }
        }
    }

    fn unknown(&mut self, at: &Place, name: &str, level: Level) {
        let known = level.known();
        let what = match level {
            Level::Rows(_) => "key",
            Level::Each(Names::Resistors, _) => "resistor",
            Level::Each(Names::Amps, _) => "op amp",
            Level::Each(Names::Columns, _) => "column",
            Level::Each(Names::Figures, _) => "figure",
        };
        self.faults.push(
            Fault::at(at, "unknown-key", format!("`{}` is no {what} that is known here", printable(name)))
                .label(format!("unknown {what}"))
                .help(nearest::help(name, &known)),
        );
    }

    /// Checks one value; what comes back with it is its span.
    fn value(&mut self, value: &Spanned<DeValue<'_>>, row: &'static Key, path: &str) -> (Range<usize>, Value) {
        let span = value.span();
        let read = match (row.kind, value.get_ref()) {
            (Kind::Table(_) | Kind::Each(..), DeValue::Table(table)) => {
                Value::Table(self.table(table, Level::below(row), path))
            }
            (Kind::Tables(_), DeValue::Array(items)) => self.tables(items, row, path, &span),
            (Kind::Quantities(unit), DeValue::Array(items)) => self.quantities(items, row, unit, path, &span),
            (Kind::Members, DeValue::Array(items)) => self.members(items, path),
            (_, toml) => match scalar::read(toml, row, path) {
                Read::Value(value) => value,
                Read::Fault(fault) => {
                    self.tell(fault, &span);
                    Value::Bad
                }
            },
        };
        (span, read)
    }

    fn tables(&mut self, items: &[Spanned<DeValue<'_>>], row: &'static Key, path: &str, span: &Range<usize>) -> Value {
        let mut out = Vec::new();
        for (i, item) in items.iter().enumerate() {
            let at = self.place(item.span());
            let path = format!("{path}[{i}]");
            if let DeValue::Table(table) = item.get_ref() {
                out.push((at, self.table(table, Level::below(row), &path)));
            } else {
                let message = format!("`{path}` is {}; a table is due", scalar::kind_of(item.get_ref()));
                self.faults.push(Fault::at(&at, "wrong-type", message).label("expected a table"));
            }
        }
        if items.is_empty() {
            self.empty(path, span);
        }
        Value::Tables(out)
    }

    fn quantities(
        &mut self,
        items: &[Spanned<DeValue<'_>>],
        row: &'static Key,
        unit: crate::quantity::Unit,
        path: &str,
        span: &Range<usize>,
    ) -> Value {
        // Each element is read as one quantity within the bounds of the list.
        let one = Key { kind: Kind::Quantity(unit), ..*row };
        let before = self.faults.len();
        let mut out = Vec::new();
        for item in items {
            match scalar::read(item.get_ref(), &one, path) {
                Read::Value(Value::Number(value)) => out.push(value),
                Read::Value(_) => {}
                Read::Fault(fault) => self.tell(fault, &item.span()),
            }
        }
        if items.is_empty() {
            self.empty(path, span);
        }
        if self.faults.len() > before { Value::Bad } else { Value::Numbers(out) }
    }

    fn members(&mut self, items: &[Spanned<DeValue<'_>>], path: &str) -> Value {
        let before = self.faults.len();
        let mut out = Vec::new();
        for item in items {
            let at = self.place(item.span());
            let DeValue::String(name) = item.get_ref() else {
                let message =
                    format!("`{path}` holds {}; a designator as text is due", scalar::kind_of(item.get_ref()));
                self.faults
                    .push(Fault::at(&at, "wrong-type", message).label("expected a designator").help("write `\"R1\"`"));
                continue;
            };
            match Designator::expand(name) {
                Ok(names) => out.extend(names.into_iter().map(|one| (one, at.clone()))),
                Err(_) => self.faults.push(
                    Fault::at(&at, "unknown-name", format!("`{}` is no resistor that is known here", printable(name)))
                        .label("unknown resistor")
                        .help(nearest::help(name, &Names::Resistors.known())),
                ),
            }
        }
        if self.faults.len() > before { Value::Bad } else { Value::Members(out) }
    }

    fn tell(&mut self, fault: scalar::ScalarFault, span: &Range<usize>) {
        let at = self.place(scalar::inside(&self.document.text, span, fault.place));
        self.faults.push(Fault { help: fault.help, ..Fault::at(&at, fault.code, fault.message).label(fault.label) });
    }

    fn empty(&mut self, path: &str, span: &Range<usize>) {
        let fault = Fault::at(&self.place(span.clone()), "empty-list", format!("`{path}` is empty"))
            .label("nothing in it")
            .help("fill it, or leave the key out");
        self.faults.push(fault);
    }
}

/// The names that one stands for: RF is RF1 and RF2 where resistors are due.
fn stands_for(name: &str, level: Level) -> Vec<&str> {
    match level {
        Level::Each(Names::Resistors, _) if name == "RF" => vec!["RF1", "RF2"],
        _ => vec![name],
    }
}

/// Text of a message: control characters made visible, long text cut.
pub(crate) fn printable(text: &str) -> String {
    const MOST: usize = 60;
    let cut: String = text
        .chars()
        .take(MOST)
        .flat_map(|c| if c.is_control() { c.escape_default().collect::<Vec<_>>() } else { vec![c] })
        .collect();
    if text.chars().count() > MOST { format!("{cut}…") } else { cut }
}
