//! What is answered: every figure as a typed value, SI. The report walks over it and computes nothing.
//!
//! `Option<f64>` for a rejection, an impedance or a frequency: `None` is unbounded. A whole figure
//! that is `None` was not predicted, and [`Design::not_predicted`] says what it needs.
use crate::designator::{Amp, Designator, Topology};
use crate::quantity::Unit;
pub use crate::sizing::PickKind;
use std::collections::BTreeMap;

pub use super::bandwidth::{BandwidthFigure, FullPowerLine, SettlingLine};
pub use super::choose::Searched;
pub use super::filter::FilterFigure;
pub use super::headroom::HeadroomFigure;
pub use super::largest_gain::LargestGain;
use super::ledger::BudgetFigure;
pub use super::nodes::{NodeVoltage, NodesFigure};
pub use super::purchase::{CandidateLine, Purchase};
pub use super::runner_up::RunnerUp;
pub use super::told::Told;
pub use crate::corners::Method;
pub use crate::predict::{
    FilterBandwidth, FullPower, HeadroomPoint, Impedance, LoopMargin, Noise, NoiseLine, OffsetCause, OffsetFigure,
    OffsetSource, Protection, Rectangle, WindowVertex,
};

/// The answer to a [`super::Question`].
#[derive(Clone, Debug, PartialEq)]
pub struct Design {
    /// Title of the spec.
    pub title: String,
    /// The circuit.
    pub topology: Topology,
    /// True when every limit is met and predicted.
    pub met: bool,
    /// What is around the amplifier: source, input filter, bias return, reference.
    pub surroundings: super::Surroundings,
    /// Resistors in drawing order, R5 and R6 only where present.
    pub resistors: Vec<ResistorLine>,
    /// What the op amps are called, where that is known.
    pub opamps: BTreeMap<Amp, String>,
    /// What the search for values has shown.
    pub search: Searched,
    /// Other sets of values that came close.
    pub runners_up: Vec<RunnerUp>,
    /// Op amps that were tried, where the spec names candidates.
    pub candidates: Vec<CandidateLine>,
    /// What is bought, where grades or candidates are given.
    pub purchase: Option<Purchase>,
    /// Gain and its error.
    pub gain: GainFigure,
    /// The reference voltage used, V, and whether it was chosen here.
    pub reference_v: f64,
    /// True where the spec left the reference open.
    pub reference_chosen: bool,
    /// Nominal node voltages under a stated stimulus.
    pub nodes: Option<NodesFigure>,
    /// Rejection.
    pub rejection: RejectionFigure,
    /// Bandwidths of the input filter, where there is one.
    pub input_filter: Option<FilterFigure>,
    /// Headroom.
    pub headroom: Option<HeadroomFigure>,
    /// Input impedance.
    pub impedance: Option<Impedance>,
    /// Offset and drift.
    pub offset: Option<OffsetFigure>,
    /// Noise.
    pub noise: Option<Noise>,
    /// Bandwidth, margins and settling.
    pub bandwidth: Option<BandwidthFigure>,
    /// Share of boards within limits, when `limits.yield` is set.
    pub yields: Option<super::YieldFigure>,
    /// Error budget.
    pub budget: Option<BudgetFigure>,
    /// Limits, in the order of the contract, only those set.
    pub limits: Vec<LimitLine>,
    /// Figures that could not be told.
    pub not_predicted: Vec<NotPredicted>,
    /// Review notes.
    pub warnings: Vec<Warning>,
    /// Safety cautions.
    pub cautions: Vec<String>,
    /// Properties that were not given and count as ideal, as `A1 open_loop_gain`.
    pub assumed_ideal: Vec<String>,
}

/// One resistor of the design.
#[derive(Clone, Debug, PartialEq)]
pub struct ResistorLine {
    /// Its designator.
    pub name: Designator,
    /// Single, pair or open.
    pub kind: PickKind,
    /// Value; `None` when open.
    pub ohm: Option<f64>,
    /// The parts a pair is made of (one for a single).
    pub parts_ohm: Vec<f64>,
    /// IEC 60062 code, where the value has one.
    pub marking: Option<String>,
    /// Tolerance, a fraction.
    pub tolerance: f64,
    /// Tempco, 1/K.
    pub tempco_per_k: f64,
    /// True when this program chose it.
    pub chosen: bool,
    /// Greatest power over the signal's range, W; `None`: signals or supply not stated.
    pub power_w: Option<f64>,
}

/// Gain and its error, figures.md section 5.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GainFigure {
    /// Wanted, V/V.
    pub target: f64,
    /// At nominal values.
    pub nominal: f64,
    /// Relative errors against the target.
    pub error_nominal: f64,
    /// Least over all corners.
    pub error_low: f64,
    /// Greatest over all corners.
    pub error_high: f64,
    /// How sure `error_low` and `error_high` are.
    pub method: Method,
}

/// Rejection, figures.md section 6; decibels, `None` unbounded.
#[derive(Clone, Debug, PartialEq)]
pub struct RejectionFigure {
    /// At nominal values, dc.
    pub nominal_db: Option<f64>,
    /// Least over the box, dc.
    pub worst_db: Option<f64>,
    /// How sure that is.
    pub method: Method,
    /// The handbook estimate beside it.
    pub closed_form_db: Option<f64>,
    /// In words, why the estimate and the exact figure differ, where that matters.
    pub closed_form_note: Option<String>,
    /// At the interference frequency, when one is stated.
    pub at_interference: Option<RejectionAt>,
    /// At its 2nd to 10th harmonics.
    pub harmonics: Vec<RejectionAt>,
    /// Each cause alone at dc, worst first.
    pub causes: Vec<CauseLine>,
    /// Over frequency.
    pub sweep: Vec<SweepPoint>,
}

