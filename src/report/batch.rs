//! Rows of a batch: as CSV, as a line of JSON, and as lines for people.
use super::page::steers;
use super::{Document, Record, Value, Verdict};
use crate::designator::Designator;
use crate::quantity::{Unit, rounded};
use crate::study::{BatchRow, LIMITS, LimitLine, Row};

/// The heading of the CSV; `varied` are the keys that were varied.
#[must_use]
pub fn batch_csv_heading(varied: &[String]) -> String {
    let mut cells: Vec<String> = ["file", "channel", "title", "topology"].map(str::to_owned).to_vec();
    cells.extend(varied.iter().filter(|key| *key != TITLE).map(|key| quoted(key)));
    cells.extend(Designator::ALL.map(|name| format!("{name}_ohm")));
    cells.extend(["gain_nominal", "gain_error_low", "gain_error_high", "rejection_worst_db"].map(str::to_owned));
    cells.extend(LIMITS.map(|limit| format!("{limit}_predicted")));
    cells.extend(["met", "message"].map(str::to_owned));
    cells.join(",") + "\n"
}

/// A row as CSV: every column, empty where it does not apply, `inf` where a value is unbounded or a
/// resistor open. No text can start a formula.
#[must_use]
pub fn batch_csv(row: &BatchRow) -> String {
    let answer = row.answer.as_ref();
    let topology = answer.map_or("", |answer| answer.topology.name());
    let channel = row.channel.as_deref().unwrap_or_default();
    let mut cells = vec![quoted(&row.file), quoted(channel), quoted(&row.title), topology.to_owned()];
    cells.extend(columns(row).map(|(_, value)| quoted(value)));
    match answer {
        Err(why) => {
            cells.extend(std::iter::repeat_n(String::new(), Designator::ALL.len() + 4 + LIMITS.len()));
            cells.push(if why.no_value { "false".to_owned() } else { String::new() });
            cells.push(quoted(&why.message));
        }
        Ok(answer) => {
            let ohm = |name: Designator| answer.resistors.iter().find(|(one, _)| *one == name).map(|(_, ohm)| *ohm);
            cells.extend(Designator::ALL.map(|name| number(ohm(name))));
            let figures = [answer.gain_nominal, answer.gain_error_low, answer.gain_error_high];
            cells.extend(figures.map(|figure| number(Some(Some(figure)))));
            cells.push(number(Some(answer.rejection_worst_db)));
            cells.extend(LIMITS.map(|limit| number(predicted(answer, limit))));
            cells.extend([answer.met.to_string(), quoted(&message(answer))]);
        }
    }
    cells.join(",") + "\n"
}

/// Every row has a column of this name: where it is varied, that column says so.
const TITLE: &str = "title";

/// The varied keys that have columns of their own.
fn columns(row: &BatchRow) -> impl Iterator<Item = &(String, String)> {
    row.varied.iter().filter(|(key, _)| key != TITLE)
}

/// A row as one line of JSON.
#[must_use]
pub fn batch_json(row: &BatchRow) -> String {
    let mut body = Record::new();
    body.text("file", "", &row.file);
    body.push("channel", "", Value::Text(row.channel.clone()));
    body.text("title", "", &row.title);
    if let Ok(answer) = &row.answer {
        body.text("topology", "", answer.topology.name());
    }
    for (key, value) in columns(row) {
        body.push(key.clone(), "", Value::Text(Some(value.clone())));
    }
    match &row.answer {
        Err(why) => {
            body.push("met", "", Value::Flag(why.no_value.then_some(false), ["", "", ""]));
            body.text("message", "", &why.message);
        }
        Ok(answer) => {
            for (name, ohm) in &answer.resistors {
                measured(&mut body, format!("{name}_ohm"), *ohm);
            }
            measured(&mut body, "gain_nominal".to_owned(), Some(answer.gain_nominal));
            measured(&mut body, "gain_error_low".to_owned(), Some(answer.gain_error_low));
            measured(&mut body, "gain_error_high".to_owned(), Some(answer.gain_error_high));
            measured(&mut body, "rejection_worst_db".to_owned(), answer.rejection_worst_db);
            for line in answer.limits.iter().filter(|line| line.met.is_some()) {
                measured(&mut body, format!("{}_predicted", line.limit), line.predicted);
            }
            body.flag("met", "", answer.met);
            body.text("message", "", message(answer));
        }
    }
    Document::new("evenkeel.batch.v1", Verdict::plain(""), body).to_json_line()
}

fn measured(body: &mut Record, key: String, si: Option<f64>) {
    let number = super::Number { si, unit: Unit::Plain, digits: 4, none: "" };
    body.push(key, "", Value::Number(number));
}

/// The heading for people.
#[must_use]
pub fn batch_text_heading() -> String {
    format!("{:10}{:>8} {:>9} {:>9} {:>11}  spec\n", "verdict", "gain", "lowest", "highest", "rejection")
}

