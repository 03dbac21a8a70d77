//! JSON: every field a script may lean on, full precision, keys in the order of the document.
use super::document::{Audience, Document, Record, Value};
use serde::ser::{Serialize, SerializeMap, Serializer};

impl Document {
    /// The document as one JSON object, indented, with a line end.
    #[must_use]
    pub fn to_json(&self) -> String {
        serde_json::to_string_pretty(self).map(|text| text + "\n").unwrap_or_default()
    }

    /// The document as one line of JSON, with its line end.
    #[must_use]
    pub fn to_json_line(&self) -> String {
        serde_json::to_string(self).map(|text| text + "\n").unwrap_or_default()
    }
}

impl Serialize for Document {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(None)?;
        map.serialize_entry("schema", self.schema)?;
        fields(&self.body, &mut map)?;
        map.end()
    }
}

impl Serialize for Record {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(None)?;
        fields(self, &mut map)?;
        map.end()
    }
}

fn fields<M: SerializeMap>(record: &Record, map: &mut M) -> Result<(), M::Error> {
    for field in &record.fields {
        if field.audience != Audience::People
            && !matches!(field.value, Value::Note(_) | Value::Equation(_) | Value::Picture(_))
        {
            map.serialize_entry(&field.key, &field.value)?;
        }
    }
    Ok(())
}

impl Serialize for Value {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Number(number) => number.si.serialize(serializer),
            Self::Numbers(values, ..) => values.serialize(serializer),
            Self::Count(count) => count.serialize(serializer),
            Self::Text(words) => words.serialize(serializer),
            Self::Flag(is, _) => is.serialize(serializer),
            Self::Texts(words) => words.serialize(serializer),
            Self::Table(rows) | Self::Entries(rows) => rows.serialize(serializer),
            Self::Section(record) | Self::Fold(record) => record.serialize(serializer),
            Self::Sections(all) => serializer.collect_seq(all.iter().map(|(_, record)| record)),
            Self::Note(words) => words.serialize(serializer),
            Self::Equation(formula) => formula.equation.symbols().serialize(serializer),
            Self::Picture(picture) => picture.caption.serialize(serializer),
        }
    }
}
