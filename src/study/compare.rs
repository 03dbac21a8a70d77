//! The same requirement in every topology, side by side.
use super::design::{DesignOptions, design};
use super::purchase::{opamp_price, with};
use super::{Design, Question, Span};
use crate::designator::Topology;

/// A topology to be compared: its question, or what the spec lacks for it.
pub type Contender = (Topology, Result<Question, String>);

/// The answer to `compare`.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// Title of the spec.
    pub title: String,
    /// Every topology, with each op amp that may be taken.
    pub options: Vec<CompareOption>,
}

impl Comparison {
    /// True where one of the options meets every limit.
    #[must_use]
    pub fn any_met(&self) -> bool {
        self.options.iter().any(|option| option.design.as_ref().is_some_and(|design| design.met))
    }
}

/// One way to meet the requirement.
#[derive(Clone, Debug, PartialEq)]
pub struct CompareOption {
    /// The circuit.
    pub topology: Topology,
    /// What the op amps are called, where they have a name.
    pub opamp: Option<String>,
    /// Values and figures; `None`: see `missing`.
    pub design: Option<Design>,
    /// Why there is none: what the spec lacks, or why no value does.
    pub missing: Option<String>,
    /// Resistors and amplifiers on the board.
    pub parts: usize,
    /// Price of the op amps and, where grades are priced, the resistors.
    pub price: Option<f64>,
    /// The gain is set by one resistor, without any match being lost.
    pub adjustable_by_one: bool,
    /// Limits that are missed.
    pub limits_missed: Vec<&'static str>,
    /// Limits that could not be predicted.
    pub limits_open: Vec<&'static str>,
    /// When one would choose it.
    pub when: &'static str,
}

/// Designs the requirement in every way, each with its own best values: as [`super::design()`] does, op amps on offer
/// one by one. Figures are in SI units and decibels, as there.
///
/// Nothing is an error: what the spec lacks for a topology, and why no value can do it, stands under
/// [`CompareOption::missing`].
///
/// ```
/// use evenkeel::designator::Topology;
/// use evenkeel::spec::{NoFiles, read_for_every_topology};
/// use evenkeel::study::{Contender, compare};
///
/// let text = "[target]\ngain = 10\n[resistors]\ntolerance = \"0.1 %\"\n[limits]\nrejection = \"70 dB\"\n";
/// let channel = &read_for_every_topology("s.toml", text, &NoFiles)?.channels[0];
/// let contender = |topology| -> Contender { (topology, channel.in_topology(topology).map_err(|why| why.to_string())) };
/// let answer = compare("A", &Topology::ALL.map(contender));
/// let of = |topology| answer.options.iter().find(|one| one.topology == topology);
/// // four resistors alone: (1 + 10)/(4 · 0.001) is 68.8 dB (the handbooks' estimate); a first stage of 10 adds to that
/// assert_eq!(of(Topology::Difference).map(|one| one.limits_missed.clone()), Some(vec!["rejection"]));
/// assert!(answer.any_met() && of(Topology::ThreeOpAmp).is_some_and(|one| one.limits_missed.is_empty()));
/// // no chip is described
/// assert!(of(Topology::SingleChip).is_some_and(|one| one.design.is_none() && one.missing.is_some()));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn compare(title: &str, contenders: &[Contender]) -> Comparison {
    let mut options = Vec::new();
    for (topology, contender) in contenders {
        match contender {
            Err(missing) => options.push(without(*topology, None, missing.clone())),
            Ok(question) if question.candidates.is_empty() || *topology == Topology::SingleChip => {
                options.push(option(question));
            }
            Ok(question) => {
                for candidate in &question.candidates {
                    let mut one = with(question, candidate);
                    one.candidates.clear();
                    let found = option(&one);
                    options.push(CompareOption { opamp: Some(candidate.title.clone()), ..found });
                }
            }
        }
    }
    Comparison { title: title.to_owned(), options }
}

fn without(topology: Topology, opamp: Option<String>, missing: String) -> CompareOption {
    CompareOption {
        topology,
        opamp,
        design: None,
        missing: Some(missing),
        parts: 0,
        price: None,
        adjustable_by_one: topology.gain_set_by_one(),
        limits_missed: Vec::new(),
        limits_open: Vec::new(),
        when: when(topology),
    }
}

fn option(question: &Question) -> CompareOption {
    let topology = question.topology;
    let amps = topology.amps();
    let opamp = amps.first().and_then(|amp| question.opamps.get(amp)).and_then(|data| data.title.clone());
    // the sweep is no part of a comparison
    let options = DesignOptions { sweep_hz: Span::point(1.0) };
    let design = match design(question, &options) {
        Ok(design) => design,
        Err(fault) => return without(topology, opamp, fault.message),
    };
    let resistors: usize = design.resistors.iter().map(|line| line.parts_ohm.len()).sum();
    let bought = design.purchase.as_ref().map(|purchase| purchase.total);
    let of = |met: Option<bool>| {
        design.limits.iter().filter(|line| line.met == met).map(|line| line.limit).collect::<Vec<_>>()
    };
    CompareOption {
        topology,
        opamp,
        parts: resistors + amps.len(),
        price: bought.or_else(|| opamp_price(question)),
        adjustable_by_one: topology.gain_set_by_one(),
        limits_missed: of(Some(false)),
        limits_open: of(None),
        when: when(topology),
        missing: None,
        design: Some(design),
    }
}

/// When one would choose a topology, in one sentence.
const fn when(topology: Topology) -> &'static str {
    match topology {
        Topology::Difference => {
            "Take it where the source is stiff and balanced, or where the common mode goes beyond the supplies; one op \
             amp, but its resistors load the source and a change of gain takes two of them."
        }
        Topology::BufferedDifference => {
            "Take it at low gain where the source must not be loaded and the gain stays as it is; a change of gain \
             takes two matched resistors."
        }
        Topology::ThreeOpAmp => {
            "Take it where rejection has to rise with gain and one resistor has to set it; it needs the most parts, and \
             its first stage needs room for common mode and signal together."
        }
        Topology::TwoOpAmp => {
            "Take it to save an op amp where supply current counts and rejection is wanted at low frequencies only: its \
             two paths differ in delay."
        }
        Topology::SingleChip => {
            "Take it where the match inside one chip is worth its price and its listed gains, errors and supply suit."
        }
    }
}
