//! Keys of a spec set from outside, as `target.gain=10,100`.
use super::fault::Fault;
use super::key::{self, Key, Kind, Level, ROOT, join};
use super::nearest;
use super::place::{Document, Place};
use super::scalar::{self, Read};
use super::tree::{Entry, Table, Value};
use super::walk::printable;
use crate::quantity::{self, Unit, decibels, exact, parse_range};
use std::borrow::Cow;
use std::ops::Range;
use std::sync::Arc;
use toml::de::DeValue;

/// The most values one key takes.
const MOST: usize = 100_000;

/// A key of the spec with the values it takes one after the other, as the spec would write them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Variation {
    /// Dotted path of the key; `RF` stands for both.
    pub key: String,
    /// Its values.
    pub values: Vec<String>,
}

/// A key with one value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Setting {
    /// Dotted path of the key.
    pub key: String,
    /// The value, as the spec would write it without quotes.
    pub value: String,
}

/// Reads `KEY=LOW..HIGH:STEPS` (so many values, both ends included, in equal steps; decibels for a
/// rejection) or `KEY=A,B,C`.
///
/// # Errors
/// [`Fault`] with the place in the text.
///
/// ```
/// use evenkeel::spec::variation;
/// let steps = variation("--vary", "source.imbalance=0 ohm..2 ohm:3")?;
/// assert_eq!(steps.values, ["0 Ω", "1 Ω", "2 Ω"]);
/// assert!(variation("--vary", "target.gian=1,2").is_err());
/// # Ok::<(), Box<evenkeel::spec::Fault>>(())
/// ```
pub fn variation(name: &str, text: &str) -> Result<Variation, Box<Fault>> {
    let document = Document::new(name, text);
    let fault = |span: Range<usize>, code, message: String| Fault::at(&document.at(span), code, message);
    let Some((key, list)) = text.split_once('=') else {
        let told = fault(0..text.len(), "bad-variation", format!("`{}` has no `=`", printable(text)));
        return Err(Box::new(told.help("write `KEY=LOW..HIGH:STEPS` or `KEY=A,B,C`, as `target.gain=10,20,50`")));
    };
    let path = key.trim();
    let row = row(path).map_err(|help| {
        fault(0..key.len(), "unknown-key", format!("`{}` is no key of the spec that can be varied", printable(path)))
            .help(help)
    })?;
    let start = key.len() + 1;
    let values = match steps(list) {
        Some((range, steps)) if !matches!(row.kind, Kind::Range(_)) => {
            spread(range, steps, row).map_err(|(code, message, help)| {
                fault(start..text.len(), code, format!("`{path}`: {message}")).help(help)
            })?
        }
        _ => list.split(',').map(|value| value.trim().to_owned()).collect(),
    };
    let mut at = start;
    for value in &values {
        let span = at..at + value.len();
        if let Read::Fault(why) = read(value, row, path) {
            let inside = if list.contains(value.as_str()) { span.clone() } else { start..text.len() };
            let told = fault(inside, why.code, why.message);
            return Err(Box::new(Fault { help: why.help, ..told }));
        }
        at = span.end + 1;
    }
    Ok(Variation { key: path.to_owned(), values })
}

/// The row of a key that holds one value.
fn row(path: &str) -> Result<&'static Key, String> {
    let mut level = Level::Rows(ROOT);
    let mut found = None;
    for name in path.split('.') {
        let Some(row) = level.row(name) else { return Err(nearest::help(name, &level.known())) };
        level = Level::below(row);
        found = Some(row);
    }
    let found = found.ok_or_else(String::new)?;
    match found.kind {
        Kind::Table(_) | Kind::Tables(_) | Kind::Each(..) => {
            Err(format!("`{path}` is a section: name one of its keys, as `{path}.{}`", level.known().join("`, `")))
        }
        Kind::Quantities(_) | Kind::Members => Err("a list can't be varied".to_owned()),
        _ if path.starts_with("channel") => Err("channels can't be varied: name the key alone".to_owned()),
        _ => Ok(found),
    }
}

/// `LOW..HIGH:STEPS`.
fn steps(list: &str) -> Option<(&str, &str)> {
    let (range, steps) = list.rsplit_once(':')?;
    (range.contains("..") && !list.contains(',')).then_some((range, steps.trim()))
}

