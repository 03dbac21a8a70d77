//! One line about a design for a table of many: what its columns show, and no more.
use super::aim::aim;
use super::bench::{Bench, fitted, unsolved};
use super::{DesignOptions, LimitLine, Question, Span, StudyFault, headroom, impedance, limits, rejection};
use crate::corners::ENUMERATED_AT_FREQUENCY;
use crate::designator::{Designator, Topology};
use crate::limits::Sense;
use crate::quantity::Unit;
use crate::topology::BuildFault;

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

/// Limits whose figures are had without the whole design.
const AT_ONCE: [&str; 5] =
    ["gain_error", "rejection", "rejection_at_interference", "headroom", "differential_impedance"];

/// Chooses values as [`super::design`] does and predicts what the limits need: no sweep, no causes,
/// and nothing that no limit asks for.
///
/// # Errors
/// As [`super::design`].
pub fn row(question: &Question) -> Result<Row, StudyFault> {
    let aim = aim(question)?;
    let (filled, bench) = fitted(question, aim.gain)?;
    let error = |gain: f64| gain / aim.gain - 1.0;
    let mut row = Row {
        topology: question.topology,
        resistors: filled.values.iter().map(|value| (value.name, value.pick.ohm())).collect(),
        gain_nominal: bench.nominal.differential,
        gain_error_low: error(bench.worst.gain_low),
        gain_error_high: error(bench.worst.gain_high),
        rejection_worst_db: rejection::decibels(bench.worst.rejection),
        limits: Vec::new(),
        met: true,
    };
    row.limits = at_once(question, &row, &bench, aim.reference_v).map_err(|fault| unsolved(&fault))?;
    if asks_for_more(question) {
        let options = DesignOptions { sweep_hz: Span::point(1.0) };
        let whole = super::design(question, &options)?.limits;
        row.limits.extend(whole.into_iter().filter(|line| !AT_ONCE.contains(&line.limit)));
        row.limits.sort_by_key(|line| LIMITS.iter().position(|name| *name == line.limit));
    }
    row.met = row.limits.iter().all(|line| line.met == Some(true));
    Ok(row)
}

fn asks_for_more(question: &Question) -> bool {
    let limits = &question.limits;
    let others =
        [limits.offset_v, limits.noise_v, limits.bandwidth_hz, limits.total_error, limits.yield_fraction];
    others.iter().any(Option::is_some)
}

fn at_once(
    question: &Question,
    row: &Row,
    bench: &Bench,
    reference_v: f64,
) -> Result<Vec<LimitLine>, BuildFault> {
    let wanted = &question.limits;
    let mut lines = Vec::new();
    if let Some(most) = wanted.gain_error {
        let error = row.gain_error_low.abs().max(row.gain_error_high.abs());
        lines.push(limits::line("gain_error", most, Unit::Fraction, Sense::AtMost, Some(Some(error))));
    }
    if let Some(least) = wanted.rejection_db {
        let predicted = Some(row.rejection_worst_db);
        lines.push(limits::line("rejection", least, Unit::Decibel, Sense::AtLeast, predicted));
    }
    if let Some(least) = wanted.rejection_at_interference_db {
        let hz = question.interference.map(|interference| interference.frequency_hz);
        let predicted = hz.map(|hz| at_interference(bench, hz)).transpose()?;
        lines.push(limits::line("rejection_at_interference", least, Unit::Decibel, Sense::AtLeast, predicted));
    }
    if let Some(least) = wanted.headroom_v {
        let predicted = headroom::margin(question, &bench.stage, reference_v)?.map(Some);
        lines.push(limits::line("headroom", least, Unit::Volt, Sense::AtLeast, predicted));
    }
    if let Some(least) = wanted.differential_impedance_ohm {
        let predicted = Some(impedance::figure(&bench.stage)?.differential_ohm);
        lines.push(limits::line("differential_impedance", least, Unit::Ohm, Sense::AtLeast, predicted));
    }
    Ok(lines)
}

fn at_interference(bench: &Bench, hz: f64) -> Result<Option<f64>, BuildFault> {
    let Bench { stage, lot, nominal, worst } = bench;
    let subject = rejection::Subject { stage, lot, nominal: *nominal, worst };
    let worst = rejection::worst_at(&subject, hz, ENUMERATED_AT_FREQUENCY)?;
    Ok(rejection::decibels(worst.rejection))
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
    pub answer: Result<Row, String>,
}
