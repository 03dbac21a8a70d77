use super::grid::{Cell, Grid};
use super::heading::{self, Heading};
use crate::quantity::{Unit, parse};
use crate::spec::{Fault, Faults};
use crate::study::{Inputs, Reading, ReadingErrors};

/// Columns of readings, by the letters of their headings.
const COLUMNS: [&str; 5] = ["positive", "negative", "differential", "commonmode", "output"];

/// What a known heading holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Value,
    Own,
    Shared,
}

struct Column {
    at: usize,
    name: &'static str,
    kind: Kind,
    unit: Option<String>,
}

/// Reads bench readings: a heading with `positive` and `negative`, or `differential` and `common_mode`;
/// `output`; `u_<name>` for a standard uncertainty of each reading, `u_<name>_common` for one that all
/// readings share. A unit stands in the heading's brackets or in the cell, else the numbers are volts.
///
/// # Errors
/// [`Faults`]: missing columns, cells that are no voltage, each with its place.
///
/// ```
/// use evenkeel::sheet::readings;
/// let text = "differential [mV],common_mode,output\n-10,2.5 V,1.5\n10,2.5,3.5\n";
/// assert_eq!(readings("bench.csv", text)?.len(), 2);
/// assert!(readings("bench.csv", "differential,output\n1 spoon,2\n").is_err());
/// # Ok::<(), evenkeel::spec::Faults>(())
/// ```
pub fn readings(name: &str, text: &str) -> Result<Vec<Reading>, Faults> {
    let grid = Grid::cut(name, text)?;
    let is_heading = |heads: &[Heading]| heads.iter().any(|head| head.is(&COLUMNS));
    let Some((at, heads)) = heading::find(&grid, is_heading) else {
        let message = "the readings have no heading with `output` and the inputs".to_owned();
        return Err(Faults(vec![grid.whole("no-heading", message).help(RIGHT)]));
    };
    let columns = columns(&grid, &heads)?;
    let has = |name: &str| columns.iter().any(|column| column.name == name && column.kind == Kind::Value);
    let (wires, modes) = (has("positive") && has("negative"), has("differential"));
    if !has("output") || (!wires && !modes) {
        let message = "columns are missing: `output`, and `differential` or `positive` and `negative`".to_owned();
        return Err(Faults(vec![grid.fault(&heads[0].span, "no-column", message).help(RIGHT)]));
    }
    let (mut all, mut faults) = (Vec::new(), Vec::new());
    for row in grid.rows.iter().skip(at + 1) {
        let line = Line { grid: &grid, columns: &columns, row };
        match line.reading(wires) {
            Ok(reading) => all.push(reading),
            Err(told) => faults.extend(told),
        }
    }
    if all.is_empty() && faults.is_empty() {
        faults.push(
            grid.whole("no-readings", "there are no readings under the heading".to_owned())
                .help("give each reading a line, as many cells as the heading"),
        );
    }
    if faults.is_empty() { Ok(all) } else { Err(Faults::told(faults)) }
}

const RIGHT: &str = "write `differential,common_mode,output`, or `positive,negative,output`; \
                     `u_output` may hold its standard uncertainty";

