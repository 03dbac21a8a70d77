//! The key table as JSON Schema, so that an editor completes and checks specs.
use super::key::{Bounds, Default, Edge, Key, Kind, Names, ROOT};
use crate::quantity::{Unit, exact};
use serde_json::{Map, Value, json};

/// JSON Schema (draft 2020-12) of the spec. A schema can't read quantities: their form is described,
/// and checked as far as a pattern goes.
#[must_use]
pub fn schema() -> Value {
    let mut root = table(ROOT.iter());
    let mut whole = Map::new();
    whole.insert("$schema".to_owned(), json!("https://json-schema.org/draft/2020-12/schema"));
    whole.insert("title".to_owned(), json!("evenkeel spec"));
    whole.append(&mut root);
    whole.insert("anyOf".to_owned(), json!([{ "required": ["target"] }, { "required": ["channel"] }]));
    Value::Object(whole)
}

fn table<'k>(rows: impl Iterator<Item = &'k Key> + Clone) -> Map<String, Value> {
    let mut properties = Map::new();
    for key in rows.clone() {
        properties.insert(key.name.to_owned(), described(key));
    }
    let required: Vec<&str> = rows.clone().filter(|key| key.default == Default::Required).map(|key| key.name).collect();
    let mut out = Map::new();
    out.insert("type".to_owned(), json!("object"));
    out.insert("properties".to_owned(), Value::Object(properties));
    out.insert("additionalProperties".to_owned(), json!(false));
    if !required.is_empty() {
        out.insert("required".to_owned(), json!(required));
    }
    let excluded: Vec<Value> = rows
        .filter_map(|key| key.instead_of.filter(|other| key.name < *other).map(|other| (key.name, other)))
        .map(|(one, other)| json!({ "not": { "required": [one, other] } }))
        .collect();
    if !excluded.is_empty() {
        out.insert("allOf".to_owned(), Value::Array(excluded));
    }
    out
}

fn described(key: &Key) -> Value {
    let mut out = of_kind(key.kind, key.bounds);
    let mut sentence = key.sentence.to_owned();
    match key.default {
        Default::Value(toml) => {
            if let Some(value) = plain(toml) {
                out.insert("default".to_owned(), value);
            }
        }
        Default::Rule(words) => sentence += &format!(" Left out: {words}."),
        Default::Required | Default::Absent => {}
    }
    if let Some(range) = range(key) {
        sentence += &format!(" Range: {range}.");
    }
    if let Some(uses) = key.uses {
        let names: Vec<&str> = uses.iter().map(|one| one.name()).collect();
        sentence += &format!(" Only {}.", names.join(", "));
    }
    out.insert("description".to_owned(), json!(sentence));
    if let Some(example) = plain(key.sample) {
        out.insert("examples".to_owned(), json!([example]));
    }
    Value::Object(out)
}

/// A TOML value of the table that is text, a number or a flag.
fn plain(toml: &str) -> Option<Value> {
    match toml {
        "" => None,
        "true" => Some(json!(true)),
        "false" => Some(json!(false)),
        _ => match toml.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')) {
            Some(text) if !text.contains('"') => Some(json!(text)),
            _ => toml
                .parse::<f64>()
                .ok()
                .map(|number| if number.fract() == 0.0 { json!(number as i64) } else { json!(number) }),
        },
    }
}

fn range(key: &Key) -> Option<String> {
    let unit = match key.kind {
        Kind::Quantity(unit) | Kind::Range(unit) | Kind::Quantities(unit) => unit,
        Kind::OhmOrOpen => Unit::Ohm,
        Kind::Decibels => Unit::Decibel,
        _ => return None,
    };
    (key.bounds != Bounds::ANY).then(|| key.bounds.words(|value| exact(value, unit)))
}

fn object(value: Value) -> Map<String, Value> {
    match value {
        Value::Object(map) => map,
        _ => Map::new(),
    }
}

/// Text that holds a digit, which every quantity does.
const QUANTITY: &str = r"[0-9]";
/// Text that can be the name of a part file or a bill: no absolute path, and nothing above the folder.
const BELOW: &str = r"^(?!/)(?!.*(^|[\\/])\.\.([\\/]|$)).+$";

fn of_kind(kind: Kind, bounds: Bounds) -> Map<String, Value> {
    match kind {
        Kind::Quantity(_) | Kind::Range(_) | Kind::Decibels | Kind::Change => {
            object(json!({ "type": "string", "pattern": QUANTITY }))
        }
        Kind::OhmOrOpen => object(json!({ "type": "string", "pattern": r"[0-9]|^open$" })),
        Kind::Number => number("number", bounds),
        Kind::Count => number("integer", bounds),
        Kind::Flag => object(json!({ "type": "boolean" })),
        Kind::Text => object(json!({ "type": "string" })),
        Kind::Path => object(json!({ "type": "string", "pattern": BELOW })),
        Kind::Word(words) => object(json!({ "type": "string", "enum": words })),
        Kind::Quantities(_) => {
            object(json!({ "type": "array", "minItems": 1, "items": { "type": "string", "pattern": QUANTITY } }))
        }
        Kind::Members => {
            let names = Names::Resistors.known();
            object(json!({ "type": "array", "minItems": 1, "items": { "type": "string", "enum": names } }))
        }
        // What a section requires may stand in a channel, or outside it: the reader knows, a schema can't.
        Kind::Table(rows) => {
            let mut section = table(rows.iter());
            section.remove("required");
            section
        }
        Kind::Tables(rows) => object(json!({ "type": "array", "minItems": 1, "items": table(rows.iter()) })),
        Kind::Each(names, row) => {
            let mut properties = Map::new();
            for name in names.known() {
                properties.insert(name.to_owned(), described(row));
            }
            object(json!({ "type": "object", "properties": properties, "additionalProperties": false }))
        }
    }
}

/// Either of a bare number within its bounds and the same as text.
fn number(kind: &str, bounds: Bounds) -> Map<String, Value> {
    let mut bare = object(json!({ "type": kind }));
    match bounds.least {
        Edge::Closed(least) => bare.insert("minimum".to_owned(), json!(least)),
        Edge::Open(least) => bare.insert("exclusiveMinimum".to_owned(), json!(least)),
        Edge::None => None,
    };
    match bounds.greatest {
        Edge::Closed(most) => bare.insert("maximum".to_owned(), json!(most)),
        Edge::Open(most) => bare.insert("exclusiveMaximum".to_owned(), json!(most)),
        Edge::None => None,
    };
    object(json!({ "anyOf": [bare, { "type": "string", "pattern": QUANTITY }] }))
}
