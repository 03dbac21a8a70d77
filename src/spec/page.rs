use super::key::{Bounds, Default, Key, Kind, Names, PART_FILE, ROOT};
use crate::designator::Topology;
use crate::quantity::{self, Unit};
use std::fmt::Write as _;

const INTRODUCTION: &str = "\
# The spec

A spec is a TOML file. This page lists every key with what may stand behind it, what holds where it is left
out, and its range. It is generated from the table that the reader itself uses (`src/spec/key/`).

## How values are written

- A value with a unit is text: `\"4.7 kΩ\"`, `\"4k7\"`, `\"20 mV\"`, `\"0.1 %\"`, `\"25 ppm/K\"`, `\"80 dB\"`. A bare number stands for
  gains, counts and prices only.
- A range is `\"low .. high\"` (one unit may serve both: `\"-18 .. 18 mV\"`), `\"centre ± half\"` or `\"± half\"`; one value is a
  range of one point.
- A rejection or an open-loop gain is `\"100 dB\"`, `\"100000:1\"` or `\"100 V/mV\"`.
- A resistor is called by its designator; `RF` stands for `RF1` and `RF2`. `R5` and `R6` (`difference` only) are
  both in `resistors.fixed`, or chosen where no values of R1 to R4 alone keep the signal inside the op amp's limits, else
  absent; where R1 to R4 are decided they are chosen only if `resistors.range` names them. A fixed value is one
  resistance; `RG = \"open\"` leaves RG out.
- A path is relative to the spec and stays below its folder.
- Unknown keys are errors, and so are sections and names that the chosen topology can't use. In a file with channels, what
  stands outside them has to be of use to one channel at least.

## How keys are laid over each other

- `[[channel]]`: its keys win over the shared ones, key by key; a list wins as a whole. A key takes away the shared one that
  it excludes (`output` a shared `gain`).
- `[opamp.A1]` wins over `[opamp.all]`, key by key, and both win over the part file. The part file is the one that
  `[opamp.A1] from` names, else the one of `[opamp.all]`; two part files are never mixed.
- `candidates` in `[opamp.all]` tries every `.toml` file of a folder, sorted by name, in the place of `from`. An op amp that
  names its own `from` is decided and stays.

## What the defaults mean

*none* means that whatever the key describes is absent or ideal, or that a figure which needs it is not predicted. Tolerances
and temperature coefficients have the customary value, never zero: a guarantee must not hang on a forgotten key.
";

/// The page `docs/spec-format.md`, from the key table.
#[must_use]
pub fn format_page() -> String {
    let mut out = INTRODUCTION.to_owned();
    let top: Vec<&Key> = ROOT.iter().filter(|key| key.name == "title").collect();
    section(&mut out, "Outside all sections", "The title of the spec.", &top, None);
    for key in ROOT.iter().filter(|key| key.name != "title") {
        heading(&mut out, key, key.name, key.uses);
    }
    let rows: Vec<&Key> = PART_FILE.iter().collect();
    section(
        &mut out,
        "Part files",
        "What `from` and `candidates` name: the keys of an op amp, outside all sections, and a title.",
        &rows,
        None,
    );
    out
}

fn heading(out: &mut String, key: &Key, path: &str, uses: Option<&[Topology]>) {
    match key.kind {
        Kind::Tables(_) if key.name == "channel" => section(out, "`[[channel]]`", key.sentence, &[], None),
        Kind::Table(rows) => table(out, &format!("`[{path}]`"), key.sentence, rows, path, uses),
        Kind::Tables(rows) => table(out, &format!("`[[{path}]]`"), key.sentence, rows, path, uses),
        Kind::Each(names, one) => {
            if let Kind::Table(rows) = one.kind {
                let path = format!("{path}.{}", names.placeholder());
                table(out, &format!("`[{path}]`"), key.sentence, rows, &path, uses);
            }
        }
        _ => {}
    }
}

fn table(
    out: &mut String,
    heading_text: &str,
    sentence: &str,
    rows: &'static [Key],
    path: &str,
    uses: Option<&[Topology]>,
) {
    let (own, below): (Vec<&Key>, Vec<&Key>) = rows.iter().partition(|key| !has_heading(key));
    section(out, heading_text, sentence, &own, uses);
    for key in below {
        heading(out, key, &format!("{path}.{}", key.name), key.uses.or(uses));
    }
}

