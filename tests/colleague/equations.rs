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
        | Expr::Logarithm(one)
        | Expr::PowerOfTwo(one) => {
            gather(one, into);
        }
        Expr::Quotient(a, b) | Expr::Parallel(a, b) => {
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
            found.extend(equations.map(|equation| (format!("{name}, {}", one.topic), equation)));
        }
    }
    assert!(found.len() > 400, "{}", found.len());
    found
}

#[test]
fn printed_values_give_the_printed_result() {
    for (place, equation) in all() {
        let by_reader = read(&equation.with_values(), &BTreeMap::new());
        if equation.unit == Unit::Decibel {
            let printed: f64 = equation.result().trim_end_matches(" dB").parse().unwrap();
            assert!((by_reader - printed).abs() <= 5.001e-4, "{place}: {} = {}", equation.with_values(), printed);
            continue;
        }
        let printed = read(&equation.result(), &BTreeMap::new());
        // five digits are printed: half of the last is at most 5e-5 of the value
        assert!(
            (by_reader - printed).abs() <= 5.001e-5 * printed.abs(),
            "{place}: {} = {} is read as {by_reader}",
            equation.with_values(),
            equation.result()
        );
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
