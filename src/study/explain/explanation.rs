use super::Law;
use super::glossary::Given;
use super::measured::Measured;
use crate::equation::{Equation, Expr};
use crate::quantity::{Unit, rounded};
use std::fmt;
use std::str::FromStr;

/// What can be explained: keys of `design`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs, reason = "the keys of the answer to `design`")]
pub enum Topic {
    Topology,
    Gain,
    Rejection,
    Headroom,
    Impedance,
    Offset,
    Noise,
    Bandwidth,
    InputFilter,
    Budget,
}

impl Topic {
    /// All of them, in reading order.
    pub const ALL: [Self; 10] = [
        Self::Topology,
        Self::Gain,
        Self::Rejection,
        Self::Headroom,
        Self::Impedance,
        Self::Offset,
        Self::Noise,
        Self::Bandwidth,
        Self::InputFilter,
        Self::Budget,
    ];

    /// The key.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Topology => "topology",
            Self::Gain => "gain",
            Self::Rejection => "rejection",
            Self::Headroom => "headroom",
            Self::Impedance => "impedance",
            Self::Offset => "offset",
            Self::Noise => "noise",
            Self::Bandwidth => "bandwidth",
            Self::InputFilter => "input_filter",
            Self::Budget => "budget",
        }
    }
}

impl fmt::Display for Topic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

impl FromStr for Topic {
    type Err = UnknownTopic;
    fn from_str(text: &str) -> Result<Self, UnknownTopic> {
        Self::ALL
            .into_iter()
            .find(|topic| topic.name() == text)
            .ok_or_else(|| UnknownTopic { read: text.to_owned(), known: Self::ALL.map(Self::name).join(", ") })
    }
}

/// The text is no figure that can be explained.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{read}` is no figure that has a working; known: {known}")]
pub struct UnknownTopic {
    /// What was read.
    pub read: String,
    /// What would be right.
    pub known: String,
}

/// The working of one figure.
#[derive(Clone, Debug, PartialEq)]
pub struct Explanation {
    /// Which figure.
    pub topic: Topic,
    /// What it means, in a sentence or two.
    pub meaning: String,
    /// From the rules to the result.
    pub steps: Vec<Step>,
    /// What the last line comes to and what the network says; `None` where the topic is no number.
    pub outcome: Option<Outcome>,
    /// Further figures that this working comes to, likewise.
    pub further: Vec<Outcome>,
    /// What stands in the equations and is not worked out in them.
    pub given: Vec<Given>,
    /// What single causes would have to be, where a measured value was given.
    pub measured: Option<Measured>,
}

/// One step on the board.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Why this comes next.
    pub text: String,
    /// What is written down; `None` for a remark.
    pub equation: Option<Equation>,
    /// The same quantity as the network gives it, where it is one of its own.
    pub exact: Option<f64>,
    /// The law it follows.
    pub law: Option<Law>,
}

/// By hand and by the network.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// What is told, in words.
    pub what: &'static str,
    /// What both are measured in.
    pub unit: Unit,
    /// By the equations; `None`: unbounded.
    pub by_hand: Option<f64>,
    /// By the network; `None`: unbounded.
    pub exact: Option<f64>,
    /// Why they differ, a reason a line, each with its share where it has one.
    pub why: Vec<String>,
}

impl Outcome {
    /// What the network gives more than the equations.
    #[must_use]
    pub fn difference(&self) -> Option<f64> {
        Some(self.exact? - self.by_hand?)
    }
}

/// A share with its sign, as a reason for a difference ends.
pub(super) fn signed(share: f64) -> String {
    let text = rounded(share, Unit::Fraction, 3);
    if share > 0.0 { format!("+{text}") } else { text }
}

/// Steps while they are written down.
#[derive(Debug, Default)]
pub(super) struct Board {
    pub(super) steps: Vec<Step>,
}

impl Board {
    /// A remark without an equation.
    pub(super) fn say(&mut self, text: impl Into<String>, law: Option<Law>) {
        self.steps.push(Step { text: text.into(), equation: None, exact: None, law });
    }

    /// An equation, with what the network says where it knows the quantity; returns its symbol.
    pub(super) fn write(
        &mut self,
        text: impl Into<String>,
        equation: Equation,
        exact: impl Into<Option<f64>>,
        law: Law,
    ) -> Expr {
        let told = equation.told();
        self.steps.push(Step { text: text.into(), equation: Some(equation), exact: exact.into(), law: Some(law) });
        told
    }

    /// An equation that several lines may ask for: written down the first time only.
    pub(super) fn once(&mut self, text: impl Into<String>, equation: Equation, law: Law) -> Expr {
        let known = self.steps.iter().filter_map(|step| step.equation.as_ref()).any(|one| one.name == equation.name);
        if known { equation.told() } else { self.write(text, equation, None, law) }
    }
}

impl Board {
    /// A quantity that stands on the board.
    pub(super) fn told(&self, name: &str) -> Option<Expr> {
        let mut equations = self.steps.iter().filter_map(|step| step.equation.as_ref());
        equations.find(|equation| equation.name == name).map(Equation::told)
    }
}

impl Explanation {
    /// Nothing yet.
    pub(super) const fn new(topic: Topic) -> Self {
        Self {
            topic,
            meaning: String::new(),
            steps: Vec::new(),
            outcome: None,
            further: Vec::new(),
            given: Vec::new(),
            measured: None,
        }
    }

    /// A quantity that this working has worked out.
    pub(super) fn worked(&self, name: &str) -> Option<Expr> {
        let mut equations = self.steps.iter().filter_map(|step| step.equation.as_ref());
        equations.find(|equation| equation.name == name).map(Equation::told)
    }
}
