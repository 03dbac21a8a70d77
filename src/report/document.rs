use super::picture::Picture;
use crate::equation::Equation;
use crate::quantity::Unit;
use std::borrow::Cow;

/// What a command answers, before it is written in any format.
#[derive(Clone, Debug, PartialEq)]
pub struct Document {
    /// Name and version of the JSON shape.
    pub schema: &'static str,
    /// The one line for a person in a hurry.
    pub verdict: Verdict,
    /// What the document is about, for people; may be empty.
    pub title: String,
    /// The fields, in the order in which they are written.
    pub body: Record,
    /// The spec that was answered, as it was given; formats that are kept show it.
    pub spec: Option<String>,
}

impl Document {
    /// A document without a title.
    #[must_use]
    pub const fn new(schema: &'static str, verdict: Verdict, body: Record) -> Self {
        Self { schema, verdict, title: String::new(), body, spec: None }
    }

    /// The same document under a title.
    #[must_use]
    pub fn titled(mut self, title: impl Into<String>) -> Self {
        self.title = title.into();
        self
    }

    /// The same document with the spec it answers.
    #[must_use]
    pub fn answering(mut self, spec: impl Into<String>) -> Self {
        self.spec = Some(spec.into());
        self
    }

    /// Every picture, in the order of the document.
    #[must_use]
    pub fn pictures(&self) -> Vec<&Picture> {
        fn collect<'r>(record: &'r Record, all: &mut Vec<&'r Picture>) {
            for field in &record.fields {
                match &field.value {
                    Value::Picture(picture) => all.push(picture),
                    Value::Section(inner) | Value::Fold(inner) => collect(inner, all),
                    _ => {}
                }
            }
        }
        let mut all = Vec::new();
        collect(&self.body, &mut all);
        all
    }
}

/// The first line for people, and how it sounds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Verdict {
    /// The line.
    pub words: String,
    /// Good news, bad news, or neither.
    pub tone: Tone,
}

impl Verdict {
    /// Good news.
    pub fn good(words: impl Into<String>) -> Self {
        Self { words: words.into(), tone: Tone::Good }
    }
    /// Bad news.
    pub fn bad(words: impl Into<String>) -> Self {
        Self { words: words.into(), tone: Tone::Bad }
    }
    /// Neither.
    pub fn plain(words: impl Into<String>) -> Self {
        Self { words: words.into(), tone: Tone::Plain }
    }
}

/// How a word sounds; a format may colour it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Tone {
    /// Ordinary text.
    #[default]
    Plain,
    /// A limit met.
    Good,
    /// A limit missed.
    Bad,
    /// Not known.
    Open,
}

/// Who a field is for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Audience {
    /// People and scripts.
    #[default]
    All,
    /// Left out of JSON.
    People,
    /// JSON alone.
    Data,
}

/// One field of a [`Record`].
#[derive(Clone, Debug, PartialEq)]
pub struct Field {
    /// Its key in JSON.
    pub key: Cow<'static, str>,
    /// What people read before it.
    pub label: Cow<'static, str>,
    /// What it says.
    pub value: Value,
    /// Who it is for.
    pub audience: Audience,
}

impl Field {
    /// Leaves the field out of what people read.
    pub const fn for_data(&mut self) -> &mut Self {
        self.audience = Audience::Data;
        self
    }

    /// Leaves the field out of JSON.
    pub const fn for_people(&mut self) -> &mut Self {
        self.audience = Audience::People;
        self
    }

    /// Significant digits people read; JSON always has all of them.
    pub const fn digits(&mut self, digits: usize) -> &mut Self {
        if let Value::Number(number) = &mut self.value {
            number.digits = digits;
        }
        self
    }

    /// What people read where there is no number, in place of `unbounded`.
    pub const fn or_say(&mut self, words: &'static str) -> &mut Self {
        if let Value::Number(number) = &mut self.value {
            number.none = words;
        }
        self
    }
}

/// A number with its unit; SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Number {
    /// The value; `None` is `null` in JSON.
    pub si: Option<f64>,
    /// What it is measured in.
    pub unit: Unit,
    /// Significant digits for people.
    pub digits: usize,
    /// What people read for `None`.
    pub none: &'static str,
}

