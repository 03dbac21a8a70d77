//! The whole answer to a spec: values chosen, figures predicted, limits held.
use super::aim::{Aim, aim};
use super::bench::{Bench, unsolved};
use super::budget::{self, Basis};
use super::choose::Choice;
use super::power::powers;
use super::purchase::{Bought, buy};
use super::remedy::remedies;
use super::runner_up::runners_up;
use super::{
    Design, GainFigure, NotPredicted, Question, ResistorLine, Searched, Span, StudyFault, Told, Warning, assumed,
    bandwidth, cautions, chip, closed_form, filter, headroom, impedance, limits, nodes, noise, offset, rejection,
    review, yields,
};
use crate::designator::{Amp, Designator};
use crate::quantity::marking;
use crate::sizing::{Filled, Pick};
use crate::topology::BuildFault;
use std::collections::BTreeMap;

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
///
/// ```
/// use evenkeel::spec::{NoFiles, read};
/// use evenkeel::study::{DesignOptions, design};
///
/// let spec = read("s.toml", "[target]\ngain = 100\n[resistors]\ntolerance = \"0.1 %\"\n", &NoFiles)?;
/// let answer = design(&spec.channels[0].question, &DesignOptions::default())?;
/// assert!((answer.gain.nominal / 100.0 - 1.0).abs() < 0.01 && answer.rejection.worst_db > Some(90.0));
///
/// let spec = read("s.toml", "[target]\ngain = 0.5\n[circuit]\nstage_two_gain = 1\n", &NoFiles)?;
/// let fault = design(&spec.channels[0].question, &DesignOptions::default()).unwrap_err();
/// assert!(fault.no_value() && fault.key == "target.gain");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn design(question: &Question, options: &DesignOptions) -> Result<Design, StudyFault> {
    let aim = aim(question)?;
    let Bought { question, choice, purchase, candidates } = buy(question, &aim)?;
    let Choice { filled, bench, ranked, refused, search, .. } = choice;
    let question = &question;
    let mut design = figures(question, options, &aim, &filled, &bench).map_err(|fault| unsolved(&fault))?;
    design.runners_up = runners_up(&ranked, &refused, &filled, aim.gain);
    design.search = search;
    (design.purchase, design.candidates) = (purchase, candidates);
    design.rejection.closed_form_db = closed_form::estimate(&bench.stage.circuit, &bench.lot)?;
    design.rejection.closed_form_note = closed_form::note(design.rejection.worst_db, design.rejection.closed_form_db);
    design.limits = limits::lines(&question.limits, &limits::Predictions::of(&design));
    remedies(question, &aim, &filled, &mut design.limits)?;
    let noted = review::notes(question, &bench.stage, &bench.lot, &design).map_err(|fault| unsolved(&fault))?;
    design.warnings.extend(noted);
    design.met = design.limits.iter().all(|line| line.met == Some(true));
    Ok(design)
}

/// What is collected beside the figures.
#[derive(Default)]
struct Notes {
    not_predicted: Vec<NotPredicted>,
    warnings: Vec<Warning>,
}

impl Notes {
    fn take<T>(&mut self, told: Told<T>) -> Option<T> {
        self.not_predicted.extend(told.not_predicted);
        self.warnings.extend(told.warnings);
        told.figure
    }
}

fn figures(
    question: &Question,
    options: &DesignOptions,
    aim: &Aim,
    filled: &Filled,
    bench: &Bench,
) -> Result<Design, BuildFault> {
    let Bench { stage, lot, nominal, worst } = bench;
    let sweep = (options.sweep_hz.low, options.sweep_hz.high);
    let subject = rejection::Subject { stage, lot, nominal: *nominal, worst };
    let mut notes = Notes::default();
    let (rejection, at_interference) = rejection::figure(&subject, question.interference, sweep)?;
    let offset = notes.take(offset::figure(question, stage)?);
    let noise = notes.take(noise::figure(question, stage, aim.reference_v)?);
    let basis = Basis {
        stage,
        lot,
        target_gain: aim.gain,
        reference_v: aim.reference_v,
        dc: worst,
        at_interference: at_interference.as_ref(),
        offset: offset.as_ref(),
        noise_peak_to_peak_v: noise.as_ref().and_then(|figure| figure.peak_to_peak_v),
    };
    if question.limits.rejection_at_interference_db.is_some() && at_interference.is_none() {
        let (figure, needs) = ("rejection.at_interference", "interference.frequency");
        notes.not_predicted.push(NotPredicted { figure: figure.to_owned(), needs: needs.to_owned() });
    }
    let budget = notes.take(budget::figure(question, &basis)?);
    notes.warnings.extend(chip::warnings(stage));
    Ok(Design {
        title: question.title.clone(),
        topology: question.topology,
        met: true,
        surroundings: stage.circuit.surroundings,
        resistors: resistor_lines(question, filled, &powers(question, stage, aim.reference_v)?),
        opamps: titles(question),
        search: Searched { proven: true, out_of_reach: Vec::new(), note: String::new() },
        runners_up: Vec::new(),
        candidates: Vec::new(),
        purchase: None,
        gain: gain_figure(aim.gain, bench),
        reference_v: aim.reference_v,
        reference_chosen: aim.reference_chosen,
        nodes: notes.take(nodes::figure(question, stage, aim.reference_v)?),
        rejection,
        input_filter: notes.take(filter::figure(question, stage)?),
        headroom: notes.take(headroom::figure(question, stage, lot, aim.reference_v)?),
        impedance: Some(impedance::figure(stage)?),
        offset,
        noise,
        bandwidth: notes.take(bandwidth::figure(question, stage)?),
        yields: notes.take(yields::told(question, aim, bench)?),
        budget,
        limits: Vec::new(),
        not_predicted: notes.not_predicted,
        warnings: notes.warnings,
        cautions: cautions(question),
        assumed_ideal: assumed::ideal(question),
    })
}

fn titles(question: &Question) -> BTreeMap<Amp, String> {
    let title = |amp: &Amp| Some((*amp, question.opamps.get(amp)?.title.clone()?));
    question.topology.amps().iter().filter_map(title).collect()
}

fn resistor_lines(question: &Question, filled: &Filled, powers: &BTreeMap<Designator, f64>) -> Vec<ResistorLine> {
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
            power_w: powers.get(&name).copied(),
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
