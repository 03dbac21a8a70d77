//! The board as built: listed parts laid over what the spec decides.
use super::{Allowance, Question, ResistorLine};
use crate::designator::Designator;
use crate::part::{Fixed, Grade};
use crate::quantity::{Unit, exact, rounded};
use std::collections::BTreeMap;

/// A resistor as a bill of materials has it.
#[derive(Clone, Debug, PartialEq)]
pub struct ListedPart {
    /// Its designator on the board.
    pub reference: String,
    /// Its value; open where the place stays empty.
    pub value: Fixed,
    /// Its tolerance, a fraction, where the bill states one.
    pub tolerance: Option<f64>,
    /// Its tempco, 1/K, where the bill states one.
    pub tempco_per_k: Option<f64>,
}

impl ListedPart {
    /// A place that stays empty.
    #[must_use]
    pub fn not_fitted(reference: &str) -> Self {
        Self { reference: reference.to_owned(), value: Fixed::Open, tolerance: None, tempco_per_k: None }
    }
}

/// Something about a board that a person should know.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// Stable code, kebab-case: `disagrees`, `looser-grade`, `tighter-grade`, `unlisted`, `chosen`,
    /// `moved`, `changed`, `no-value`, `no-baseline`.
    pub code: &'static str,
    /// The resistor, where it is about one.
    pub designator: Option<Designator>,
    /// What was found, with its numbers.
    pub message: String,
    /// True where the board is not what the spec says.
    pub grave: bool,
}

impl Finding {
    /// What is neither fixed nor listed, and no standard value can do it.
    #[must_use]
    pub fn no_value(message: String) -> Self {
        Self { code: "no-value", designator: None, message, grave: true }
    }

    /// The baseline given is of other boards, `of` in words: nothing of this one was held against it.
    #[must_use]
    pub fn no_baseline(of: &str) -> Self {
        let message = format!("the baseline is of {of}: this board was held against none");
        Self { code: "no-baseline", designator: None, message, grave: false }
    }

    fn about(name: Designator, code: &'static str, grave: bool, message: String) -> Self {
        Self { code, designator: Some(name), message, grave }
    }
}

/// What a question becomes on the board that was built, and where the two differ. A listed part wins.
///
/// ```
/// use evenkeel::designator::{Designator, Topology};
/// use evenkeel::sheet::Bill;
/// use evenkeel::spec::{NoFiles, read};
/// use evenkeel::study::{Board, as_built};
///
/// let text = "[target]\ngain = 100\n[resistors]\nfixed = { RG = \"499\" }\n";
/// let question = &read("s.toml", text, &NoFiles)?.channels[0].question;
/// let listed = Bill::read("bom.csv", "Ref,Value\nRG,510 1%\n", &Default::default())?;
/// let listed = listed.parts(&Board::default(), Topology::ThreeOpAmp)?;
/// let (built, findings) = as_built(question, &listed);
/// assert_eq!((findings[0].code, findings[0].grave), ("disagrees", true));
/// assert_ne!(built.resistors.fixed[&Designator::RG], question.resistors.fixed[&Designator::RG]);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn as_built(question: &Question, listed: &BTreeMap<Designator, ListedPart>) -> (Question, Vec<Finding>) {
    let (mut built, mut findings) = (question.clone(), Vec::new());
    for (&name, part) in listed {
        let reference = &part.reference;
        if let Some(fixed) = question.resistors.fixed.get(&name).filter(|fixed| !same(**fixed, part.value)) {
            let message = format!("{reference} is {}, the spec says {name} = {}", said(part.value), said(*fixed));
            findings.push(Finding::about(name, "disagrees", true, message));
        }
        built.resistors.fixed.insert(name, part.value);
        let spec = question.resistors.grade_of(name);
        let own = Grade {
            tolerance: part.tolerance.unwrap_or(spec.tolerance),
            tempco_per_k: part.tempco_per_k.unwrap_or(spec.tempco_per_k),
        };
        if own == spec || part.value == Fixed::Open {
            continue;
        }
        built.resistors.own_grade.insert(name, own);
        findings.extend(of_grade(name, part, spec, own));
    }
    if !listed.is_empty() {
        for (&name, fixed) in question.resistors.fixed.iter().filter(|(name, _)| !listed.contains_key(name)) {
            if *fixed != Fixed::Open {
                let message = format!("{name} is not in the bill: {} of the spec stands", said(*fixed));
                findings.push(Finding::about(name, "unlisted", false, message));
            }
        }
    }
    (built, findings)
}

fn of_grade(name: Designator, part: &ListedPart, spec: Grade, own: Grade) -> Vec<Finding> {
    let pairs = [
        ("tolerance", own.tolerance, spec.tolerance, Unit::Fraction),
        ("tempco", own.tempco_per_k, spec.tempco_per_k, Unit::PerKelvin),
    ];
    let told = |(what, own, spec, unit): (&str, f64, f64, Unit)| {
        // Two spellings of one grade may differ in the last bit.
        if (own - spec).abs() <= 1e-9 * spec.max(own) {
            return None;
        }
        let (code, word, grave) =
            if own > spec { ("looser-grade", "looser", true) } else { ("tighter-grade", "tighter", false) };
        let (own, spec) = (rounded(own, unit, 4), rounded(spec, unit, 4));
        let message = format!("{what} of {} is {own}, {word} than {spec} of the spec for {name}", part.reference);
        Some(Finding::about(name, code, grave, message))
    };
    pairs.into_iter().filter_map(told).collect()
}