/// True for a key whose rows get a section of their own.
fn has_heading(key: &Key) -> bool {
    match key.kind {
        Kind::Table(_) | Kind::Tables(_) => key.sample.is_empty(),
        Kind::Each(_, one) => matches!(one.kind, Kind::Table(_)),
        _ => false,
    }
}

fn section(out: &mut String, heading: &str, sentence: &str, rows: &[&Key], uses: Option<&[Topology]>) {
    // Writing to a string can't fail.
    let _ = write!(out, "\n## {heading}\n\n{sentence}{}\n", only(uses));
    if rows.is_empty() {
        return;
    }
    out.push_str("\n| key | value | default | range | meaning |\n| --- | --- | --- | --- | --- |\n");
    for key in rows {
        let _ = writeln!(
            out,
            "| `{}` | {} | {} | {} | {}{} |",
            key.name,
            cell(&value(key)),
            cell(&default(key)),
            cell(&range(key)),
            cell(key.sentence),
            only(key.uses),
        );
    }
}

fn only(uses: Option<&[Topology]>) -> String {
    uses.map_or_else(String::new, |uses| format!(" Only {}.", list(uses.iter().map(|t| t.name()))))
}

fn list<'a>(words: impl Iterator<Item = &'a str>) -> String {
    words.map(|word| format!("`{word}`")).collect::<Vec<_>>().join(", ")
}

fn cell(text: &str) -> String {
    text.replace('|', "\\|")
}

/// What may stand behind a key, in words.
fn value(key: &Key) -> String {
    let of = |unit: Unit| unit.name().to_owned();
    match key.kind {
        Kind::Quantity(unit) => of(unit),
        Kind::Range(unit) => format!("a range of {}", of(unit).trim_start_matches("a ").trim_start_matches("an ")),
        Kind::Decibels => "a rejection".to_owned(),
        Kind::Number => "a number".to_owned(),
        Kind::Count => "a whole number".to_owned(),
        Kind::Flag => "`true` or `false`".to_owned(),
        Kind::Text => "text".to_owned(),
        Kind::Path => "a path".to_owned(),
        Kind::Word(words) => list(words.iter().copied()),
        Kind::OhmOrOpen => "a resistance, or `\"open\"`".to_owned(),
        Kind::Change => "a change".to_owned(),
        Kind::Quantities(unit) => format!("a list, each {}", of(unit)),
        Kind::Members => "a list of designators".to_owned(),
        Kind::Table(rows) => format!("a table: {}", inner(rows)),
        Kind::Tables(rows) => format!("a list of tables: {}", inner(rows)),
        Kind::Each(names, one) => {
            let of = match names {
                Names::Resistors => "designator".to_owned(),
                Names::Amps => "op amp".to_owned(),
                Names::Columns | Names::Figures => list(names.known().into_iter()),
            };
            format!("a table by {of}: {}", value(one))
        }
    }
}

fn inner(rows: &[Key]) -> String {
    rows.iter().map(|row| format!("`{}` {}", row.name, value(row))).collect::<Vec<_>>().join(", ")
}

fn default(key: &Key) -> String {
    match key.default {
        Default::Required => "**required**".to_owned(),
        Default::Absent => "none".to_owned(),
        Default::Value(toml) => format!("`{toml}`"),
        Default::Rule(words) => words.to_owned(),
    }
}

fn range(key: &Key) -> String {
    let (bounds, unit) = match key.kind {
        Kind::Quantity(unit) | Kind::Range(unit) | Kind::Quantities(unit) => (key.bounds, unit),
        Kind::OhmOrOpen => (key.bounds, Unit::Ohm),
        Kind::Decibels => (key.bounds, Unit::Decibel),
        Kind::Number | Kind::Count => (key.bounds, Unit::Plain),
        Kind::Each(_, one) => return range(one),
        _ => return String::new(),
    };
    if bounds == Bounds::ANY {
        return "any".to_owned();
    }
    bounds.words(|value| quantity::exact(value, unit))
}
