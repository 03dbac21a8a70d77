use super::grid::{Cell, Grid};
use super::heading::{self, Heading};
use super::part_text::{self, PartFault, PartText};
use crate::designator::{Designator, Topology};
use crate::part::Fixed;
use crate::quantity::{Unit, exact};
use crate::spec::{Fault, Faults};
use crate::study::{Board, ListedPart};
use std::collections::BTreeMap;

/// A bill of materials that was read; a line is understood when it is looked up.
#[derive(Clone, Debug)]
pub struct Bill {
    grid: Grid,
    /// Number of the first row under the heading.
    first: usize,
    reference: Column,
    value: Column,
    tolerance: Option<Column>,
    tempco: Option<Column>,
    not_fitted: Option<Column>,
}

#[derive(Clone, Debug)]
struct Column {
    at: usize,
    words: String,
    unit: Option<String>,
}

const REFERENCE: &[&str] = &[
    "reference",
    "references",
    "ref",
    "refs",
    "refdes",
    "refdesignator",
    "designator",
    "designators",
    "designation",
    "referencedesignator",
    "referencedesignators",
    "partreference",
    "position",
    "positions",
];
const VALUE: &[&str] = &["value", "values", "val", "resistance", "nominal", "partvalue"];
const VALUE_IN_WORDS: &[&str] = &["description", "comment", "component", "part", "parttext", "type"];
const TOLERANCE: &[&str] = &["tolerance", "tol"];
const TEMPCO: &[&str] = &["tempco", "tcr", "tc", "temperaturecoefficient", "tk"];
const NOT_FITTED: &[&str] = &["dnp", "dnf", "dni", "notfitted", "donotpopulate", "donotfit"];

impl Bill {
    /// Reads a bill: `name` is what people know the file by, `columns` the headings of `reference`,
    /// `value` and `tolerance` where the spec states them; the others are found.
    ///
    /// # Errors
    /// [`Faults`] where a column is missing or a quote is never closed.
    ///
    /// ```
    /// use evenkeel::sheet::Bill;
    /// let text = "Designator;Value\nR1,R2;24.9k 0.1% 0603\n";
    /// assert!(Bill::read("bom.csv", text, &Default::default()).is_ok());
    /// assert!(Bill::read("bom.csv", "Value\n24.9k\n", &Default::default()).is_err());
    /// ```
    pub fn read(name: &str, text: &str, columns: &BTreeMap<String, String>) -> Result<Self, Faults> {
        let grid = Grid::cut(name, text)?;
        let wanted = |key: &str| columns.get(key).map(String::as_str);
        let has = |heads: &[Heading], key: &str, known: &[&[&str]]| column(heads, wanted(key), known).is_some();
        let found = heading::find(&grid, |heads| {
            has(heads, "reference", &[REFERENCE]) && has(heads, "value", &[VALUE, VALUE_IN_WORDS])
        });
        let Some((at, heads)) = found else { return Err(Faults(vec![no_heading(&grid, columns)])) };
        let find = |key: &str, known: &[&[&str]]| column(&heads, wanted(key), known);
        let (Some(reference), Some(value)) = (find("reference", &[REFERENCE]), find("value", &[VALUE, VALUE_IN_WORDS]))
        else {
            return Err(Faults(vec![no_heading(&grid, columns)]));
        };
        let tolerance = find("tolerance", &[TOLERANCE]);
        if let (None, Some(said)) = (&tolerance, wanted("tolerance")) {
            return Err(Faults(vec![missing_column(&grid, "tolerance", said, &heads)]));
        }
        let (tempco, not_fitted) = (find("", &[TEMPCO]), find("", &[NOT_FITTED]));
        Ok(Self { first: at + 1, reference, value, tolerance, tempco, not_fitted, grid })
    }