/// Values that the design had to choose, as findings.
#[must_use]
pub fn chosen(resistors: &[ResistorLine]) -> Vec<Finding> {
    let message = |line: &ResistorLine| {
        let value = line.ohm.map_or_else(|| "open".to_owned(), |ohm| exact(ohm, Unit::Ohm));
        format!("{} is neither fixed nor listed: {value} was chosen", line.name)
    };
    let told = |line: &ResistorLine| Finding::about(line.name, "chosen", false, message(line));
    resistors.iter().filter(|line| line.chosen).map(told).collect()
}

fn same(one: Fixed, other: Fixed) -> bool {
    match (one, other) {
        (Fixed::Ohm(one), Fixed::Ohm(other)) => (one - other).abs() <= 1e-9 * one.max(other),
        (Fixed::Open, Fixed::Open) => true,
        _ => false,
    }
}

fn said(value: Fixed) -> String {
    match value {
        Fixed::Ohm(ohm) => exact(ohm, Unit::Ohm),
        Fixed::Open => "not fitted".to_owned(),
    }
}

/// One figure of a design, for comparison: `None` inside is unbounded.
#[derive(Clone, Debug, PartialEq)]
pub struct FigureValue {
    /// Its name, as under `[check] allow`.
    pub name: &'static str,
    /// What it is measured in.
    pub unit: Unit,
    /// Its value; absent where it was not predicted.
    pub value: Option<Option<f64>>,
}

/// A figure that is no longer what it was.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// Its name, as under `[check] allow`.
    pub figure: &'static str,
    /// What it is measured in.
    pub unit: Unit,
    /// In the baseline.
    pub before: Option<Option<f64>>,
    /// Now.
    pub now: Option<Option<f64>>,
    /// What the spec allows; `None`: nothing is stated for this figure.
    pub allowed: Option<Allowance>,
    /// True where it moved by more than it may.
    pub beyond: bool,
}

/// Differences up to this are rounding.
const ROUNDING: f64 = 1e-9;

/// The figures that moved against a baseline. Where `allow` states nothing at all, no figure may move
/// beyond rounding; where it states some, the others are told and not judged. Values are in SI units, rejections in dB.
///
/// ```
/// use evenkeel::quantity::Unit;
/// use evenkeel::study::{Allowance, FigureValue, moved};
///
/// let gain = |value: f64| [FigureValue { name: "gain", unit: Unit::Plain, value: Some(Some(value)) }];
/// let allow = [("gain".to_owned(), Allowance::Relative(0.001))].into_iter().collect();
/// assert!(moved(&gain(100.0), &gain(100.05), &allow).is_empty());
/// let told = moved(&gain(100.0), &gain(100.2), &allow);
/// assert_eq!((told[0].beyond, told[0].finding().code), (true, "moved"));
/// ```
#[must_use]
pub fn moved(before: &[FigureValue], now: &[FigureValue], allow: &BTreeMap<String, Allowance>) -> Vec<Moved> {
    let one = |old: &FigureValue| {
        let now = now.iter().find(|new| new.name == old.name)?.value;
        old.value?;
        let wider = (old.name == "differential_impedance").then_some("impedance");
        let allowed = allow.get(old.name).or_else(|| allow.get(wider?)).copied();
        let reach = match (allowed, old.value.flatten()) {
            (Some(Allowance::Absolute(by)), _) => by,
            (Some(Allowance::Relative(by)), Some(old)) => by * old.abs(),
            (Some(Allowance::Relative(_)), None) | (None, _) => 0.0,
        };
        let step = match (old.value.flatten(), now) {
            (Some(old), Some(Some(now))) => (now - old).abs() - ROUNDING * old.abs().max(now.abs()),
            (None, Some(None)) => 0.0,
            _ => f64::INFINITY,
        };
        let judged = allowed.is_some() || allow.is_empty();
        let moved =
            Moved { figure: old.name, unit: old.unit, before: old.value, now, allowed, beyond: judged && step > reach };
        (step > 0.0 && (moved.beyond || allowed.is_none())).then_some(moved)
    };
    before.iter().filter_map(one).collect()
}

impl Moved {
    /// The same as a finding.
    #[must_use]
    pub fn finding(&self) -> Finding {
        let said = |value: Option<Option<f64>>| match value {
            Some(Some(value)) => rounded(value, self.unit, 9),
            Some(None) => "unbounded".to_owned(),
            None => "not predicted".to_owned(),
        };
        let allowed = match self.allowed {
            Some(Allowance::Absolute(by)) => format!(", allowed {}", rounded(by, self.unit, 4)),
            Some(Allowance::Relative(by)) => format!(", allowed {}", rounded(by, Unit::Fraction, 4)),
            None => String::new(),
        };
        let name = self.figure.replace('_', " ");
        let message = format!("{name} was {}, is {}{allowed}", said(self.before), said(self.now));
        let code = if self.beyond { "moved" } else { "changed" };
        Finding { code, designator: None, message, grave: self.beyond }
    }
}

/// A board as built, held against its limits.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckedBoard {
    /// The spec it was checked by.
    pub file: String,
    /// The channel, where the spec has several.
    pub channel: Option<String>,
    /// Title of the channel.
    pub title: String,
    /// True where every limit is met, nothing grave was found and nothing moved too far.
    pub met: bool,
    /// Its limits.
    pub limits: Vec<super::LimitLine>,
    /// What was found.
    pub findings: Vec<Finding>,
    /// Figures that moved against the baseline.
    pub moved: Vec<Moved>,
}
