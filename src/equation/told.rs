use super::expr::{Expr, Symbol};
use super::{mathml, text};
use crate::quantity::{Unit, parse, rounded};
use std::borrow::Cow;

/// Digits a result is told with (decibels: two fewer decimals).
const RESULT_DIGITS: usize = 5;
/// Digits a value is told with at least, and at most.
const VALUE_DIGITS: std::ops::RangeInclusive<usize> = 4..=17;

/// A quantity and what it comes from: one tree that gives the line in symbols, the line with values,
/// and the result.
///
/// The values are told with so many digits that whoever works the printed line out by hand gets the
/// printed result.
///
/// ```
/// use evenkeel::equation::{Equation, Expr};
/// use evenkeel::quantity::Unit;
///
/// let ohm = |name, value| Expr::symbol(name, value, Unit::Ohm);
/// let law = 1.0 + (ohm("RF1", 24.9e3) + ohm("RF2", 24.9e3)) / ohm("RG", 499.0);
/// let gain = Equation::new("G1", Unit::Plain, law);
/// assert_eq!(gain.symbols(), "1 + (RF1 + RF2)/RG");
/// assert_eq!(gain.with_values(), "1 + (24.9 kΩ + 24.9 kΩ) / 499 Ω");
/// assert_eq!(gain.result(), "100.8");
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Equation {
    /// What is told.
    pub name: Cow<'static, str>,
    /// What it is measured in.
    pub unit: Unit,
    /// What it comes from.
    pub law: Expr,
}

impl Equation {
    /// `name = law`.
    pub fn new(name: impl Into<Cow<'static, str>>, unit: Unit, law: Expr) -> Self {
        Self { name: name.into(), unit, law }
    }

    /// What it comes to, SI.
    #[must_use]
    pub fn value(&self) -> f64 {
        self.law.value()
    }

    /// The quantity as a symbol for the next equation.
    #[must_use]
    pub fn told(&self) -> Expr {
        Expr::symbol(self.name.clone(), self.value(), self.unit)
    }

    /// The right side in symbols.
    #[must_use]
    pub fn symbols(&self) -> String {
        self.symbol_pieces().join(" ")
    }

    /// The right side in symbols, in pieces between which a line may be broken.
    #[must_use]
    pub fn symbol_pieces(&self) -> Vec<String> {
        text::pieces(&self.law, text::NAMES, &|symbol| symbol.name.clone().into_owned())
    }

    /// The right side with values.
    #[must_use]
    pub fn with_values(&self) -> String {
        self.value_pieces().join(" ")
    }

    /// The right side with values, in pieces between which a line may be broken.
    #[must_use]
    pub fn value_pieces(&self) -> Vec<String> {
        let digits = self.digits();
        text::pieces(&self.law, text::VALUES, &|symbol| shown(symbol, digits))
    }

    /// The result with its unit.
    #[must_use]
    pub fn result(&self) -> String {
        self.as_result(self.value())
    }

    /// Another value of the same quantity, told the same way.
    #[must_use]
    pub fn as_result(&self, value: f64) -> String {
        rounded(value, self.unit, RESULT_DIGITS)
    }

    /// The three sides as one MathML element, for a block of its own.
    #[must_use]
    pub fn to_mathml(&self) -> String {
        let digits = self.digits();
        let names = mathml::set(&self.law, &|symbol| mathml::name(&symbol.name));
        let values = mathml::set(&self.law, &|symbol| mathml::value(&shown(symbol, digits)));
        let rows = [names, values, mathml::value(&self.result())].map(|side| {
            format!(
                "<mtr><mtd></mtd><mtd><mo>=</mo></mtd><mtd style=\"text-align:left\"><mrow>{side}</mrow></mtd></mtr>"
            )
        });
        let first = rows[0].replacen("<mtd></mtd>", &format!("<mtd>{}</mtd>", mathml::name(&self.name)), 1);
        format!("<math display=\"block\"><mtable>{first}{}{}</mtable></math>", rows[1], rows[2])
    }

    /// The fewest digits with which the printed values give the printed result.
    fn digits(&self) -> usize {
        let result = self.result();
        let enough = |digits: usize| {
            let printed = self.law.value_with(&|symbol| {
                let text = rounded(symbol.value, symbol.unit, digits);
                parse(&text, symbol.unit).unwrap_or(symbol.value)
            });
            self.as_result(printed) == result
        };
        VALUE_DIGITS.into_iter().find(|&digits| enough(digits)).unwrap_or(*VALUE_DIGITS.end())
    }
}

fn shown(symbol: &Symbol, digits: usize) -> String {
    rounded(symbol.value, symbol.unit, digits)
}
