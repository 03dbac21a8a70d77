//! One symbol, one meaning: in the whole working of a spec no symbol stands for two things, and every one is
//! worked out or told where it is from.
use crate::desk::lessons;
use evenkeel::equation::Equation;
use evenkeel::quantity::Unit;
use evenkeel::study::explain::{Lesson, Origin};
use std::collections::BTreeMap;

fn equations(lesson: &Lesson) -> impl Iterator<Item = (&Equation, Option<u16>)> {
    let steps = lesson.explanations.iter().flat_map(|one| &one.steps);
    let steps = steps.filter_map(|step| Some((step.equation.as_ref()?, step.law.map(|law| law.number))));
    let measured = lesson.explanations.iter().filter_map(|one| one.measured.as_ref());
    let sizes = measured.flat_map(|measured| &measured.causes);
    steps.chain(sizes.filter_map(|size| Some((size.by_hand.as_ref()?, size.law.map(|law| law.number)))))
}

#[test]
fn no_symbol_has_two_values_or_two_definitions() {
    for (place, lesson) in lessons() {
        let mut values: BTreeMap<&str, (f64, Unit)> = BTreeMap::new();
        let mut laws: BTreeMap<&str, (String, Option<u16>)> = BTreeMap::new();
        for (equation, law) in equations(lesson) {
            let symbols = equation.law.symbols().into_iter().map(|one| (one.name.as_ref(), one.value, one.unit));
            for (name, value, unit) in symbols.chain([(equation.name.as_ref(), equation.value(), equation.unit)]) {
                let (before, measured_in) = *values.entry(name).or_insert((value, unit));
                let same = (before - value).abs() <= 1e-12 * before.abs().max(value.abs());
                assert!(
                    same && measured_in == unit,
                    "{place}: {name} is {before} ({measured_in:?}) and {value} ({unit:?})"
                );
            }
            let (told, number) = laws.entry(&equation.name).or_insert_with(|| (equation.symbols(), law));
            assert_eq!(*told, equation.symbols(), "{place}: {} is defined twice", equation.name);
            assert_eq!(*number, law, "{place}: {} cites two laws", equation.name);
        }
        assert!(values.len() > 20, "{place}");
    }
}

#[test]
fn what_is_not_worked_out_is_told_where_it_is_from() {
    for (place, lesson) in lessons() {
        for one in &lesson.explanations {
            for given in &one.given {
                assert!(!given.meaning.is_empty(), "{place}, {}: nobody says what {} is", one.topic, given.symbol);
                if let Origin::Working(topic) = given.from {
                    let other = lesson.explanations.iter().find(|other| other.topic == topic);
                    let found = other.into_iter().flat_map(|other| &other.steps).filter_map(|s| s.equation.as_ref());
                    let value = found.into_iter().find(|e| e.name == given.symbol).map(Equation::value);
                    assert_eq!(value, Some(given.value), "{place}, {}: {} of {topic}", one.topic, given.symbol);
                }
            }
        }
    }
}

/// The page's table of symbols: each entry, or its head where it stands for many.
fn on_page() -> Vec<String> {
    let page = include_str!("../../docs/theory.md");
    let table = page.split("## Symbols").nth(1).unwrap().split("\n## ").next().unwrap();
    let rows = table.lines().filter_map(|line| line.strip_prefix("| ")?.split(" | ").next());
    rows.flat_map(|cell| cell.split(", ").map(str::to_owned).collect::<Vec<_>>()).collect()
}

#[test]
fn every_symbol_stands_in_the_table_of_the_page() {
    let table = on_page();
    let is_there = |name: &str| {
        table.iter().any(|entry| match entry.strip_suffix('#') {
            Some(head) => name.starts_with(head),
            None => entry == name,
        })
    };
    for (place, lesson) in lessons() {
        for (equation, _) in equations(lesson) {
            for name in equation.law.symbols().into_iter().map(|one| &one.name).chain([&equation.name]) {
                assert!(is_there(name), "{place}: {name} is not in docs/theory.md");
            }
        }
    }
}
