//! The whole answer to a spec: values chosen, figures predicted, limits held.
use super::{
    Design, GainFigure, GainWish, NotPredicted, Question, ResistorLine, Span, StudyFault, assumed, closed_form, fill,
    limits, rejection,
};
use crate::corners::{self, WorstCase};
use crate::designator::Designator;
use crate::predict::{self, Gains};
use crate::quantity::marking;
use crate::sizing::{Filled, Pick};
use crate::stage::{Circuit, Lot, Stage, Surroundings};
use crate::topology::{self, BuildFault};

/// What a run of `design` is told beside the spec.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DesignOptions {
    /// Ends of the sweep, Hz, both above zero.
    pub sweep_hz: Span,
}

impl Default for DesignOptions {
    fn default() -> Self {
        Self { sweep_hz: Span { low: 1.0, high: 1e6 } }
    }
}

/// Chooses what the spec leaves open and predicts the figures.
///
/// # Errors
/// [`StudyFault`] naming the key of the spec when no standard value can do it, or when the spec
/// does not say enough to design anything.
pub fn design(question: &Question, options: &DesignOptions) -> Result<Design, StudyFault> {
    let aim = aim(question)?;
    let (filled, bench) = fitted(question, aim.gain)?;
    let figures = || -> Result<Design, BuildFault> {
        let sweep = (options.sweep_hz.low, options.sweep_hz.high);
        let subject =
            rejection::Subject { stage: &bench.stage, lot: &bench.lot, nominal: bench.nominal, worst: &bench.worst };
        Ok(Design {
            title: question.title.clone(),
            topology: question.topology,
            met: true,
            resistors: resistor_lines(question, &filled),
            gain: gain_figure(aim.gain, &bench),
            reference_v: aim.reference_v,
            reference_chosen: aim.reference_chosen,
            rejection: rejection::figure(&subject, question.interference, sweep)?,
            limits: Vec::new(),
            not_predicted: not_predicted(),
            warnings: Vec::new(),
            cautions: Vec::new(),
            assumed_ideal: assumed::ideal(question),
        })
    };
    let mut design = figures().map_err(|fault| unsolved(&fault))?;
    design.rejection.closed_form_db = closed_form::estimate(&bench.stage.circuit, &bench.lot)?;
    design.rejection.closed_form_note = closed_form::note(design.rejection.worst_db, design.rejection.closed_form_db);
    design.limits = limits::lines(&question.limits, &design);
    design.met = design.limits.iter().all(|line| line.met == Some(true));
    Ok(design)
}

/// Values for a gain taken from the EMFs: what source loading and finite op amps take away is asked
/// for in addition, as long as that brings the nominal gain nearer.
fn fitted(question: &Question, gain: f64) -> Result<(Filled, Bench), StudyFault> {
    let filled = fill(question, gain)?;
    let bench = Bench::new(question, &filled)?;
    let off = |bench: &Bench| (bench.nominal.differential / gain - 1.0).abs();
    let loss = filled.gain / bench.nominal.differential;
    if loss > 0.0
        && loss.is_finite()
        && let Ok(again) = fill(question, gain * loss)
        && again != filled
    {
        let loaded = Bench::new(question, &again)?;
        if off(&loaded) < off(&bench) {
            return Ok((again, loaded));
        }
    }
    Ok((filled, bench))
}

/// A circuit that can't be wired or solved, as a fault of the spec.
pub(super) fn unsolved(fault: &BuildFault) -> StudyFault {
    StudyFault {
        code: "no-solution",
        key: "circuit".to_owned(),
        message: fault.to_string(),
        help: "check the fixed values and what stands around the amplifier".to_owned(),
    }
}

/// The gain and the reference that the target means.
struct Aim {
    gain: f64,
    reference_v: f64,
    reference_chosen: bool,
}

fn aim(question: &Question) -> Result<Aim, StudyFault> {
    let given = question.reference_v;
    let resting = given.or_else(|| resting_reference(question)).unwrap_or(0.0);
    match question.target.gain {
        GainWish::Ratio(gain) => Ok(Aim { gain, reference_v: resting, reference_chosen: given.is_none() }),
        GainWish::Output(output) => {
            let differential = question.signal.differential.filter(|span| span.width() > 0.0).ok_or_else(|| {
                fault(
                    "target.output",
                    "an output range needs a differential range to fill it with",
                    "give `differential` under [signal], or `gain` under [target]",
                )
            })?;
            match given {
                None => {
                    let gain = output.width() / differential.width();
                    let reference_v = output.low - gain * differential.low;
                    positive(gain)?;
                    Ok(Aim { gain, reference_v, reference_chosen: true })
                }
                Some(reference_v) => {
                    let gain = greatest_gain(output, differential, reference_v);
                    positive(gain)?;
                    Ok(Aim { gain, reference_v, reference_chosen: false })
                }
            }
        }
    }
}