/// A row for people, at most 80 columns wide: one line, and one more for what is varied and what is wrong.
#[must_use]
pub fn batch_text(row: &BatchRow) -> String {
    let name = match (&row.channel, row.title.is_empty()) {
        (Some(channel), _) => format!("{}: {channel}", row.file),
        _ => row.file.clone(),
    };
    let (head, message) = match &row.answer {
        Err(why) => (if why.no_value { "no value" } else { "no answer" }.to_owned(), why.message.clone()),
        Ok(answer) => {
            let rejection =
                answer.rejection_worst_db.map_or_else(|| "unbounded".to_owned(), |db| rounded(db, Unit::Decibel, 4));
            let error = |error: f64| rounded(error, Unit::Fraction, 3);
            let verdict = if answer.met { "met" } else { "missed" };
            let head = format!(
                "{verdict:10}{:>8} {:>9} {:>9} {rejection:>11}",
                rounded(answer.gain_nominal, Unit::Plain, 6),
                error(answer.gain_error_low),
                error(answer.gain_error_high)
            );
            (head, message(answer))
        }
    };
    let mut out = format!("{}  {}\n", head.trim_end(), tail(&printable(&name), 78 - head.trim_end().chars().count()));
    let varied: Vec<String> = row.varied.iter().map(|(key, value)| format!("{key} = {value}")).collect();
    for words in [varied.join(", "), message].iter().filter(|words| !words.is_empty()) {
        for line in folded(&printable(words), 72) {
            out.push_str("        ");
            out.push_str(&line);
            out.push('\n');
        }
    }
    out
}

/// What was answered, in a line.
#[must_use]
pub fn batch_summary(rows: usize, missed: usize, unanswered: usize) -> String {
    let met = rows - missed - unanswered;
    format!("\n{rows} designs: {met} meet their limits, {missed} do not, {unanswered} not answered\n")
}

/// Why a design does not meet its limits; empty where it does.
fn message(answer: &Row) -> String {
    let said =
        |line: &LimitLine, si: Option<f64>| si.map_or_else(|| "unbounded".to_owned(), |si| rounded(si, line.unit, 4));
    let told = |line: &LimitLine| {
        let name = super::design::limit_words(line.limit);
        match line.met {
            Some(true) => None,
            Some(false) => {
                Some(format!("{name} {}, required {}", said(line, line.predicted), said(line, Some(line.required))))
            }
            None => Some(format!("{name} not predicted")),
        }
    };
    answer.limits.iter().filter_map(told).collect::<Vec<_>>().join("; ")
}

fn predicted(answer: &Row, limit: &str) -> Option<Option<f64>> {
    answer.limits.iter().find(|line| line.limit == limit && line.met.is_some()).map(|line| line.predicted)
}

fn number(value: Option<Option<f64>>) -> String {
    match value {
        None => String::new(),
        Some(None) => "inf".to_owned(),
        Some(Some(value)) => value.to_string(),
    }
}

/// A text cell: quoted where it must be, and never read as a formula.
fn quoted(words: &str) -> String {
    let words: String = words.chars().map(|c| if steers(c) { ' ' } else { c }).collect();
    let harmless = if words.trim_start().starts_with(['=', '+', '-', '@', '＝', '＋', '－', '＠']) {
        format!("'{words}")
    } else {
        words
    };
    if harmless.contains([',', '"', ';', '\'']) || harmless.trim() != harmless {
        format!("\"{}\"", harmless.replace('"', "\"\""))
    } else {
        harmless
    }
}

fn printable(words: &str) -> String {
    words.chars().map(|c| if steers(c) { '\u{fffd}' } else { c }).collect()
}

/// The end of a long name, where paths differ.
fn tail(words: &str, most: usize) -> String {
    let count = words.chars().count();
    if count <= most {
        return words.to_owned();
    }
    "…".to_owned() + &words.chars().skip(count + 1 - most).collect::<String>()
}

/// Words folded at spaces; a longer word is cut.
fn folded(words: &str, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = vec![String::new()];
    for word in words.split(' ') {
        let mut rest: Vec<char> = word.chars().collect();
        loop {
            let line = lines.last().map_or(0, |line| line.chars().count());
            let room = if line == 0 { most } else { most.saturating_sub(line + 1) };
            if rest.len() > room && line > 0 {
                lines.push(String::new());
                continue;
            }
            let taken: String = rest.drain(..rest.len().min(room)).collect();
            if let Some(last) = lines.last_mut() {
                if line > 0 {
                    last.push(' ');
                }
                last.push_str(&taken);
            }
            if rest.is_empty() {
                break;
            }
            lines.push(String::new());
        }
    }
    lines.iter().map(|line| line.trim_end().to_owned()).collect()
}
