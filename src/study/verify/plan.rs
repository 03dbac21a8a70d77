//! The sheet to fill in at the bench.
use super::{Built, Expected};
use crate::corners::{NodeRange, node_ranges};
use crate::designator::Topology;
use crate::network::Node;
use crate::predict::{Supplies, offset_at, terminals};
use crate::study::bench::{Bench, unsolved};
use crate::study::{Environment, Question, StudyFault};
use crate::topology::BuildFault;
use crate::uncertainty::coverage_factor;

/// What to apply, in which order, and what to expect.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Title of the spec.
    pub title: String,
    /// Temperature of the bench, °C.
    pub temperature_c: f64,
    /// The steps in the order of the work.
    pub steps: Vec<PlanStep>,
    /// Standard uncertainty the output has to be read with so that the gain is told to a quarter of its
    /// limit (of its predicted spread, where there is no limit), V.
    pub gain_needs_u_output_v: Option<f64>,
    /// The same for the common-mode gain that the rejection limit allows (the predicted worst, where
    /// there is no limit), V; `None` where the rejection is unbounded or the common mode does not vary.
    pub rejection_needs_u_output_v: Option<f64>,
}

/// One line of the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanStep {
    /// What the step is for.
    pub purpose: &'static str,
    /// `v_p - v_n`, V.
    pub differential_v: f64,
    /// `(v_p + v_n)/2`, V.
    pub common_mode_v: f64,
    /// Expected output: nominal, and between which ends with resistors, op-amp gains, rejections and
    /// offsets at their worst.
    pub output: NodeSpan,
    /// Inputs and outputs of every op amp, with the same at their worst.
    pub nodes: Vec<NodeSpan>,
}

/// A voltage that is expected at a node, V.
#[derive(Clone, Debug, PartialEq)]
pub struct NodeSpan {
    /// `A1 output`, `A1 + input`, `A1 - input`, `output`.
    pub name: String,
    /// At nominal values.
    pub nominal_v: f64,
    /// Least over the corners.
    pub low_v: f64,
    /// Greatest over the corners.
    pub high_v: f64,
}

/// Makes the sheet: zero, both ends of the difference, both ends of the common mode, and the same again
/// from the last to the first, so that a drift shows.
///
/// # Errors
/// [`StudyFault`] where the spec can't be designed.
pub fn plan(question: &Question, temperature_c: f64) -> Result<Plan, StudyFault> {
    let Built { question, circuit: bench, expected } = Built::new(question, temperature_c)?;
    let gain = f64::midpoint(expected.gain.0, expected.gain.1);
    let (difference, common) = ranges(&question, expected.reference_v, gain);
    let signals = signals(difference, common);
    let built = (&bench, &question.environment);
    let steps = steps(built, &signals, expected.reference_v).map_err(|fault| unsolved(&fault))?;
    let again: Vec<PlanStep> = steps.iter().rev().cloned().collect();
    let steps = [steps, again].concat();
    Ok(Plan {
        title: question.title.clone(),
        temperature_c,
        gain_needs_u_output_v: gain_needs(&question, &expected, &steps),
        rejection_needs_u_output_v: rejection_needs(&question, &expected, &steps),
        steps,
    })
}

type Ends = (f64, f64);

/// The signals of the spec; where it has none, an output of ±1 V, and ±1 V about the reference.
fn ranges(question: &Question, reference_v: f64, gain: f64) -> (Ends, Ends) {
    let swing = 1.0 / gain.abs();
    let difference = question.signal.differential.map_or((-swing, swing), |span| (span.low, span.high));
    let difference =
        if difference.0 < difference.1 { difference } else { (difference.0 - swing, difference.0 + swing) };
    let common =
        question.signal.common_mode.map_or((reference_v - 1.0, reference_v + 1.0), |span| (span.low, span.high));
    (difference, common)
}

fn signals(difference: Ends, common: Ends) -> Vec<(&'static str, (f64, f64))> {
    let zero = 0.0_f64.clamp(difference.0, difference.1);
    let middle = f64::midpoint(common.0, common.1);
    let mut all = vec![
        ("offset", (middle, zero)),
        ("gain, low end", (middle, difference.0)),
        ("gain, high end", (middle, difference.1)),
    ];
    if common.0 < common.1 {
        all.extend([("rejection, low end", (common.0, zero)), ("rejection, high end", (common.1, zero))]);
    }
    // A range that begins at zero has its zero already.
    all.dedup_by(|later, first| later.1 == first.1);
    all
}

fn steps(
    (bench, environment): (&Bench, &Environment),
    signals: &[(&'static str, (f64, f64))],
    reference_v: f64,
) -> Result<Vec<PlanStep>, BuildFault> {
    let Bench { stage, lot, .. } = bench;
    let quantities = stage.quantities(lot, 0.0);
    let drives: Vec<(f64, f64)> = signals.iter().map(|(_, signal)| *signal).collect();
    let spans = |name: &str, node: Node| -> Result<Vec<NodeSpan>, BuildFault> {
        let offset = offset_at(stage, node, environment.excursion(), environment.reach_k())?;
        let span = |range: NodeRange| NodeSpan {
            name: name.to_owned(),
            nominal_v: range.nominal_v,
            low_v: range.low_v - offset,
            high_v: range.high_v + offset,
        };
        Ok(node_ranges(stage, &quantities, node, &drives, reference_v)?.into_iter().map(span).collect())
    };
    let output = spans("output", stage.ports.output)?;
    let mut nodes: Vec<Vec<NodeSpan>> = vec![Vec::new(); signals.len()];
    if stage.circuit.topology != Topology::SingleChip {
        for terminal in terminals(stage, Supplies { positive_v: 0.0, negative_v: 0.0 }) {
            for (step, span) in nodes.iter_mut().zip(spans(&terminal.name, terminal.node)?) {
                step.push(span);
            }
        }
    }
    let step = |((&(purpose, (common_mode_v, differential_v)), output), nodes)| PlanStep {
        purpose,
        differential_v,
        common_mode_v,
        output,
        nodes,
    };
    Ok(signals.iter().zip(output).zip(nodes).map(step).collect())
}

/// Standard uncertainty of a slope `u·√(1/Σ(x - mean)²)`, turned round; an expanded uncertainty of a quarter.
fn needed(slope: f64, positions: &[f64]) -> Option<f64> {
    let mean = positions.iter().sum::<f64>() / positions.len() as f64;
    let squares: f64 = positions.iter().map(|x| (x - mean) * (x - mean)).sum();
    let need = slope / 4.0 / coverage_factor(0.95, f64::INFINITY) * squares.sqrt();
    (need > 0.0 && need.is_finite()).then_some(need)
}

fn gain_needs(question: &Question, expected: &Expected, steps: &[PlanStep]) -> Option<f64> {
    let middle = f64::midpoint(expected.gain.0, expected.gain.1);
    let spread = (expected.gain.1 - expected.gain.0) / 2.0;
    let error = question.limits.gain_error.map_or(spread, |limit| limit * middle.abs());
    needed(error, &steps.iter().map(|step| step.differential_v).collect::<Vec<_>>())
}

fn rejection_needs(question: &Question, expected: &Expected, steps: &[PlanStep]) -> Option<f64> {
    let middle = f64::midpoint(expected.gain.0, expected.gain.1);
    let ratio = crate::quantity::from_decibels(question.limits.rejection_db.or(expected.rejection_db)?);
    needed(middle.abs() / ratio, &steps.iter().map(|step| step.common_mode_v).collect::<Vec<_>>())
}
