use super::{Near, Series, UnknownSeries};
use proptest::prelude::*;
use serde::Deserialize;
use std::collections::BTreeSet;

#[derive(Deserialize)]
struct Published {
    series: Vec<Listed>,
    rounded_law: Law,
    two_digit_law: Law,
    not_contained: NotContained,
}

#[derive(Deserialize)]
struct Listed {
    name: String,
    checksum: Option<u32>,
    values: Vec<String>,
}

#[derive(Deserialize)]
struct Law {
    exceptions: Vec<Exception>,
}

#[derive(Deserialize)]
struct Exception {
    #[serde(default)]
    series: String,
    step: usize,
    law: String,
    standard: String,
}

#[derive(Deserialize)]
struct NotContained {
    missing_from_e96: Vec<String>,
    missing_from_e192: Vec<String>,
}

/// Sources and whether they were seen stand in the file.
fn published() -> Published {
    toml::from_str(include_str!("../../tests/data/e_series.toml")).unwrap()
}

/// `4.7` and `4.70` as 470, digit for digit.
fn hundredths(text: &str) -> u16 {
    let (whole, fraction) = text.split_once('.').unwrap();
    format!("{whole}{fraction:0<2}").parse().unwrap()
}

fn law(step: usize, count: usize, digits: usize) -> u16 {
    let exact = libm::pow(10.0, step as f64 / count as f64);
    hundredths(&format!("{exact:.*}", digits - 1))
}

#[test]
fn the_tables_are_the_published_lists() {
    let published = published();
    assert_eq!(published.series.len(), Series::ALL.len());
    for (listed, series) in published.series.iter().zip(Series::ALL) {
        assert_eq!(listed.name, series.name());
        let values: Vec<u16> = listed.values.iter().map(|text| hundredths(text)).collect();
        assert_eq!(values, series.values(), "{series}");
        let sum: u32 = series.values().iter().map(|value| u32::from(*value)).sum();
        assert_eq!(sum, listed.checksum.unwrap_or(sum), "{series}");
        assert_eq!(series.name(), format!("E{}", series.values().len()));
        assert!(series.values().is_sorted_by(|a, b| a < b));
        assert!(series.values().iter().all(|value| (100..=999).contains(value)));
    }
    assert_eq!(published.series.iter().filter(|listed| listed.checksum.is_some()).count(), 4);
}

#[test]
fn three_digits_follow_the_law_but_for_one() {
    let exceptions = published().rounded_law.exceptions;
    assert_eq!(exceptions.len(), 1);
    for series in [Series::E48, Series::E96, Series::E192] {
        let count = series.values().len();
        for (step, value) in series.values().iter().enumerate() {
            match exceptions.iter().find(|case| case.series == series.name() && case.step == step) {
                Some(case) => {
                    assert_eq!(law(step, count, 3), hundredths(&case.law));
                    assert_eq!(*value, hundredths(&case.standard));
                }
                None => assert_eq!(*value, law(step, count, 3), "{series} step {step}"),
            }
        }
    }
}

#[test]
fn e24_leaves_the_law_at_eight_places() {
    let exceptions = published().two_digit_law.exceptions;
    let found: Vec<(usize, u16, u16)> = Series::E24
        .values()
        .iter()
        .enumerate()
        .map(|(step, value)| (step, law(step, 24, 2), *value))
        .filter(|(_, law, value)| law != value)
        .collect();
    let listed: Vec<(usize, u16, u16)> =
        exceptions.iter().map(|case| (case.step, hundredths(&case.law), hundredths(&case.standard))).collect();
    assert_eq!(found, listed);
    assert_eq!(found.len(), 8);
}

#[test]
fn each_series_is_every_second_of_the_next() {
    for (coarse, fine) in [
        (Series::E3, Series::E6),
        (Series::E6, Series::E12),
        (Series::E12, Series::E24),
        (Series::E48, Series::E96),
        (Series::E96, Series::E192),
    ] {
        let strided: Vec<u16> = fine.values().iter().copied().step_by(2).collect();
        assert_eq!(coarse.values(), strided, "{coarse} in {fine}");
    }
}

#[test]
fn e24_is_not_contained_in_the_finer_ones() {
    let lists = published().not_contained;
    for (series, listed) in [(Series::E96, lists.missing_from_e96), (Series::E192, lists.missing_from_e192)] {
        let missing: Vec<u16> =
            Series::E24.values().iter().copied().filter(|value| !series.values().contains(value)).collect();
        let listed: Vec<u16> = listed.iter().map(|text| hundredths(text)).collect();
        assert_eq!(missing, listed, "{series}");
    }
    let both: BTreeSet<u16> =
        Series::E24.values().iter().copied().filter(|value| Series::E96.values().contains(value)).collect();
    assert_eq!(both, BTreeSet::from([100, 110, 130, 150, 200, 750]));
}

