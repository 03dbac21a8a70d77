//! tests/data/e_series.toml: how many of a series' printed values the program has.
use crate::row::{Kind, Row};
use evenkeel::series::Series;
use serde::Deserialize;

#[derive(Deserialize)]
struct Published {
    series: Vec<Listed>,
}

#[derive(Deserialize)]
struct Listed {
    name: String,
    entry: String,
    source: String,
    status: String,
    values: Vec<String>,
}

pub(crate) fn rows() -> Vec<Row> {
    let published: Published = toml::from_str(include_str!("../data/e_series.toml")).unwrap();
    let agreeing = |one: &Listed| {
        let ours: Vec<f64> = one.name.parse::<Series>().unwrap().decade(0).collect();
        let theirs = one.values.iter().map(|value| value.parse::<f64>().unwrap());
        if ours.len() == one.values.len() { ours.iter().zip(theirs).filter(|(a, b)| *a == b).count() } else { 0 }
    };
    published
        .series
        .iter()
        .map(|one| Row {
            entry: one.entry.clone(),
            figure: "preferred values".to_owned(),
            source: one.source.clone(),
            kind: Kind::of_status(&one.status),
            printed: format!("{} values of {}", one.values.len(), one.name),
            ought: None,
            want: one.values.len() as f64,
            got: agreeing(one) as f64,
            allowed: 0.0,
            reason: "every value, digit for digit".to_owned(),
        })
        .collect()
}
