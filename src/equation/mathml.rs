//! Expressions as MathML, which browsers set without script.
use super::expr::{Expr, Symbol};

/// What stands in the place of a symbol.
pub(super) type Show<'a> = &'a dyn Fn(&Symbol) -> String;

pub(super) fn name(name: &str) -> String {
    match name.split_once('_') {
        Some((head, index)) => {
            format!("<msub><mi>{}</mi><mi mathvariant=\"normal\">{}</mi></msub>", safe(head), safe(index))
        }
        None => format!("<mi mathvariant=\"normal\">{}</mi>", safe(name)),
    }
}

pub(super) fn value(text: &str) -> String {
    format!("<mn>{}</mn>", safe(text).replace(' ', "&#160;"))
}

pub(super) fn set(expr: &Expr, show: Show<'_>) -> String {
    let row = |inner: &Expr| format!("<mrow>{}</mrow>", set(inner, show));
    match expr {
        Expr::Symbol(symbol) => show(symbol),
        Expr::Number(number) => format!("<mn>{number}</mn>"),
        Expr::Pi => "<mi>π</mi>".to_owned(),
        Expr::Sum(terms) => {
            let mut out = String::new();
            for (at, term) in terms.iter().enumerate() {
                match term {
                    Expr::Negative(inner) => out += &format!("<mo>−</mo>{}", fenced(inner, true, show)),
                    _ if at == 0 => out += &fenced(term, false, show),
                    _ => out += &format!("<mo>+</mo>{}", fenced(term, false, show)),
                }
            }
            out
        }
        Expr::Negative(inner) => format!("<mo>−</mo>{}", fenced(inner, true, show)),
        Expr::Product(factors) => {
            factors.iter().map(|factor| fenced(factor, true, show)).collect::<Vec<_>>().join("<mo>·</mo>")
        }
        Expr::Quotient(above, below) => format!("<mfrac>{}{}</mfrac>", row(above), row(below)),
        Expr::Square(inner) => match inner.as_ref() {
            Expr::Symbol(symbol) if !show(symbol).starts_with("<mn>") => {
                format!("<msup>{}<mn>2</mn></msup>", row(inner))
            }
            inner => format!("<msup><mrow><mo>(</mo>{}<mo>)</mo></mrow><mn>2</mn></msup>", row(inner)),
        },
        Expr::Parallel(a, b) => format!("{}<mo>∥</mo>{}", fenced(a, true, show), fenced(b, true, show)),
        Expr::Magnitude(inner) => format!("<mo>|</mo>{}<mo>|</mo>", row(inner)),
        Expr::Root(inner) => format!("<msqrt>{}</msqrt>", row(inner)),
        Expr::Decibels(inner) => {
            format!("<mn>20</mn><mo>·</mo><msub><mi>log</mi><mn>10</mn></msub><mo>(</mo>{}<mo>)</mo>", row(inner))
        }
        Expr::Logarithm(inner) => format!("<mi>ln</mi><mo>(</mo>{}<mo>)</mo>", row(inner)),
        Expr::Power(base, exponent) => match base.as_ref() {
            Expr::Number(_) => format!("<msup>{}{}</msup>", row(base), row(exponent)),
            base => format!("<msup><mrow><mo>(</mo>{}<mo>)</mo></mrow>{}</msup>", row(base), row(exponent)),
        },
    }
}

/// In parentheses where it would fall apart: sums only if `sums` says so.
fn fenced(expr: &Expr, sums: bool, show: Show<'_>) -> String {
    let words = set(expr, show);
    let loose = match expr {
        Expr::Sum(_) | Expr::Negative(_) => sums,
        Expr::Parallel(..) => true,
        Expr::Symbol(symbol) => sums && symbol.value < 0.0 && words.starts_with("<mn>"),
        _ => false,
    };
    if loose { format!("<mo>(</mo><mrow>{words}</mrow><mo>)</mo>") } else { words }
}

fn safe(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Unit;

    #[test]
    fn a_square_holds_all_of_what_is_squared() {
        let e = |name: &'static str| Expr::symbol(name, 15e-9, Unit::VoltPerRootHertz);
        let names = |expr: &Expr| set(expr, &|symbol| name(&symbol.name));
        let values = |expr: &Expr| set(expr, &|_| value("15 nV"));
        assert!(names(&e("e_1").squared()).starts_with("<msup><mrow><msub>"));
        for told in [
            values(&e("e_1").squared()),
            names(&(e("e_1") * e("e_2")).squared()),
            names(&(e("e_1") / e("e_2")).squared()),
        ] {
            assert!(
                told.starts_with("<msup><mrow><mo>(</mo>") && told.ends_with("<mo>)</mo></mrow><mn>2</mn></msup>"),
                "{told}"
            );
        }
    }
}
