use super::expr::{Expr, Symbol};
use super::{mathml, text};
use crate::quantity::{Unit, parse, rounded};
use std::borrow::Cow;
use std::collections::BTreeMap;

/// Digits a result is told with (decibels: two fewer decimals).
const RESULT_DIGITS: usize = 5;
/// Digits a value is told with that comes from outside, as a rating does.
pub const GIVEN_DIGITS: usize = 8;
/// Digits with which every double comes back.
const MOST_DIGITS: usize = 17;
/// What is this near to half of the last digit, as a share of it, may be rounded to either side.
const TIE: f64 = 1e-6;

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
    precision: Digits,
}

/// Digits by the name of a quantity.
type Digits = BTreeMap<String, usize>;

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

    /// Digits of what stands in it: settled, or as many as this equation alone asks for.
    fn digits(&self) -> Digits {
        if !self.precision.is_empty() {
            return self.precision.clone();
        }
        let mut due = self.names().map(|name| (name, GIVEN_DIGITS)).collect();
        self.raise(&mut due);
        due
    }

    fn names(&self) -> impl Iterator<Item = String> {
        self.law.symbols().into_iter().map(|symbol| symbol.name.clone().into_owned())
    }

    /// Raises the digits of what stands in it until the printed values give the printed result.
    fn raise(&self, due: &mut Digits) {
        if self.is_enough(due) {
            return;
        }
        let before = due.clone();
        let names: Vec<String> = self.names().collect();
        for digits in 1..=MOST_DIGITS {
            for name in &names {
                let one = due.entry(name.clone()).or_default();
                *one = digits.max(*one);
            }
            if self.is_enough(due) {
                break;
            }
        }
        // what counts for little in the result needs fewer
        for name in names {
            let least = before.get(&name).copied().unwrap_or_default();
            while let Some(&digits) = due.get(&name).filter(|&&digits| digits > least) {
                due.insert(name.clone(), digits - 1);
                if !self.is_enough(due) {
                    due.insert(name, digits);
                    break;
                }
            }
        }
    }

    /// Whether values printed with these digits give the printed result to its last digit.
    fn is_enough(&self, digits: &Digits) -> bool {
        let own = digits.get(self.name.as_ref()).copied().unwrap_or(RESULT_DIGITS);
        let printed = self.law.value_with(&|symbol| {
            let text = shown(symbol, digits);
            parse(&text, symbol.unit).unwrap_or(symbol.value)
        });
        let result = rounded(self.value(), self.unit, own);
        rounded(printed, self.unit, own) == result || self.is_a_tie(printed, &result, own)
    }

    /// Half of the last digit away, but for rounding in the double itself.
    fn is_a_tie(&self, printed: f64, result: &str, digits: usize) -> bool {
        if matches!(self.unit, Unit::Decibel | Unit::Rejection) {
            return false;
        }
        let Ok(result) = parse(result, self.unit) else { return false };
        let order = libm::floor(libm::log10(result.abs())) - digits as f64 + 1.0;
        (printed - result).abs() <= (0.5 + TIE) * libm::pow(10.0, order)
    }

    fn result_digits(&self) -> usize {
        self.precision.get(self.name.as_ref()).copied().unwrap_or(RESULT_DIGITS)
    }
}

fn shown(symbol: &Symbol, digits: &Digits) -> String {
    rounded(symbol.value, symbol.unit, digits.get(symbol.name.as_ref()).copied().unwrap_or(GIVEN_DIGITS))
}

/// Lets a quantity be printed with the same digits wherever it stands in these equations, so that a
/// result can be taken from the line where it was printed to the one where it is put in, and every line
/// gives its printed result when it is worked out from its printed values.
pub fn settle(equations: &mut [&mut Equation]) {
    let mut due: Digits =
        equations.iter().flat_map(|equation| equation.names()).map(|name| (name, GIVEN_DIGITS)).collect();
    due.extend(equations.iter().map(|equation| (equation.name.clone().into_owned(), RESULT_DIGITS)));
    // from the last result back to where its values come from, until no line asks for more
    loop {
        let before = due.clone();
        equations.iter().rev().for_each(|equation| equation.raise(&mut due));
        alike(equations, &mut due);
        if due == before {
            break;
        }
    }
    for equation in equations {
        let names: Vec<String> = equation.names().chain([equation.name.clone().into_owned()]).collect();
        let settled = names.into_iter().filter_map(|name| due.get(&name).map(|&digits| (name, digits)));
        equation.precision = settled.collect();
    }
}

/// Ratings of one value get the same digits, as the rejection of two op amps of a kind.
fn alike(equations: &[&mut Equation], due: &mut Digits) {
    let symbols = || equations.iter().flat_map(|equation| equation.law.symbols());
    let mut most: BTreeMap<u64, usize> = BTreeMap::new();
    for symbol in symbols() {
        let digits = due.get(symbol.name.as_ref()).copied().unwrap_or_default();
        let one = most.entry(symbol.value.to_bits()).or_default();
        *one = digits.max(*one);
    }
    for symbol in symbols() {
        if let (Some(one), Some(&digits)) = (due.get_mut(symbol.name.as_ref()), most.get(&symbol.value.to_bits())) {
            *one = digits.max(*one);
        }
    }
}
