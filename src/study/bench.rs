//! The circuit of a question with its values, ready to be asked.
use super::{Question, StudyFault};
use crate::corners::{self, Method, WorstCase};
use crate::designator::Designator;
use crate::predict::{self, Gains};
use crate::sizing::Filled;
use crate::stage::{Circuit, Lot, Stage, Surroundings};
use crate::topology::{self, BuildFault};

/// The question with grades and op amps decided as `design` decides them, and its circuit.
pub(super) fn fitted(question: &Question, aim: &super::aim::Aim) -> Result<(Question, Bench), StudyFault> {
    let bought = super::purchase::buy(question, aim)?;
    Ok((bought.question, bought.choice.bench))
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

/// The circuit with its values, solved nominally and over its box at dc.
pub(super) struct Bench {
    pub(super) stage: Stage,
    pub(super) lot: Lot,
    pub(super) nominal: Gains<f64>,
    pub(super) worst: WorstCase,
}

impl Bench {
    /// The nominal gain of a set of values from the EMFs, V/V.
    pub(super) fn gain(question: &Question, filled: &Filled) -> Result<f64, StudyFault> {
        let solve = || -> Result<f64, BuildFault> {
            let stage = topology::build(&circuit(question, filled))?;
            Ok(predict::gain(&stage)?)
        };
        solve().map_err(|fault| unsolved(&fault))
    }

    /// The same without its corners: what is worst there is taken to be nominal.
    pub(super) fn nominal(question: &Question, filled: &Filled) -> Result<Self, StudyFault> {
        let solve = || -> Result<Self, BuildFault> {
            let stage = topology::build(&circuit(question, filled))?;
            let nominal = predict::gains::<f64>(&stage, 0.0)?;
            let worst = WorstCase {
                rejection: f64::INFINITY,
                at: Vec::new(),
                method: Method::Searched,
                common: 0.0,
                gain_low: nominal.differential,
                gain_high: nominal.differential,
                gain_method: Method::Searched,
            };
            Ok(Self { stage, lot: lot(question), nominal, worst })
        };
        solve().map_err(|fault| unsolved(&fault))
    }

    pub(super) fn new(question: &Question, filled: &Filled) -> Result<Self, StudyFault> {
        let circuit = circuit(question, filled);
        let lot = lot(question);
        let solve = || -> Result<Self, BuildFault> {
            let stage = topology::build(&circuit)?;
            let (nominal, worst) = corners::nominal_and_worst(&stage, &stage.quantities(&lot, 0.0))?;
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
        chip: question.chip.clone(),
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