/// What a field says.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A measured number.
    Number(Number),
    /// Several numbers in one place, with what stands between them for people.
    Numbers(Vec<f64>, Unit, &'static str),
    /// A whole number.
    Count(u64),
    /// Words; `None` is `null` in JSON and blank to people.
    Text(Option<String>),
    /// Yes, no or not known, with the words for each.
    Flag(Option<bool>, [&'static str; 3]),
    /// A list of words, an item a line.
    Texts(Vec<String>),
    /// Records side by side; people see the fields that fit one cell.
    Table(Vec<Record>),
    /// Records one below the other, for longer words.
    Entries(Vec<Record>),
    /// Fields under a heading of their own.
    Section(Record),
    /// The same, which may stay closed until it is asked for.
    Fold(Record),
    /// Such fields one after the other, each under the heading that is said with it.
    Sections(Vec<(String, Record)>),
    /// A paragraph for people.
    Note(String),
    /// An equation on lines of its own, for people.
    Equation(Box<Formula>),
    /// A picture for people.
    Picture(Box<Picture>),
}

/// An equation as it is set on a page.
#[derive(Clone, Debug, PartialEq)]
pub struct Formula {
    /// The equation.
    pub equation: Equation,
    /// What stands beside the result, as `network 36.07 µA`; may be empty.
    pub beside: String,
    /// Its number in the list of laws, as `(7)`; may be empty.
    pub label: String,
}

/// Fields in the order in which they are written.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Record {
    /// The fields.
    pub fields: Vec<Field>,
}

impl Record {
    /// No fields yet.
    #[must_use]
    pub const fn new() -> Self {
        Self { fields: Vec::new() }
    }

    /// Puts a field at the end and returns it, to be told who it is for.
    pub fn push(
        &mut self,
        key: impl Into<Cow<'static, str>>,
        label: impl Into<Cow<'static, str>>,
        value: Value,
    ) -> &mut Field {
        let field = Field { key: key.into(), label: label.into(), value, audience: Audience::All };
        let at = self.fields.len();
        self.fields.push(field);
        &mut self.fields[at]
    }

    /// A number; `None` is unbounded.
    pub fn number(
        &mut self,
        key: &'static str,
        label: &'static str,
        si: impl Into<Option<f64>>,
        unit: Unit,
    ) -> &mut Field {
        let digits = 4;
        self.push(key, label, Value::Number(Number { si: si.into(), unit, digits, none: "unbounded" }))
    }

    /// Words.
    pub fn text(&mut self, key: &'static str, label: &'static str, words: impl Into<String>) -> &mut Field {
        self.push(key, label, Value::Text(Some(words.into())))
    }

    /// Yes or no.
    pub fn flag(&mut self, key: &'static str, label: &'static str, is: bool) -> &mut Field {
        self.push(key, label, Value::Flag(Some(is), ["yes", "no", "not known"]))
    }

    /// A list of words.
    pub fn texts(&mut self, key: &'static str, label: &'static str, words: &[String]) -> &mut Field {
        self.push(key, label, Value::Texts(words.to_vec()))
    }

    /// Records side by side.
    pub fn table<T>(
        &mut self,
        key: &'static str,
        label: &'static str,
        items: &[T],
        row: impl Fn(&T) -> Self,
    ) -> &mut Field {
        self.push(key, label, Value::Table(items.iter().map(row).collect()))
    }

    /// Records one below the other.
    pub fn entries<T>(
        &mut self,
        key: &'static str,
        label: &'static str,
        items: &[T],
        entry: impl Fn(&T) -> Self,
    ) -> &mut Field {
        self.push(key, label, Value::Entries(items.iter().map(entry).collect()))
    }

    /// Fields under a heading.
    pub fn section(&mut self, key: &'static str, label: &'static str, fill: impl FnOnce(&mut Self)) -> &mut Field {
        let mut inner = Self::new();
        fill(&mut inner);
        self.push(key, label, Value::Section(inner))
    }

    /// Fields under a heading, for people, which a page may keep closed until they are asked for.
    pub fn fold(&mut self, label: impl Into<Cow<'static, str>>, fill: impl FnOnce(&mut Self)) {
        let mut inner = Self::new();
        fill(&mut inner);
        self.push("", label, Value::Fold(inner)).for_people();
    }

    /// Fields of several things alike, each under its own heading.
    pub fn sections<T>(
        &mut self,
        key: &'static str,
        items: &[T],
        section: impl Fn(&T) -> (String, Self),
    ) -> &mut Field {
        self.push(key, "", Value::Sections(items.iter().map(section).collect()))
    }

    /// An equation for people.
    pub fn equation(&mut self, formula: Formula) -> &mut Field {
        self.push("", "", Value::Equation(Box::new(formula))).for_people()
    }

    /// A paragraph for people.
    pub fn note(&mut self, words: impl Into<String>) -> &mut Field {
        self.push("", "", Value::Note(words.into())).for_people()
    }
    /// A picture for people, where there is something to draw.
    pub fn picture(&mut self, picture: Option<Picture>) {
        if let Some(picture) = picture {
            self.push("", "", Value::Picture(Box::new(picture))).for_people();
        }
    }
}
