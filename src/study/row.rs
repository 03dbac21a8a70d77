//! One line about a design for a table of many: what its columns show, and no more.
use super::aim::aim;
use super::bench::{Bench, unsolved};
use super::choose::Choice;
use super::purchase::{Bought, buy};
use super::{
    DesignOptions, LimitLine, Question, Span, StudyFault, bandwidth, headroom, impedance, limits, noise, offset,
    rejection,
};
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

/// Limits whose figures take the whole design.
const OF_THE_WHOLE: [&str; 2] = ["total_error", "yield"];

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
    let Bought { question: bought, choice, .. } = buy(question, &aim)?;
    let Choice { filled, bench, .. } = choice;
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
    row.limits = at_once(&bought, &row, &bench, aim.reference_v).map_err(|fault| unsolved(&fault))?;
    if asks_for_more(question) {
        let options = DesignOptions { sweep_hz: Span::point(1.0) };
        let whole = super::design(question, &options)?.limits;
        row.limits.extend(whole.into_iter().filter(|line| OF_THE_WHOLE.contains(&line.limit)));
    }
    row.met = row.limits.iter().all(|line| line.met == Some(true));
    Ok(row)
}

fn asks_for_more(question: &Question) -> bool {
    question.limits.total_error.is_some() || question.limits.yield_fraction.is_some()
}

fn at_once(question: &Question, row: &Row, bench: &Bench, reference_v: f64) -> Result<Vec<LimitLine>, BuildFault> {
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
    if let Some(most) = wanted.offset_v {
        let predicted = offset::figure(question, &bench.stage)?.figure.map(|figure| Some(figure.rti_worst_v));
        lines.push(limits::line("offset", most, Unit::Volt, Sense::AtMost, predicted));
    }
    if let Some(most) = wanted.noise_v {
        let figure = noise::figure(question, &bench.stage, reference_v)?.figure;
        lines.push(limits::line("noise", most, Unit::Volt, Sense::AtMost, figure.and_then(|one| one.rms_v.map(Some))));
    }
    if let Some(least) = wanted.bandwidth_hz {
        let predicted = bandwidth::figure(question, &bench.stage)?.figure.map(|figure| figure.small_signal_hz);
        lines.push(limits::line("bandwidth", least, Unit::Hertz, Sense::AtLeast, predicted));
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