    /// The listed part of every resistor of a circuit. A designator that `[board]` names must be in
    /// the bill once; without such names a resistor is looked for under its own.
    ///
    /// # Errors
    /// [`Faults`]: designators that are missing or listed twice, and lines that can't be understood.
    pub fn parts(&self, board: &Board, topology: Topology) -> Result<BTreeMap<Designator, ListedPart>, Faults> {
        let (mut parts, mut faults) = (BTreeMap::new(), Vec::new());
        for name in Designator::ALL {
            let divides = matches!(name, Designator::R5 | Designator::R6) && topology == Topology::Difference;
            if !divides && !topology.resistors().contains(&name) {
                continue;
            }
            let said = board.designators.get(&name);
            let reference = match said {
                Some(said) => said.as_str(),
                None if board.designators.is_empty() => name.name(),
                None => continue,
            };
            match self.part(reference) {
                Ok(Some(part)) => {
                    parts.insert(name, part);
                }
                Ok(None) if said.is_some() => faults.push(self.missing(reference, name)),
                Ok(None) => {}
                Err(fault) => faults.push(*fault),
            }
        }
        if faults.is_empty() { Ok(parts) } else { Err(Faults::told(faults)) }
    }

    fn missing(&self, reference: &str, name: Designator) -> Fault {
        let message = format!("`{reference}`, which is {name}, is not in the bill of materials");
        self.grid
            .whole("missing-designator", message)
            .help(format!("add it to the column `{}`, or correct `designators` under [board]", self.reference.words))
    }

    /// The line of one designator.
    fn part(&self, reference: &str) -> Result<Option<ListedPart>, Box<Fault>> {
        let rows = self.grid.rows.iter().skip(self.first);
        let mut lines: Vec<(&Vec<Cell>, &Cell)> = Vec::new();
        for row in rows {
            let Some(cell) = row.get(self.reference.at) else { continue };
            let times = references(&cell.text).iter().filter(|one| one.eq_ignore_ascii_case(reference)).count();
            lines.extend(std::iter::repeat_n((row, cell), times));
        }
        let fitted: Vec<_> = lines.iter().filter(|(row, _)| !self.marked_not_fitted(row)).copied().collect();
        match (fitted.as_slice(), lines.is_empty()) {
            ([], true) => Ok(None),
            ([], false) => Ok(Some(ListedPart::not_fitted(reference))),
            ([(row, cell)], _) => self.understood(reference, row, cell).map(Some),
            ([_, (_, again), ..], _) => {
                let message = format!("`{reference}` is listed twice in the bill of materials");
                let told = self.grid.fault(&again.span, "listed-twice", message);
                Err(Box::new(told.help("keep one of the lines, or mark the other as not fitted")))
            }
        }
    }

    fn marked_not_fitted(&self, row: &[Cell]) -> bool {
        let cell = self.not_fitted.as_ref().and_then(|column| row.get(column.at));
        cell.is_some_and(|cell| !matches!(heading::plain(&cell.text).as_str(), "" | "0" | "no" | "n" | "false"))
    }

    fn understood(&self, reference: &str, row: &[Cell], at: &Cell) -> Result<ListedPart, Box<Fault>> {
        let blank = Cell { text: String::new(), span: at.span.clone() };
        let cell = row.get(self.value.at).unwrap_or(&blank);
        let read = part_text::read(&cell.text, self.value.unit.as_deref())
            .map_err(|fault| Box::new(self.no_value(reference, cell, &fault)))?;
        let PartText { ohm, mut tolerance, mut tempco_per_k, not_fitted } = read;
        if let Some((column, cell)) = filled(self.tolerance.as_ref(), row) {
            let said = part_text::tolerance(&cell.text, column.unit.as_deref());
            tolerance = Some(said.map_err(|fault| {
                let message = format!("tolerance of `{reference}`: {fault}");
                Box::new(self.grid.fault(&cell.span, "bad-quantity", message).help(fault.help()))
            })?);
        }
        if let Some((column, cell)) = filled(self.tempco.as_ref(), row) {
            tempco_per_k = part_text::tempco(&cell.text, column.unit.as_deref()).ok().or(tempco_per_k);
        }
        let value = match ohm {
            Some(ohm) if !not_fitted => Fixed::Ohm(ohm),
            _ => Fixed::Open,
        };
        Ok(ListedPart { reference: reference.to_owned(), value, tolerance, tempco_per_k })
    }

