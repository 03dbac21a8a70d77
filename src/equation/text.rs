//! Expressions on one line of plain text.
use super::expr::{Expr, Symbol};

/// How a symbol is shown.
pub(super) type Show<'a> = &'a dyn Fn(&Symbol) -> String;

/// How tightly an expression holds together.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Bond {
    Parallel,
    Sum,
    Product,
    Whole,
}

/// How the signs of an expression are set: between names, or between numbers that have units.
#[derive(Clone, Copy)]
pub(super) struct Signs {
    pub(super) times: &'static str,
    pub(super) over: &'static str,
}

/// `RF1/RG`
pub(super) const NAMES: Signs = Signs { times: "·", over: "/" };
/// `24.9 kΩ / 499 Ω`
pub(super) const VALUES: Signs = Signs { times: " · ", over: " / " };

/// The expression as text, in pieces between which a line may be broken: its outermost terms, each
/// with the sign in front of it.
pub(super) fn pieces(expr: &Expr, signs: Signs, show: Show<'_>) -> Vec<String> {
    match expr {
        Expr::Sum(terms) => terms.iter().enumerate().map(|(at, term)| signed(term, at == 0, signs, show)).collect(),
        _ => vec![text(expr, signs, show)],
    }
}

pub(super) fn text(expr: &Expr, signs: Signs, show: Show<'_>) -> String {
    match expr {
        Expr::Symbol(symbol) => show(symbol),
        Expr::Number(number) => number.to_string(),
        Expr::Pi => "π".to_owned(),
        Expr::Sum(_) => pieces(expr, signs, show).join(" "),
        Expr::Negative(inner) => format!("-{}", within(inner, Bond::Product, signs, show)),
        Expr::Product(factors) => product(factors, signs, show),
        Expr::Quotient(above, below) => {
            let above = match above.as_ref() {
                Expr::Product(factors) => product(factors, signs, show),
                above => within(above, Bond::Product, signs, show),
            };
            format!("{above}{}{}", signs.over, within(below, Bond::Whole, signs, show))
        }
        Expr::Square(inner) => match inner.as_ref() {
            Expr::Symbol(symbol) if !show(symbol).contains([' ', '-']) => format!("{}²", show(symbol)),
            inner => format!("({})²", text(inner, signs, show)),
        },
        Expr::Parallel(a, b) => {
            format!("{} ∥ {}", within(a, Bond::Whole, signs, show), within(b, Bond::Whole, signs, show))
        }
        Expr::Magnitude(inner) => format!("|{}|", text(inner, signs, show)),
        Expr::Root(inner) => format!("√({})", text(inner, signs, show)),
        Expr::Decibels(inner) => format!("20{}log10({})", signs.times, text(inner, signs, show)),
        Expr::Logarithm(inner) => format!("ln({})", text(inner, signs, show)),
        Expr::Power(base, exponent) => {
            format!("{}^({})", within(base, Bond::Whole, signs, show), text(exponent, signs, show))
        }
    }
}

/// A term of a sum with its sign; the first one has none unless it is negative.
fn signed(term: &Expr, first: bool, signs: Signs, show: Show<'_>) -> String {
    match (term, first) {
        (Expr::Negative(inner), true) => format!("-{}", within(inner, Bond::Product, signs, show)),
        (Expr::Negative(inner), false) => format!("- {}", within(inner, Bond::Product, signs, show)),
        (_, true) => within(term, Bond::Sum, signs, show),
        (_, false) => format!("+ {}", within(term, Bond::Product, signs, show)),
    }
}

/// Factors in a row; a quotient only stands bare at the end, where no factor seems to be below it.
fn product(factors: &[Expr], signs: Signs, show: Show<'_>) -> String {
    let last = factors.len().saturating_sub(1);
    let factor = |(at, factor): (usize, &Expr)| match factor {
        Expr::Quotient(..) if at != last => format!("({})", text(factor, signs, show)),
        _ => within(factor, Bond::Product, signs, show),
    };
    factors.iter().enumerate().map(factor).collect::<Vec<_>>().join(signs.times)
}

fn within(expr: &Expr, least: Bond, signs: Signs, show: Show<'_>) -> String {
    let words = text(expr, signs, show);
    let bond = match expr {
        Expr::Sum(_) | Expr::Negative(_) => Bond::Sum,
        Expr::Parallel(..) => Bond::Parallel,
        Expr::Product(_) | Expr::Quotient(..) | Expr::Decibels(_) => Bond::Product,
        // a value below zero carries its sign
        Expr::Symbol(_) | Expr::Number(_) if words.starts_with('-') => Bond::Sum,
        _ => Bond::Whole,
    };
    if bond < least { format!("({words})") } else { words }
}