/// Rejection at one frequency.
#[derive(Clone, Debug, PartialEq)]
pub struct RejectionAt {
    /// Hz.
    pub hz: f64,
    /// Least over the corners.
    pub worst_db: Option<f64>,
    /// The data-sheet convention: nominal dc gain over the greatest common-mode gain.
    pub rti_db: Option<f64>,
    /// How sure that is.
    pub method: Method,
    /// Each cause alone there, worst first.
    pub causes: Vec<CauseLine>,
}

/// One cause alone.
#[derive(Clone, Debug, PartialEq)]
pub struct CauseLine {
    /// The contract's name of it.
    pub cause: String,
    /// Least rejection when only this varies.
    pub alone_db: Option<f64>,
}

/// One point of the sweep.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SweepPoint {
    /// Hz.
    pub hz: f64,
    /// At nominal values.
    pub nominal_db: Option<f64>,
    /// Least over the corners.
    pub worst_db: Option<f64>,
    /// The data-sheet convention.
    pub rti_db: Option<f64>,
    /// Worst below 20 dB, where corners no longer bound it.
    pub rough: bool,
}

/// One limit held against its figure.
#[derive(Clone, Debug, PartialEq)]
pub struct LimitLine {
    /// The key under `[limits]`.
    pub limit: &'static str,
    /// What the numbers are measured in.
    pub unit: Unit,
    /// As the spec has it.
    pub required: f64,
    /// As predicted; `None` when unbounded or not predicted (`met` tells which).
    pub predicted: Option<f64>,
    /// By how much it is met, negative where missed, in the same measure.
    pub margin: Option<f64>,
    /// `None`: not predicted.
    pub met: Option<bool>,
    /// What change would meet it.
    pub would_meet: Vec<String>,
}

/// A figure that could not be told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotPredicted {
    /// The figure's key.
    pub figure: String,
    /// What the spec would have to give.
    pub needs: String,
}

/// A review note.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Warning {
    /// Stable code, kebab-case.
    pub code: &'static str,
    /// What was seen, with its numbers.
    pub message: String,
    /// What to do.
    pub advice: String,
}

/// The answer to `size`.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeAnswer {
    /// The circuit.
    pub topology: Topology,
    /// Name of the series, or `stock`.
    pub series: String,
    /// Wanted, V/V.
    pub target_gain: f64,
    /// The gain-set resistor that would hit it with the best choice's feedback; `None`: left open, or no choice.
    pub exact_ohm: Option<f64>,
    /// Best first.
    pub choices: Vec<Choice>,
    /// One step down and one step up from the best.
    pub neighbours: Vec<Choice>,
    /// Why there is no choice.
    pub reason: Option<String>,
}

/// One way to set the gain.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// Single, pair, or left open.
    pub kind: PickKind,
    /// The parts.
    pub parts_ohm: Vec<f64>,
    /// The value; `None` when open.
    pub ohm: Option<f64>,
    /// The feedback resistor it goes with; `None` for a single chip.
    pub feedback_ohm: Option<f64>,
    /// The gain-set resistor that would hit the target with that feedback.
    pub exact_ohm: Option<f64>,
    /// Gain with ideal op amps.
    pub gain: f64,
    /// Relative errors against the target: nominal, least, greatest.
    pub error: f64,
    /// Least over the tolerances.
    pub error_low: f64,
    /// Greatest over the tolerances.
    pub error_high: f64,
}

/// The answer to `reject`.
#[derive(Clone, Debug, PartialEq)]
pub struct RejectAnswer {
    /// The circuit.
    pub topology: Topology,
    /// V/V.
    pub gain: f64,
    /// Least rejection over the box, dB, `None` unbounded.
    pub worst_db: Option<f64>,
    /// Resistors alone.
    pub resistors_db: Option<f64>,
    /// Op amps alone.
    pub opamps_db: Option<f64>,
    /// The handbook estimate.
    pub closed_form_db: Option<f64>,
    /// Why the estimate differs, where that matters.
    pub closed_form_note: Option<String>,
    /// The inverse, when asked.
    pub need: Option<NeedAnswer>,
}

/// What would guarantee a rejection.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NeedAnswer {
    /// Asked for, dB.
    pub need_db: f64,
    /// Loosest tolerance with the op amps as given; `None`: none does.
    pub loosest_tolerance: Option<f64>,
    /// Least op-amp rejection, dB, with the resistors as given; `None`: none does.
    pub least_opamp_rejection_db: Option<f64>,
    /// Loosest match of R1 to R4 with everything else as given, where a match is given.
    pub loosest_match: Option<f64>,
    /// Least gain of the first stage with everything else as given (`three-op-amp`); `None`: none does.
    pub least_stage_one_gain: Option<f64>,
    /// True when the rejection as given is enough already.
    pub met: bool,
    /// True when each of the two can be had.
    pub reachable: bool,
    /// Why it can't be reached from one side.
    pub why: Option<&'static str>,
}
