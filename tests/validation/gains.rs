//! tests/data/gain_tables.toml: gains of printed resistors by the network, and the choice of resistors.
use crate::asked::answer;
use crate::direct::chip_alone;
use crate::row::{HALF_A_DIGIT, Kind, Row, read};
use evenkeel::part::Chip;
use evenkeel::predict;
use evenkeel::topology;
use serde::Deserialize;

#[derive(Deserialize)]
struct Published {
    table: Vec<Table>,
    case: Vec<Case>,
}

#[derive(Deserialize)]
struct Table {
    entry: String,
    source: String,
    status: String,
    base: f64,
    constant: f64,
    series: String,
    rule: String,
    rows: Vec<TableRow>,
}

#[derive(Deserialize)]
struct TableRow {
    wanted: f64,
    rg: Option<f64>,
    printed: Option<String>,
    ought: Option<String>,
    recomputed: Option<String>,
    picked: Option<f64>,
}

#[derive(Deserialize)]
struct Case {
    entry: String,
    source: String,
    status: String,
    feedback: Option<f64>,
    constant: Option<f64>,
    wanted: f64,
    exact: String,
    taken: Option<f64>,
    gain: Option<String>,
}

/// Gain of a chip with this resistor, by the network.
fn gain(base: f64, constant: f64, rg: Option<f64>) -> f64 {
    let chip = Chip { gain_constant_ohm: constant, base_gain: base, ..Chip::default() };
    predict::gains::<f64>(&topology::build(&chip_alone(chip, rg)).unwrap(), 0.0).unwrap().differential
}

fn table_rows(table: &Table) -> Vec<Row> {
    let mut rows = Vec::new();
    let row =
        |figure: &str, kind, printed: String, ought: Option<String>, numbers: (f64, f64, f64), reason: &str| Row {
            entry: table.entry.clone(),
            figure: figure.to_owned(),
            source: table.source.clone(),
            kind,
            printed,
            ought,
            want: numbers.0,
            got: numbers.1,
            allowed: numbers.2,
            reason: reason.to_owned(),
        };
    let kind = Kind::of_status(&table.status);
    for one in &table.rows {
        let of = one.rg.map_or("RG open".to_owned(), |ohm| format!("RG {ohm} Ω"));
        if let Some(printed) = one.printed.as_ref().or(one.recomputed.as_ref()) {
            let kind = if one.printed.is_some() { kind } else { Kind::Recomputed };
            let (want, allowed) = read(one.ought.as_ref().unwrap_or(printed));
            let got = gain(table.base, table.constant, one.rg);
            let printed = format!("{printed} with {of}");
            rows.push(row("gain", kind, printed, one.ought.clone(), (want, got, allowed), HALF_A_DIGIT));
        }
        if let Some(ohm) = one.picked.or(one.rg) {
            let line = format!(
                "size {} --topology single-chip --chip-constant {} --base-gain {} --series {} --side {}",
                one.wanted, table.constant, table.base, table.series, table.rule
            );
            let args: Vec<String> = line.split(' ').map(str::to_owned).collect();
            let best = answer(&args, "");
            let got = best["choices"][0]["ohm"].as_f64().unwrap_or_else(|| panic!("{line}: {best}"));
            let printed = format!("{of} for a gain of {}, {}", one.wanted, table.rule);
            let ought = one.picked.map(|picked| format!("{picked} Ω by the rule of the table"));
            let kind = if table.entry.contains("instead") { Kind::Recomputed } else { kind };
            rows.push(row("sizing", kind, printed, ought, (ohm, got, ohm * 1e-12), "a value of the series or none"));
        }
    }
    rows
}

fn case_rows(case: &Case) -> Vec<Row> {
    let mut args = vec!["size".to_owned(), case.wanted.to_string()];
    let mut flag = |name: &str, value: String| args.extend([name.to_owned(), value]);
    match case.constant {
        Some(constant) => {
            flag("--topology", "single-chip".to_owned());
            flag("--chip-constant", constant.to_string());
        }
        None => flag("--feedback", case.feedback.unwrap().to_string()),
    }
    let got = answer(&args, "")["exact_ohm"].as_f64().expect("an exact value");
    let row = |printed: String, (want, allowed): (f64, f64), figure: &str, got| Row {
        entry: case.entry.clone(),
        figure: figure.to_owned(),
        source: case.source.clone(),
        kind: Kind::of_status(&case.status),
        printed,
        ought: None,
        want,
        got,
        allowed,
        reason: HALF_A_DIGIT.to_owned(),
    };
    let mut rows = vec![row(format!("{} Ω for {}", case.exact, case.wanted), read(&case.exact), "sizing", got)];
    if let (Some(constant), Some(taken), Some(printed)) = (case.constant, case.taken, &case.gain) {
        rows.push(row(format!("{printed} with {taken} Ω"), read(printed), "gain", gain(1.0, constant, Some(taken))));
    }
    rows
}

pub(crate) fn rows() -> Vec<Row> {
    let published: Published = toml::from_str(include_str!("../data/gain_tables.toml")).unwrap();
    let tables = published.table.iter().flat_map(table_rows);
    tables.chain(published.case.iter().flat_map(case_rows)).collect()
}