fn columns(grid: &Grid, heads: &[Heading]) -> Result<Vec<Column>, Faults> {
    let (mut all, mut faults): (Vec<Column>, Vec<Fault>) = (Vec::new(), Vec::new());
    for (at, head) in heads.iter().enumerate() {
        let is_u = head.words.trim_start().to_lowercase().starts_with("u_") || head.words.starts_with("u(");
        let plain = head.plain.as_str();
        let (inner, kind) = match plain.strip_prefix('u').filter(|_| is_u) {
            Some(inner) => match inner.strip_suffix("common") {
                Some(inner) if !inner.is_empty() => (inner, Kind::Shared),
                _ => (inner, Kind::Own),
            },
            None => (plain, Kind::Value),
        };
        let known = COLUMNS.into_iter().find(|name| *name == inner);
        match known {
            Some(name) if all.iter().any(|one| one.name == name && one.kind == kind) => faults.push(
                grid.fault(&head.span, "listed-twice", format!("the column `{}` is there twice", head.words))
                    .help("keep one of them"),
            ),
            Some(name) => all.push(Column { at, name, kind, unit: head.unit.clone() }),
            None if is_u => faults.push(
                grid.fault(&head.span, "no-column", format!("`{}` is the uncertainty of no known column", head.words))
                    .help("`u_output`, `u_positive`, `u_negative`, `u_differential` or `u_common_mode`"),
            ),
            None => {}
        }
    }
    if faults.is_empty() { Ok(all) } else { Err(Faults::told(faults)) }
}

struct Line<'g> {
    grid: &'g Grid,
    columns: &'g [Column],
    row: &'g [Cell],
}

impl Line<'_> {
    fn reading(&self, wires: bool) -> Result<Reading, Vec<Fault>> {
        let mut faults = Vec::new();
        let mut take = |name: &str, kind: Kind| {
            self.volt(name, kind).unwrap_or_else(|fault| {
                faults.push(*fault);
                None
            })
        };
        let (first, second) = if wires { ("positive", "negative") } else { ("differential", "commonmode") };
        let [one, other] = [first, second].map(|name| take(name, Kind::Value));
        let output = take("output", Kind::Value);
        let mut errors = |kind: Kind| {
            let [first_v, second_v, output_v] = [first, second, "output"].map(|name| take(name, kind).unwrap_or(0.0));
            ReadingErrors { first_v, second_v, output_v }
        };
        let (own, shared) = (errors(Kind::Own), errors(Kind::Shared));
        for (name, errors) in [("own", own), ("shared", shared)] {
            if [errors.first_v, errors.second_v, errors.output_v].iter().any(|u| *u < 0.0) {
                let message = format!("an uncertainty ({name}) is below zero");
                faults.push(self.fault("out-of-range", message).help("write 0 or more"));
            }
        }
        let inputs = match (wires, one, other) {
            (true, Some(positive_v), Some(negative_v)) => Some(Inputs::Wires { positive_v, negative_v }),
            (false, Some(differential_v), common_mode_v) => Some(Inputs::Modes { differential_v, common_mode_v }),
            _ => None,
        };
        match (inputs, output) {
            (Some(inputs), Some(output_v)) if faults.is_empty() => Ok(Reading { inputs, output_v, own, shared }),
            _ if faults.is_empty() => {
                let message = "a reading is not complete: a cell is empty".to_owned();
                Err(vec![self.fault("empty-cell", message).help("fill it in, or take the line out")])
            }
            _ => Err(faults),
        }
    }

    fn fault(&self, code: &'static str, message: String) -> Fault {
        let span = self.row.first().map_or(0..0, |cell| cell.span.clone());
        let end = self.row.last().map_or(span.end, |cell| cell.span.end);
        self.grid.fault(&(span.start..end), code, message)
    }

    /// A cell as volts; nothing where the column or the cell is not there.
    fn volt(&self, name: &str, kind: Kind) -> Result<Option<f64>, Box<Fault>> {
        let column = self.columns.iter().find(|column| column.name == name && column.kind == kind);
        let Some(cell) = column.and_then(|column| self.row.get(column.at)).filter(|cell| !cell.text.is_empty()) else {
            return Ok(None);
        };
        let unit = column.and_then(|column| column.unit.as_deref()).unwrap_or("V");
        let bare = cell.text.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | 'e' | 'E' | '−'));
        let text = if bare { format!("{} {unit}", cell.text) } else { cell.text.clone() };
        parse(&text, Unit::Volt).map(Some).map_err(|fault| {
            Box::new(self.grid.fault(&cell.span, "bad-quantity", fault.to_string()).help(fault.help()))
        })
    }
}
