//! The voltages a meter would find on the drawing, nominal parts and one stated stimulus.
use super::{Question, Span, Told};
use crate::designator::Amp;
use crate::network::Node;
use crate::quantity::or_zero;
use crate::stage::{Leg, Role, Stage};
use crate::topology::BuildFault;

/// Nominal node voltages at dc under one stimulus; V.
///
/// The stimulus is the end of the differential range that is farther from zero, at the middle of the
/// common-mode range; offsets and common-mode errors of op amps do not count, finite open-loop gain and loading do.
#[derive(Clone, Debug, PartialEq)]
pub struct NodesFigure {
    /// The stimulus: difference of the two EMFs.
    pub differential_v: f64,
    /// The stimulus: their mean.
    pub common_mode_v: f64,
    /// Every node of the drawing: the inputs, what lies before them, the op amps, and the output last.
    pub voltages: Vec<NodeVoltage>,
}

/// One node.
#[derive(Clone, Debug, PartialEq)]
pub struct NodeVoltage {
    /// `+ input`, `- input`, `+ source`, `+ line`, `A1 output`, `A1 - input`, `output`.
    ///
    /// `source` is the EMF of a wire, where something lies between it and the input; `line` is where its
    /// source resistance ends and the input filter begins, where both are there.
    pub node: String,
    /// V.
    pub v: f64,
}

/// Node voltages of `stage` with its reference at `reference_v`.
///
/// Needs `signal.differential` and `signal.common_mode`.
///
/// # Errors
/// [`BuildFault`] when the circuit has no solution.
pub fn figure(question: &Question, stage: &Stage, reference_v: f64) -> Result<Told<NodesFigure>, BuildFault> {
    let signal = &question.signal;
    let (Some(differential), Some(common)) = (signal.differential, signal.common_mode) else {
        let needs = [
            ("signal.differential", signal.differential.is_none()),
            ("signal.common_mode", signal.common_mode.is_none()),
        ];
        let needs: Vec<&str> = needs.into_iter().filter_map(|(key, missing)| missing.then_some(key)).collect();
        return Ok(Told::missing("nodes", &needs));
    };
    let (differential_v, common_mode_v) = (far_end(differential), f64::midpoint(common.low, common.high));
    let solver = stage.network.at::<f64>(0.0)?;
    let [by_difference, by_common, by_reference] =
        [stage.differential(), stage.common(), stage.reference()].map(|drive| solver.state(&drive));
    let at = |(node, place): (String, Node)| {
        let parts = [
            by_difference.voltage(place) * differential_v,
            by_common.voltage(place) * common_mode_v,
            by_reference.voltage(place) * reference_v,
        ];
        let v = or_zero(parts.iter().sum(), parts.iter().map(|part| part.abs()).sum());
        NodeVoltage { node, v }
    };
    let voltages = named(stage).into_iter().map(at).collect();
    Ok(Told::figure(NodesFigure { differential_v, common_mode_v, voltages }))
}

fn far_end(span: Span) -> f64 {
    if span.high.abs() >= span.low.abs() { span.high } else { span.low }
}

/// Every node once, under the name nearest to the inputs or, of the last op amp, the output.
fn named(stage: &Stage) -> Vec<(String, Node)> {
    let output = stage.ports.output;
    let mut all = vec![("+ input".to_owned(), stage.ports.inputs.0), ("- input".to_owned(), stage.ports.inputs.1)];
    for (sign, leg, emf) in [('+', Leg::Positive, stage.ports.positive), ('-', Leg::Negative, stage.ports.negative)] {
        let behind = |element| stage.network.ends(element);
        let begins = stage.element(Role::FilterResistor(leg)).and_then(behind).map(|(line, _)| line);
        for (word, node) in [("source", behind(emf).map(|(plus, _)| plus)), ("line", begins)] {
            if let Some(node) = node.filter(|node| all.iter().all(|(_, known)| known != node)) {
                all.push((format!("{sign} {word}"), node));
            }
        }
    }
    let amps = stage.circuit.topology.amps();
    let pins = |amp: &Amp| stage.element(Role::Amp(*amp)).and_then(|one| stage.network.pins(one)).map(|at| (*amp, at));
    for (amp, (plus, minus, out)) in amps.iter().filter_map(pins) {
        for (word, node) in [("output", out), ("+ input", plus), ("- input", minus)] {
            if node != output && all.iter().all(|(_, known)| *known != node) {
                all.push((format!("{amp} {word}"), node));
            }
        }
    }
    all.push(("output".to_owned(), output));
    all
}