#[test]
fn names_read_and_wrong_ones_list_the_right() {
    for series in Series::ALL {
        assert_eq!(series.name().parse(), Ok(series));
        assert_eq!(series.name().to_lowercase().parse(), Ok(series));
    }
    for text in ["E97", "96", "", "E 96", "E96x"] {
        assert_eq!(text.parse::<Series>(), Err(UnknownSeries { read: text.to_owned() }));
    }
    let message = "E97".parse::<Series>().unwrap_err().to_string();
    assert!(message.contains("`E97`") && message.contains("E3, E6, E12, E24, E48, E96, E192"), "{message}");
}

/// E6 20 %, E12 10 %, E24 5 %, E48 2 %, E96 1 % as printed (seen); E192 0.5 % from memory; E3 above 20 % (seen).
#[test]
fn customary_tolerances() {
    let tolerances = Series::ALL.map(Series::customary_tolerance);
    assert!(tolerances[0] > 0.2);
    assert_eq!(tolerances[1..], [0.2, 0.1, 0.05, 0.02, 0.01, 0.005]);
}

#[test]
fn values_are_the_nearest_doubles_of_their_decimals() {
    for series in Series::ALL {
        for k in -40..40 {
            for (ohm, value) in series.decade(k).zip(series.values()) {
                let text = format!("{value}e{}", k - 2);
                assert_eq!(ohm.to_bits(), text.parse::<f64>().unwrap().to_bits(), "{text}");
            }
        }
    }
    assert_eq!(Series::E96.decade(3).nth(67), Some(4990.0));
    assert_eq!(Series::E96.decade(-2).nth(67), Some(0.0499));
}

#[test]
fn a_closed_interval() {
    assert_eq!(Series::E12.ohms(8_200.0, 12_000.0), [8200.0, 10_000.0, 12_000.0]);
    assert_eq!(Series::E96.ohms(10e3, 100e3).len(), 97);
    assert_eq!(Series::E192.ohms(1.0, 9.99).len(), 192);
    assert_eq!(Series::E3.ohms(0.1, 0.1), [0.1]);
    for (low, high) in [(2.0, 1.0), (0.0, 10.0), (-1.0, 10.0), (f64::NAN, 1.0), (1.0, f64::NAN), (1.3, 1.4)] {
        assert!(Series::E6.ohms(low, high).is_empty(), "{low} .. {high}");
    }
    assert_eq!(Series::E3.ohms(f64::MIN_POSITIVE, f64::INFINITY).len(), 75);
}

#[test]
fn nearest_by_ratio() {
    let near = |below, nearest, above| Some(Near { below, nearest, above });
    // between 4870 and 4990 the ratio decides: the geometric mean is 4929.6
    assert_eq!(Series::E96.near(4929.0), near(4750.0, 4870.0, 4990.0));
    assert_eq!(Series::E96.near(4930.0), near(4870.0, 4990.0, 5110.0));
    assert_eq!(Series::E96.near(4990.0), near(4870.0, 4990.0, 5110.0));
    // over the edge of a decade
    assert_eq!(Series::E96.near(1000.0), near(976.0, 1000.0, 1020.0));
    assert_eq!(Series::E3.near(9000.0), near(4700.0, 10_000.0, 22_000.0));
    assert_eq!(Series::E24.near(0.0999), near(0.091, 0.1, 0.11));
    for ohm in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e-13, 1e13] {
        assert_eq!(Series::E24.near(ohm), None, "{ohm}");
    }
    assert!(Series::E24.near(1e-12).is_some() && Series::E24.near(9e12).is_some());
}

proptest! {
    #[test]
    fn no_value_is_nearer(exponent in -11.0f64..11.9, pick in 0..Series::ALL.len()) {
        let (ohm, series) = (libm::pow(10.0, exponent), Series::ALL[pick]);
        let Near { below, nearest, above } = series.near(ohm).unwrap();
        prop_assert!(below < nearest && nearest < above);
        prop_assert!(below < ohm && ohm < above);
        let far = |value: f64| if value > ohm { value / ohm } else { ohm / value };
        prop_assert!(far(nearest) <= far(below) && far(nearest) <= far(above));
        let between = series.ohms(below, above);
        prop_assert_eq!(between, [below, nearest, above]);
    }

    #[test]
    fn an_interval_holds_what_lies_in_it(low in 1e-3f64..1e6, ratio in 1f64..1e4, pick in 0..Series::ALL.len()) {
        let (high, series) = (low * ratio, Series::ALL[pick]);
        let all: Vec<f64> = (-5..=12).flat_map(|k| series.decade(k)).filter(|ohm| low <= *ohm && *ohm <= high).collect();
        prop_assert_eq!(series.ohms(low, high), all);
    }
}
