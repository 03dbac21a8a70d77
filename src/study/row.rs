//! One line about a design for a table of many: what its columns show, and no more.
use super::aim::aim;
use super::bench::unsolved;
use super::choose::Choice;
use super::purchase::{Bought, buy_alone};
use super::trial::trial;
use super::{LimitLine, Question, StudyFault, limits, rejection, yields};
use crate::designator::{Designator, Topology};
use crate::limits::Sense;
use crate::quantity::Unit;

/// A design in one line.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The circuit.
    pub topology: Topology,
    /// The resistors in drawing order; `None` inside is open.
    pub resistors: Vec<(Designator, Option<f64>)>,
    /// Gain at nominal values, V/V.
    pub gain_nominal: f64,
    /// Least relative gain error over the box.
    pub gain_error_low: f64,
    /// Greatest relative gain error over the box.
    pub gain_error_high: f64,
    /// Least rejection over the box at dc, dB; `None`: unbounded.
    pub rejection_worst_db: Option<f64>,
    /// The limits that are set, in the order of the contract.
    pub limits: Vec<LimitLine>,
    /// True when every limit is met and predicted.
    pub met: bool,
}

/// The names of all limits, in the order of the contract.
pub const LIMITS: [&str; 10] = [
    "gain_error",
    "rejection",
    "rejection_at_interference",
    "headroom",
    "offset",
    "noise",
    "bandwidth",
    "differential_impedance",
    "total_error",
    "yield",
];

/// Chooses values, grades and op amp as [`super::design`] does and predicts what the limits need: no sweep, no causes,
/// and nothing that no limit asks for.
///
/// # Errors
/// As [`super::design`].
///
/// ```
/// use evenkeel::spec::{NoFiles, read};
/// use evenkeel::study::row;
///
/// let text = "[target]\ngain = 100\n[resistors]\ntolerance = \"0.1 %\"\n[limits]\nrejection = \"90 dB\"\nnoise = \"2 µV\"\n";
/// let row = row(&read("s.toml", text, &NoFiles)?.channels[0].question)?;
/// assert_eq!(row.limits[0].met, Some(true));
/// // no bandwidth is stated: the noise can't be told, and what can't be told is not met
/// assert!(row.limits[1].met.is_none() && !row.met);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn row(question: &Question) -> Result<Row, StudyFault> {
    let aim = aim(question)?;
    let Bought { question: bought, choice, .. } = buy_alone(question, &aim)?;
    let Choice { filled, bench, trial: chosen, search, .. } = choice;
    // a limit that nothing holds was given up in the search, and is told all the same
    let told = if search.out_of_reach.is_empty() { chosen } else { trial(&bought, &aim, &bench)? };
    let error = |gain: f64| gain / aim.gain - 1.0;
    let mut row = Row {
        topology: question.topology,
        resistors: filled.values.iter().map(|value| (value.name, value.pick.ohm())).collect(),
        gain_nominal: bench.nominal.differential,
        gain_error_low: error(bench.worst.gain_low),
        gain_error_high: error(bench.worst.gain_high),
        rejection_worst_db: rejection::decibels(bench.worst.rejection),
        limits: told.lines,
        met: true,
    };
    if let Some(least) = question.limits.yield_fraction {
        let low = yields::lower_bound(&bought, &aim, &bench).map_err(|fault| unsolved(&fault))?;
        let drawn = limits::line("yield", least, Unit::Fraction, Sense::AtLeast, low.map(Some));
        row.limits.retain(|line| line.limit != "yield");
        row.limits.push(drawn);
    }
    row.met = row.limits.iter().all(|line| line.met == Some(true));
    Ok(row)
}

/// A row of a batch: where the design comes from, and what came of it.
#[derive(Clone, Debug, PartialEq)]
pub struct BatchRow {
    /// The spec.
    pub file: String,
    /// The channel, where the spec has several.
    pub channel: Option<String>,
    /// Title of the channel.
    pub title: String,
    /// Keys that were varied, each with the value of this row.
    pub varied: Vec<(String, String)>,
    /// The design in one line, or why there is none.
    pub answer: Result<Row, NoRow>,
}

/// Why there is no design in a row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoRow {
    /// What is wrong, with its place.
    pub message: String,
    /// True where no standard value can do it: answered, and not met.
    pub no_value: bool,
}