fn positive(gain: f64) -> Result<(), StudyFault> {
    if gain > 0.0 && gain.is_finite() {
        return Ok(());
    }
    Err(fault(
        "target.output",
        "no gain above zero keeps the output inside this range with the reference given",
        "put the reference inside the output range, or leave `reference` out so that it is chosen",
    ))
}

/// The largest gain that keeps `reference + gain * differential` inside `output`.
fn greatest_gain(output: Span, differential: Span, reference_v: f64) -> f64 {
    let up = if differential.high > 0.0 { (output.high - reference_v) / differential.high } else { f64::INFINITY };
    let down = if differential.low < 0.0 { (output.low - reference_v) / differential.low } else { f64::INFINITY };
    // A range on one side of zero also must not leave the output range at its near end.
    let fits = |gain: f64| {
        let (a, b) = (reference_v + gain * differential.low, reference_v + gain * differential.high);
        let slack = 1e-12 * output.width();
        a >= output.low - slack && b <= output.high + slack
    };
    let gain = up.min(down);
    if fits(gain) { gain } else { 0.0 }
}

/// Where the output rests when the spec does not say: 0 V inside a split supply, else mid-supply.
fn resting_reference(question: &Question) -> Option<f64> {
    let supply = question.supply?;
    Some(if supply.negative_v < 0.0 && supply.positive_v > 0.0 {
        0.0
    } else {
        f64::midpoint(supply.positive_v, supply.negative_v)
    })
}

/// The circuit with its values, solved nominally and over its box at dc.
pub(super) struct Bench {
    pub(super) stage: Stage,
    pub(super) lot: Lot,
    pub(super) nominal: Gains<f64>,
    pub(super) worst: WorstCase,
}

impl Bench {
    pub(super) fn new(question: &Question, filled: &Filled) -> Result<Self, StudyFault> {
        let circuit = circuit(question, filled);
        let lot = lot(question);
        let solve = || -> Result<Self, BuildFault> {
            let stage = topology::build(&circuit)?;
            let nominal = predict::gains::<f64>(&stage, 0.0)?;
            let worst = corners::at_dc(&stage, &stage.quantities(&lot, 0.0))?;
            Ok(Self { stage, lot, nominal, worst })
        };
        solve().map_err(|fault| unsolved(&fault))
    }
}

fn circuit(question: &Question, filled: &Filled) -> Circuit {
    let amps = question.topology.amps();
    Circuit {
        topology: question.topology,
        ohms: filled.ohms(),
        opamps: amps.iter().filter_map(|amp| Some((*amp, question.opamps.get(amp)?.clone()))).collect(),
        surroundings: Surroundings {
            source: question.source,
            filter: question.filter,
            strays: question.strays,
            reference_resistance_ohm: question.reference_resistance_ohm,
        },
    }
}

/// How far the parts of a question may be off.
pub(super) fn lot(question: &Question) -> Lot {
    let resistors = &question.resistors;
    Lot {
        grades: Designator::ALL.into_iter().map(|name| (name, resistors.grade_of(name))).collect(),
        networks: resistors.networks.clone(),
        bias_return_tolerance: question.source.bias_return_tolerance.unwrap_or(resistors.grade.tolerance),
        reach_k: question.environment.reach_k(),
    }
}

fn resistor_lines(question: &Question, filled: &Filled) -> Vec<ResistorLine> {
    let line = |name: Designator, pick: &Pick, chosen: bool| {
        let grade = question.resistors.grade_of(name);
        ResistorLine {
            name,
            kind: pick.kind(),
            ohm: pick.ohm(),
            parts_ohm: pick.parts_ohm().to_vec(),
            marking: pick.ohm().and_then(marking::code),
            tolerance: grade.tolerance,
            tempco_per_k: grade.tempco_per_k,
            chosen,
        }
    };
    filled.values.iter().map(|value| line(value.name, &value.pick, value.chosen)).collect()
}

fn gain_figure(target: f64, bench: &Bench) -> GainFigure {
    let error = |gain: f64| gain / target - 1.0;
    GainFigure {
        target,
        nominal: bench.nominal.differential,
        error_nominal: error(bench.nominal.differential),
        error_low: error(bench.worst.gain_low),
        error_high: error(bench.worst.gain_high),
        method: bench.worst.gain_method,
    }
}

/// Figures of the contract that this version does not tell yet.
fn not_predicted() -> Vec<NotPredicted> {
    ["headroom", "impedance", "offset", "noise", "bandwidth", "budget"]
        .map(|figure| NotPredicted { figure: figure.to_owned(), needs: "a later version".to_owned() })
        .into()
}

pub(super) fn fault(key: &str, message: &str, help: &str) -> StudyFault {
    StudyFault { code: "no-aim", key: key.to_owned(), message: message.to_owned(), help: help.to_owned() }
}