type Why = (&'static str, String, String);

fn spread(range: &str, steps: &str, row: &Key) -> Result<Vec<String>, Why> {
    let count =
        quantity::parse_count(steps).map_err(|why| ("bad-variation", why.to_string(), why.help().to_owned()))?;
    let count = usize::try_from(count).unwrap_or(usize::MAX);
    if !(1..=MOST).contains(&count) {
        let help = format!("from 1 to {MOST}");
        return Err(("bad-variation", format!("{count} steps can't be taken"), help));
    }
    let unit = match row.kind {
        Kind::Quantity(unit) => unit,
        Kind::OhmOrOpen => Unit::Ohm,
        Kind::Decibels => Unit::Decibel,
        Kind::Number | Kind::Count => Unit::Plain,
        _ => return Err(("bad-variation", "has no steps".to_owned(), "write the values, as `KEY=A,B`".to_owned())),
    };
    let bad = |why: quantity::QuantityFault| ("bad-quantity", why.to_string(), why.help().to_owned());
    let in_decibels = matches!(unit, Unit::Rejection | Unit::Decibel);
    let (low, high) = if in_decibels {
        let ratio = || parse_range(range, Unit::Rejection).map(|(low, high)| (decibels(low), decibels(high)));
        parse_range(range, Unit::Decibel).or_else(|_| ratio()).map_err(bad)?
    } else {
        parse_range(range, unit).map_err(bad)?
    };
    let shown = |value: f64| exact(value, if in_decibels { Unit::Decibel } else { unit });
    if count == 1 && low < high {
        return Err(("bad-variation", "one step has no two ends".to_owned(), "take 2 steps or more".to_owned()));
    }
    let value = |step: usize| match step {
        0 => low,
        step if step + 1 == count => high,
        step => low + (high - low) * (step as f64 / (count - 1) as f64),
    };
    Ok((0..count).map(|step| shown(value(step))).collect())
}

fn read(value: &str, row: &Key, path: &str) -> Read {
    let toml = match (row.kind, value) {
        (Kind::Flag, "true") => DeValue::Boolean(true),
        (Kind::Flag, "false") => DeValue::Boolean(false),
        _ => DeValue::String(Cow::Borrowed(value)),
    };
    scalar::read(&toml, row, path)
}

/// Checks that a value that [`variation`] let through is laid where it belongs.
pub(crate) fn set(tree: &mut Table, setting: &Setting) {
    let Ok(row) = row(&setting.key) else { return };
    let Read::Value(value) = read(&setting.value, row, &setting.key) else { return };
    let text = format!("{}={}", setting.key, setting.value);
    let document: Arc<Document> = Document::new("--vary", &text);
    let (key, at) = (document.at(0..setting.key.len()), document.at(setting.key.len() + 1..text.len()));
    put(tree, Level::Rows(ROOT), &setting.key, &Entry { key, at, value });
}

fn put(table: &mut Table, level: Level, path: &str, entry: &Entry) {
    let Some((first, rest)) = path.split_once('.') else {
        if let Some(other) = level.row(path).and_then(|row| row.instead_of) {
            table.0.remove(other);
        }
        let names: &[&str] = if path == "RF" { &["RF1", "RF2"] } else { &[path] };
        table.0.extend(names.iter().map(|name| ((*name).to_owned(), entry.clone())));
        return;
    };
    let Some(row) = level.row(first) else { return };
    let names: &[&str] = if first == "RF" { &["RF1", "RF2"] } else { &[first] };
    for name in names {
        let fresh = || Entry { value: Value::Table(Table::default()), ..entry.clone() };
        let inner = table.0.entry((*name).to_owned()).or_insert_with(fresh);
        match &mut inner.value {
            Value::Table(inner) => put(inner, Level::below(row), rest, entry),
            Value::Tables(items) => {
                for (_, inner) in items {
                    put(inner, Level::below(row), rest, entry);
                }
            }
            _ => {}
        }
    }
}

/// True where a setting changes the circuit, after which sections of another may be left over.
pub(crate) fn changes_circuit(settings: &[Setting]) -> bool {
    settings.iter().any(|setting| setting.key == "circuit.topology")
}

/// What keeps a setting from being laid over the spec: it is none, or a list of tables is missing.
pub(crate) fn lacking(tree: &Table, document: &Arc<Document>, setting: &Setting) -> Option<Fault> {
    refused(setting).or_else(|| without_list(tree, document, setting))
}

fn refused(setting: &Setting) -> Option<Fault> {
    let document: Arc<Document> = Document::new("setting", &format!("{}={}", setting.key, setting.value));
    let (key, value) = (0..setting.key.len(), setting.key.len() + 1..setting.key.len() + 1 + setting.value.len());
    match row(&setting.key) {
        Err(help) => {
            let message = format!("`{}` is no key of the spec that can be set", printable(&setting.key));
            Some(Fault::at(&document.at(key), "unknown-key", message).help(help))
        }
        Ok(row) => match read(&setting.value, row, &setting.key) {
            Read::Value(_) => None,
            Read::Fault(why) => Some(Fault { help: why.help, ..Fault::at(&document.at(value), why.code, why.message) }),
        },
    }
}

fn without_list(tree: &Table, document: &Arc<Document>, setting: &Setting) -> Option<Fault> {
    let mut path = String::new();
    for name in setting.key.split('.') {
        path = join(&path, name);
        if let Some(Kind::Tables(_)) = key::find(&path).map(|row| row.kind)
            && tree.tables(&path).is_empty()
        {
            let place = Place { document: document.clone(), span: 0..0 };
            return Some(
                Fault::at(&place, "nothing-to-vary", format!("the spec has no `[[{path}]]` to vary"))
                    .help(format!("add one, or leave `--vary {}` out", setting.key)),
            );
        }
    }
    None
}
