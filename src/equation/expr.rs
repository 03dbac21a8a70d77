use crate::quantity::{Unit, decibels};
use std::borrow::Cow;
use std::f64::consts::PI;
use std::ops::{Add, Div, Mul, Neg, Sub};

/// An expression in symbols that know their values.
#[derive(Clone, Debug, PartialEq)]
pub enum Expr {
    /// A quantity with a name.
    Symbol(Symbol),
    /// A number that is part of the law, as the 2 in `2·RF`.
    Number(f64),
    /// π.
    Pi,
    /// Terms added up.
    Sum(Vec<Expr>),
    /// The opposite.
    Negative(Box<Expr>),
    /// Factors multiplied.
    Product(Vec<Expr>),
    /// One over the other.
    Quotient(Box<Expr>, Box<Expr>),
    /// `x²`.
    Square(Box<Expr>),
    /// Two in parallel, `1/(1/a + 1/b)`.
    Parallel(Box<Expr>, Box<Expr>),
    /// `|x|`.
    Magnitude(Box<Expr>),
    /// `√x`.
    Root(Box<Expr>),
    /// `20·log10(x)`.
    Decibels(Box<Expr>),
    /// `ln(x)`.
    Logarithm(Box<Expr>),
    /// `a^(b)`.
    Power(Box<Expr>, Box<Expr>),
}

/// A name, its value and what it is measured in.
#[derive(Clone, Debug, PartialEq)]
pub struct Symbol {
    /// As the trade writes it: `RG`, `v_A1`; what follows the underscore is its index.
    pub name: Cow<'static, str>,
    /// SI.
    pub value: f64,
    /// What it is measured in.
    pub unit: Unit,
}

impl Expr {
    /// A quantity with a name.
    pub fn symbol(name: impl Into<Cow<'static, str>>, value: f64, unit: Unit) -> Self {
        Self::Symbol(Symbol { name: name.into(), value, unit })
    }

    /// `self²`.
    #[must_use]
    pub fn squared(self) -> Self {
        Self::Square(Box::new(self))
    }

    /// `self ∥ other`.
    #[must_use]
    pub fn parallel(self, other: Self) -> Self {
        Self::Parallel(Box::new(self), Box::new(other))
    }

    /// `|self|`.
    #[must_use]
    pub fn magnitude(self) -> Self {
        Self::Magnitude(Box::new(self))
    }

    /// `√self`.
    #[must_use]
    pub fn root(self) -> Self {
        Self::Root(Box::new(self))
    }

    /// `20·log10(self)`.
    #[must_use]
    pub fn in_decibels(self) -> Self {
        Self::Decibels(Box::new(self))
    }

    /// `ln(self)`.
    #[must_use]
    pub fn ln(self) -> Self {
        Self::Logarithm(Box::new(self))
    }

    /// `self^exponent`.
    #[must_use]
    pub fn power(self, exponent: Self) -> Self {
        Self::Power(Box::new(self), Box::new(exponent))
    }

    /// Every symbol in it, in order; one that stands twice is told twice.
    #[must_use]
    pub fn symbols(&self) -> Vec<&Symbol> {
        match self {
            Self::Symbol(symbol) => vec![symbol],
            Self::Number(_) | Self::Pi => Vec::new(),
            Self::Sum(all) | Self::Product(all) => all.iter().flat_map(Self::symbols).collect(),
            Self::Quotient(a, b) | Self::Parallel(a, b) | Self::Power(a, b) => {
                a.symbols().into_iter().chain(b.symbols()).collect()
            }
            Self::Negative(one)
            | Self::Square(one)
            | Self::Magnitude(one)
            | Self::Root(one)
            | Self::Decibels(one)
            | Self::Logarithm(one) => one.symbols(),
        }
    }

    /// All terms added up; nothing is 0.
    pub fn sum(terms: impl IntoIterator<Item = Self>) -> Self {
        terms.into_iter().reduce(|a, b| a + b).unwrap_or(Self::Number(0.0))
    }

    /// What it comes to with the symbols' values, SI.
    #[must_use]
    pub fn value(&self) -> f64 {
        self.value_with(&|symbol| symbol.value)
    }

    /// What it comes to with other values for the symbols.
    pub(super) fn value_with(&self, of: &dyn Fn(&Symbol) -> f64) -> f64 {
        let at = |inner: &Self| inner.value_with(of);
        match self {
            Self::Symbol(symbol) => of(symbol),
            Self::Number(number) => *number,
            Self::Pi => PI,
            Self::Sum(terms) => terms.iter().map(at).sum(),
            Self::Negative(inner) => -at(inner),
            Self::Product(factors) => factors.iter().map(at).product(),
            Self::Quotient(above, below) => at(above) / at(below),
            Self::Square(inner) => at(inner) * at(inner),
            Self::Parallel(a, b) => {
                let (a, b) = (at(a), at(b));
                a * b / (a + b)
            }
            Self::Magnitude(inner) => at(inner).abs(),
            Self::Root(inner) => at(inner).sqrt(),
            Self::Decibels(inner) => decibels(at(inner)),
            Self::Logarithm(inner) => libm::log(at(inner)),
            Self::Power(base, exponent) => libm::pow(at(base), at(exponent)),
        }
    }
}

impl From<f64> for Expr {
    fn from(number: f64) -> Self {
        Self::Number(number)
    }
}

impl Add for Expr {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        let mut terms = match self {
            Self::Sum(terms) => terms,
            one => vec![one],
        };
        match other {
            Self::Sum(more) => terms.extend(more),
            one => terms.push(one),
        }
        Self::Sum(terms)
    }
}

impl Sub for Expr {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

impl Neg for Expr {
    type Output = Self;
    fn neg(self) -> Self {
        Self::Negative(Box::new(self))
    }
}

impl Mul for Expr {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        let mut factors = match self {
            Self::Product(factors) => factors,
            one => vec![one],
        };
        match other {
            Self::Product(more) => factors.extend(more),
            one => factors.push(one),
        }
        Self::Product(factors)
    }
}

impl Div for Expr {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        Self::Quotient(Box::new(self), Box::new(other))
    }
}

impl Add<Expr> for f64 {
    type Output = Expr;
    fn add(self, other: Expr) -> Expr {
        Expr::Number(self) + other
    }
}

impl Sub<Expr> for f64 {
    type Output = Expr;
    fn sub(self, other: Expr) -> Expr {
        Expr::Number(self) - other
    }
}

impl Mul<Expr> for f64 {
    type Output = Expr;
    fn mul(self, other: Expr) -> Expr {
        Expr::Number(self) * other
    }
}

impl Div<Expr> for f64 {
    type Output = Expr;
    fn div(self, other: Expr) -> Expr {
        Expr::Number(self) / other
    }
}
