use super::expr::{Expr, Symbol};
use super::{mathml, text};
use crate::quantity::{Unit, parse, rounded};
use std::borrow::Cow;
use std::collections::BTreeMap;

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
    /// Digits of what stands in it, where other equations decide them too ([`settle`]).
    precision: BTreeMap<String, usize>,
}

impl Equation {
    /// `name = law`.
    pub fn new(name: impl Into<Cow<'static, str>>, unit: Unit, law: Expr) -> Self {
        Self { name: name.into(), unit, law, precision: BTreeMap::new() }
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
        text::pieces(&self.law, text::VALUES, &|symbol| shown(symbol, &digits))
    }

    /// The result with its unit.
    #[must_use]
    pub fn result(&self) -> String {
        self.as_result(self.value())
    }

    /// Another value of the same quantity, told the same way.
    #[must_use]
    pub fn as_result(&self, value: f64) -> String {
        rounded(value, self.unit, self.result_digits())
    }

    /// The three sides as one MathML element, for a block of its own.
    #[must_use]
    pub fn to_mathml(&self) -> String {
        let digits = self.digits();
        let names = mathml::set(&self.law, &|symbol| mathml::name(&symbol.name));
        let values = mathml::set(&self.law, &|symbol| mathml::value(&shown(symbol, &digits)));
        let rows = [names, values, mathml::value(&self.result())].map(|side| {
            format!(
                "<mtr><mtd></mtd><mtd><mo>=</mo></mtd><mtd style=\"text-align:left\"><mrow>{side}</mrow></mtd></mtr>"
            )
        });
        let first = rows[0].replacen("<mtd></mtd>", &format!("<mtd>{}</mtd>", mathml::name(&self.name)), 1);
        format!("<math display=\"block\"><mtable>{first}{}{}</mtable></math>", rows[1], rows[2])
    }

    /// For each symbol the fewest digits with which the printed values give the printed result.
    fn digits(&self) -> BTreeMap<String, usize> {
        let names: Vec<&str> = self.law.symbols().into_iter().map(|symbol| symbol.name.as_ref()).collect();
        let settled = |name: &str| self.precision.get(name).copied().unwrap_or_default();
        let alike = |digits: usize| -> BTreeMap<String, usize> {
            names.iter().map(|&name| (name.to_owned(), digits.max(settled(name)))).collect()
        };
        let uniform = VALUE_DIGITS.into_iter().find(|&digits| self.is_enough(&alike(digits)));
        let mut found = alike(uniform.unwrap_or(*VALUE_DIGITS.end()));
        // what counts for little in the result needs fewer
        for name in names {
            while let Some(&digits) =
                found.get(name).filter(|&&digits| digits > settled(name).max(*VALUE_DIGITS.start()))
            {
                found.insert(name.to_owned(), digits - 1);
                if !self.is_enough(&found) {
                    found.insert(name.to_owned(), digits);
                    break;
                }
            }
        }
        found
    }

    /// Whether these digits give the printed result: to its last digit, or, where it has more digits than
    /// usual for the sake of later lines, to one or two units of the last.
    fn is_enough(&self, digits: &BTreeMap<String, usize>) -> bool {
        let value = self.value();
        let printed = self.law.value_with(&|symbol| {
            let text = shown(symbol, digits);
            parse(&text, symbol.unit).unwrap_or(symbol.value)
        });
        match self.result_digits() {
            ..=RESULT_DIGITS => self.as_result(printed) == self.result(),
            more => (printed - value).abs() <= 2.0 * value.abs() * libm::pow(10.0, -(more as f64)),
        }
    }

    fn result_digits(&self) -> usize {
        self.precision.get(self.name.as_ref()).copied().unwrap_or(RESULT_DIGITS)
    }
}

fn shown(symbol: &Symbol, digits: &BTreeMap<String, usize>) -> String {
    rounded(symbol.value, symbol.unit, digits.get(symbol.name.as_ref()).copied().unwrap_or(RESULT_DIGITS))
}

/// Lets a quantity be printed with the same digits wherever it stands in these equations, so that a
/// result can be taken from the line where it was printed to the one where it is put in.
pub fn settle(equations: &mut [&mut Equation]) {
    let mut due: BTreeMap<String, usize> =
        equations.iter().map(|equation| (equation.name.clone().into_owned(), RESULT_DIGITS)).collect();
    // from the last result back to where its values come from
    for equation in equations.iter_mut().rev() {
        if let Some(&digits) = due.get(equation.name.as_ref()) {
            equation.precision.insert(equation.name.clone().into_owned(), digits);
        }
        for (name, digits) in equation.digits() {
            let due = due.entry(name).or_default();
            *due = digits.max(*due);
        }
    }
    for equation in equations {
        let names = equation.law.symbols().into_iter().map(|symbol| symbol.name.clone().into_owned());
        let settled: BTreeMap<String, usize> =
            names.filter_map(|name| due.get_key_value(&name)).map(|(k, v)| (k.clone(), *v)).collect();
        equation.precision.extend(settled);
    }
}