    fn no_value(&self, reference: &str, cell: &Cell, fault: &PartFault) -> Fault {
        let (message, help) = match fault {
            PartFault::NoResistance(Some(why)) => (format!("value of `{reference}`: {why}"), why.help().to_owned()),
            PartFault::NoResistance(None) => {
                (format!("value of `{reference}`: `{}` holds no resistance", cell.text), "write `24.9k`".to_owned())
            }
            PartFault::Two(one, two) => (
                format!(
                    "value of `{reference}`: `{}` may be {} or {}",
                    cell.text,
                    exact(*one, Unit::Ohm),
                    exact(*two, Unit::Ohm)
                ),
                "keep one resistance in the cell".to_owned(),
            ),
        };
        self.grid.fault(&cell.span, "bad-value", message).help(help)
    }

    /// The name people know the bill by.
    #[must_use]
    pub fn name(&self) -> &str {
        self.grid.name()
    }
}

fn filled<'b>(column: Option<&'b Column>, row: &'b [Cell]) -> Option<(&'b Column, &'b Cell)> {
    let column = column?;
    let cell = row.get(column.at).filter(|cell| !cell.text.is_empty() && cell.text != "-")?;
    Some((column, cell))
}

/// The column of a heading that is stated, else of the first group of known headings that is there.
fn column(heads: &[Heading], stated: Option<&str>, known: &[&[&str]]) -> Option<Column> {
    let made = |(at, head): (usize, &Heading)| Column { at, words: head.words.clone(), unit: head.unit.clone() };
    if let Some(stated) = stated {
        let wanted = heading::plain(stated);
        let all = |head: &Heading| head.plain.clone() + &head.unit.as_deref().map(heading::plain).unwrap_or_default();
        return heads.iter().enumerate().find(|(_, head)| head.plain == wanted || all(head) == wanted).map(made);
    }
    known.iter().find_map(|names| heads.iter().enumerate().find(|(_, head)| head.is(names)).map(made))
}

fn no_heading(grid: &Grid, columns: &BTreeMap<String, String>) -> Fault {
    let stated: Vec<String> = columns.values().map(|heading| format!("`{heading}`")).collect();
    let message = if stated.is_empty() {
        "the bill has no heading with a column of designators and one of values".to_owned()
    } else {
        format!("the bill has no heading with the columns {}", stated.join(", "))
    };
    grid.whole("no-heading", message)
        .help("name them under [board]: `columns = { reference = \"Designator\", value = \"Value\" }`")
}

fn missing_column(grid: &Grid, key: &str, said: &str, heads: &[Heading]) -> Fault {
    let there: Vec<String> = heads.iter().map(|head| format!("`{}`", head.words)).collect();
    let message = format!("the bill has no column `{said}`, which [board] names for `{key}`");
    grid.whole("no-column", message).help(format!("its columns: {}", there.join(", ")))
}

/// The designators of a cell: `R1,R2`, `R1 R2`, `R1-R4`.
fn references(cell: &str) -> Vec<String> {
    let mut out = Vec::new();
    for word in cell.split([',', ';', ' ', '/', '\t', '\n', '\r', '|', '\u{a0}']).filter(|word| !word.is_empty()) {
        let split = word.split_once("..").or_else(|| word.split_once(['-', '–', '~']));
        out.extend(split.and_then(|(first, last)| between(first, last.trim_start_matches('.'))).unwrap_or_default());
        out.push(word.to_owned());
    }
    out
}

/// `R1` to `R4`: the same letters and rising numbers, no more than a bill can hold.
fn between(first: &str, last: &str) -> Option<Vec<String>> {
    let letters = first.trim_end_matches(|c: char| c.is_ascii_digit());
    let from: u32 = first[letters.len()..].parse().ok()?;
    let to: u32 = last.strip_prefix(letters).unwrap_or(last).parse().ok()?;
    (!letters.is_empty() && from < to && to - from < 10_000)
        .then(|| (from..=to).map(|number| format!("{letters}{number}")).collect())
}
