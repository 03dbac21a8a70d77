//! Every printed equation with its printed values gives its printed result.
use crate::desk::lessons;
use crate::reader::read;
use evenkeel::equation::{Equation, Expr};
use evenkeel::quantity::Unit;
use std::collections::BTreeMap;

fn gather(expr: &Expr, into: &mut BTreeMap<String, f64>) {
    match expr {
        Expr::Symbol(symbol) => {
            let before = into.insert(symbol.name.clone().into_owned(), symbol.value);
            assert!(before.is_none_or(|value| value == symbol.value), "{} has two values", symbol.name);
        }
        Expr::Number(_) | Expr::Pi => {}
        Expr::Sum(all) | Expr::Product(all) => all.iter().for_each(|one| gather(one, into)),
        Expr::Negative(one)
        | Expr::Square(one)
        | Expr::Magnitude(one)
        | Expr::Root(one)
        | Expr::Decibels(one)
        | Expr::Logarithm(one) => {
            gather(one, into);
        }
        Expr::Quotient(a, b) | Expr::Parallel(a, b) | Expr::Power(a, b) => {
            gather(a, into);
            gather(b, into);
        }
    }
}

fn all() -> Vec<(String, Equation)> {
    let mut found = Vec::new();
    for (name, told) in lessons() {
        assert!(told.explanations.len() >= 4, "{name}");
        for one in &told.explanations {
            let equations = one.steps.iter().filter_map(|step| step.equation.clone());
            let sizes = one.measured.iter().flat_map(|measured| &measured.causes);
            let equations = equations.chain(sizes.filter_map(|size| size.by_hand.clone()));
            found.extend(equations.map(|equation| (format!("{name}, {}", one.topic), equation)));
        }
    }
    assert!(found.len() > 400, "{}", found.len());
    found
}

/// Half a unit of the last digit that is printed; what ends early had zeros there, up to the usual five digits.
fn half_a_unit(printed: &str) -> f64 {
    let number: String = printed.chars().take_while(|c| c.is_ascii_digit() || matches!(c, '-' | '.' | 'e')).collect();
    let value: f64 = number.parse().unwrap();
    let unit = read(printed, &BTreeMap::new()) / value;
    let (mantissa, exponent) = number.split_once('e').unwrap_or((&number, "0"));
    let decimals = mantissa.split_once('.').map_or(0, |(_, behind)| behind.len());
    let order = libm::floor(libm::log10(value.abs())) as i32 - exponent.parse::<i32>().unwrap();
    let last = (decimals as i32).max(4 - order) - exponent.parse::<i32>().unwrap();
    0.5 * libm::pow(10.0, -f64::from(last)) * unit.abs()
}

#[test]
fn printed_values_give_the_last_printed_digit() {
    for (place, equation) in all() {
        let by_reader = read(&equation.with_values(), &BTreeMap::new());
        let result = equation.result();
        let (printed, half) = match result.strip_suffix(" dB") {
            Some(db) => (db.parse().unwrap(), 0.5e-3),
            None => {
                (read(&result, &BTreeMap::new()), if result.starts_with("0 ") { 0.0 } else { half_a_unit(&result) })
            }
        };
        let by_reader = if equation.unit == Unit::Rejection { 20.0 * libm::log10(by_reader) } else { by_reader };
        assert!(
            (by_reader - printed).abs() <= half * 1.000_01,
            "{place}: {} = {result} is read as {by_reader}",
            equation.with_values(),
        );
    }
}

/// A quantity has the same digits wherever it stands: a value is never met twice in two roundings.
#[test]
fn a_quantity_is_printed_alike_wherever_it_stands() {
    for (name, lesson) in lessons() {
        let mut seen: BTreeMap<String, String> = BTreeMap::new();
        for equation in lesson.explanations.iter().flat_map(|one| &one.steps).filter_map(|step| step.equation.as_ref())
        {
            for symbol in equation.law.symbols() {
                let mut alone = equation.clone();
                alone.law = Expr::Symbol(symbol.clone());
                let told = alone.with_values();
                let before = seen.entry(symbol.name.clone().into_owned()).or_insert_with(|| told.clone());
                assert_eq!(*before, told, "{name}: {} in {}", symbol.name, equation.name);
            }
            let result = equation.result();
            let before = seen.entry(equation.name.clone().into_owned()).or_insert_with(|| result.clone());
            assert_eq!(*before, result, "{name}: {} where it is worked out", equation.name);
        }
    }
}

#[test]
fn printed_symbols_give_the_same_value() {
    for (place, equation) in all() {
        let mut names = BTreeMap::new();
        gather(&equation.law, &mut names);
        let by_reader = read(&equation.symbols(), &names);
        let value = equation.value();
        assert!(
            (by_reader - value).abs() <= 1e-9 * value.abs(),
            "{place}: {} is {value}, read as {by_reader}",
            equation.symbols()
        );
    }
}

#[test]
fn mathml_is_well_formed() {
    for (place, equation) in all() {
        let text = equation.to_mathml();
        let mut open: Vec<&str> = Vec::new();
        let mut rest = text.as_str();
        while let Some(at) = rest.find('<') {
            let end = rest.find('>').unwrap();
            let tag = &rest[at + 1..end];
            let name = tag.trim_start_matches('/').split(' ').next().unwrap();
            if tag.starts_with('/') {
                assert_eq!(open.pop(), Some(name), "{place}: {text}");
            } else {
                open.push(name);
            }
            rest = &rest[end + 1..];
        }
        assert!(open.is_empty(), "{place}: {text}");
        assert!(text.starts_with("<math") && !text.contains("script"), "{text}");
    }
}
