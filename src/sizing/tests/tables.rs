use super::{series, sized, wanted};
use crate::designator::Topology;
use crate::series::Series;
use crate::sizing::Side;
use crate::textbook::GainLaw;
use crate::textbook::tests::{agree, prints};
use serde::Deserialize;

/// Sources and whether they were seen stand in the file.
#[derive(Deserialize)]
struct Published {
    table: Vec<Table>,
    case: Vec<Case>,
    pairs: Pairs,
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
    rows: Vec<Row>,
}

#[derive(Deserialize)]
struct Row {
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

#[derive(Deserialize)]
struct Pairs {
    within: f64,
    rows: Vec<PairRow>,
}

#[derive(Deserialize)]
struct PairRow {
    wanted: f64,
    rf: f64,
    rg: f64,
    #[serde(default)]
    flawed: bool,
}

fn published() -> Published {
    toml::from_str(include_str!("../../../tests/data/gain_tables.toml")).unwrap()
}

#[test]
fn every_printed_gain() {
    let mut seen = 0;
    for table in published().table {
        let law = GainLaw::new(table.base, table.constant).unwrap();
        for row in &table.rows {
            let of = format!("{} ({}, {})", table.entry, table.source, table.status);
            let gain = law.gain(row.rg);
            if let Some(ought) = &row.ought {
                prints(gain, ought, &of);
                assert_ne!(row.printed.as_ref(), Some(ought), "{of}: no flaw to expect");
            } else if let Some(printed) = row.printed.as_ref().or(row.recomputed.as_ref()) {
                prints(gain, printed, &of);
            }
            seen += 1;
        }
    }
    assert_eq!(seen, 97);
}

#[test]
fn every_row_is_picked_by_the_rule_of_its_table() {
    for table in published().table {
        let series_named: Series = table.series.parse().unwrap();
        for row in &table.rows {
            let mut question = wanted(Topology::SingleChip, row.wanted, series(series_named));
            question.chip = Some(GainLaw::new(table.base, table.constant).unwrap());
            question.side = match table.rule.as_str() {
                "nearest" => Side::Nearest,
                "at-most" => Side::AtMost,
                other => panic!("{other} is no rule"),
            };
            let best = sized(&question).choices[0];
            assert_eq!(best.pick.ohm(), row.picked.or(row.rg), "{} for {}, {}", table.entry, row.wanted, table.source);
            assert_ne!(row.picked, row.rg.or(Some(0.0)), "no departure to expect");
        }
    }
}

#[test]
fn worked_single_cases() {
    for case in published().case {
        let of = format!("{} ({}, {})", case.entry, case.source, case.status);
        let mut question = wanted(Topology::ThreeOpAmp, case.wanted, series(Series::E96));
        question.feedback_ohm = case.feedback;
        if let Some(constant) = case.constant {
            question.topology = Topology::SingleChip;
            question.chip = Some(GainLaw::new(1.0, constant).unwrap());
        }
        prints(sized(&question).choices[0].exact_ohm.unwrap(), &case.exact, &of);
        if let (Some(law), Some(taken), Some(gain)) = (question.chip, case.taken, case.gain) {
            prints(law.gain(Some(taken)), &gain, &of);
        }
    }
}

/// CV-RG-13: the joint choice is never worse than the printed pair, and the printed pairs are as good as claimed.
#[test]
fn two_resistors_chosen_together() {
    let pairs = published().pairs;
    assert_eq!(pairs.rows.len(), 18);
    for row in pairs.rows {
        let printed = (1.0 + 2.0 * row.rf / row.rg - row.wanted) / row.wanted;
        assert_eq!(printed.abs() > pairs.within, row.flawed, "{} is off by {printed}", row.wanted);
        let best = sized(&wanted(Topology::ThreeOpAmp, row.wanted, series(Series::E96))).choices[0];
        assert!(best.error.abs() <= printed.abs() + 1e-12, "{} by {}", row.wanted, best.error);
        let (rf, rg) = (best.feedback_ohm.unwrap(), best.pick.ohm().unwrap());
        agree(best.gain, 1.0 + 2.0 * rf / rg, 1e-14);
    }
}

/// CV-IA2-03: the two-op-amp circuit of 100 kΩ and R3 = R4 is the gain law 2 + 200k/RG.
#[test]
fn the_two_op_amp_circuit_is_a_gain_law() {
    let mut question = wanted(Topology::TwoOpAmp, 100.0, series(Series::E96));
    question.feedback_ohm = Some(100e3);
    agree(sized(&question).choices[0].exact_ohm.unwrap(), 200e3 / 98.0, 1e-14);
}
