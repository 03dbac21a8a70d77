//! Worst-case rejection without a spec, and what would guarantee one.
use super::rejection::decibels;
use super::{NeedAnswer, RejectAnswer, RejectQuestion, StudyFault};
use crate::corners;
use crate::designator::Designator::{R1, R2, R3, R4, RF1, RF2, RG};
use crate::designator::{Ohms, Topology};
use crate::part::{Grade, Matched, OpAmp};
use crate::stage::{Circuit, Lot, Surroundings};
use crate::topology::{self, BuildFault};

/// All resistors but RG, unless a ratio asks for more, Ω.
const EACH_OHM: f64 = 10e3;
/// Tolerances are below 100 %.
const LOOSEST: f64 = 0.999;
/// Where the common-mode error of an op amp is limited (figures.md, section 4), V/V.
const LEAST_REJECTION: f64 = 10.0;

/// Answers `reject`.
///
/// All resistors are 10 kΩ except RG; ratios as the contract has them. What is not given is ideal.
///
/// # Errors
/// A gain the circuit can't have, a topology that is not made of resistors, a match without four ratio resistors.
///
/// ```
/// use evenkeel::designator::Topology;
/// use evenkeel::study::{RejectQuestion, reject};
///
/// let mut question = RejectQuestion {
///     topology: Topology::Difference,
///     gain: 1.0,
///     tolerance: Some(0.001),
///     match_fraction: None,
///     opamp_rejection: None,
///     stage_two_gain: 1.0,
///     need_db: None,
/// };
/// // (1 + 1)/(4 · 0.1 %) = 500, which is 54 dB
/// assert!(reject(&question)?.worst_db.is_some_and(|db| (db - 53.98).abs() < 0.05));
/// question.gain = -1.0;
/// assert!(reject(&question).is_err());
/// # Ok::<(), evenkeel::study::StudyFault>(())
/// ```
pub fn reject(question: &RejectQuestion) -> Result<RejectAnswer, StudyFault> {
    let ohms = resistors(question)?;
    let answer = |q: &RejectQuestion| worst(q, &ohms);
    let ratio = answer(question)?;
    let need = question.need_db.map(|need_db| inverse(question, &ohms, need_db, ratio)).transpose()?;
    let closed_form_db = closed_form(question, &ohms)?;
    let worst_db = decibels(ratio);
    Ok(RejectAnswer {
        topology: question.topology,
        gain: question.gain,
        worst_db,
        resistors_db: decibels(answer(&RejectQuestion { opamp_rejection: None, ..*question })?),
        opamps_db: decibels(answer(&RejectQuestion { tolerance: None, match_fraction: None, ..*question })?),
        closed_form_db,
        closed_form_note: super::closed_form::note(worst_db, closed_form_db),
        need,
    })
}

fn resistors(question: &RejectQuestion) -> Result<Ohms, StudyFault> {
    let RejectQuestion { topology, gain, stage_two_gain, .. } = *question;
    let below = |least: f64| {
        Err(StudyFault {
            code: "gain-too-low",
            key: "--gain".to_owned(),
            message: format!("`{topology}` has a gain of {least} or more; {gain} was asked for"),
            help: "ask for more gain, or for another topology (`difference` can attenuate)".to_owned(),
        })
    };
    let mut ohms: Ohms = [R1, R2, R3, R4].into_iter().map(|name| (name, EACH_OHM)).collect();
    match topology {
        Topology::Difference | Topology::BufferedDifference => {
            ohms.set(R2, Some(EACH_OHM * gain));
            ohms.set(R4, Some(EACH_OHM * gain));
        }
        Topology::ThreeOpAmp => {
            let first = gain / stage_two_gain;
            if first < 1.0 {
                return below(stage_two_gain);
            }
            ohms.set(R2, Some(EACH_OHM * stage_two_gain));
            ohms.set(R4, Some(EACH_OHM * stage_two_gain));
            ohms.set(RF1, Some(EACH_OHM));
            ohms.set(RF2, Some(EACH_OHM));
            ohms.set(RG, (first > 1.0).then(|| 2.0 * EACH_OHM / (first - 1.0)));
        }
        Topology::TwoOpAmp if gain < 2.0 => {
            if gain <= 1.0 {
                return below(1.0);
            }
            ohms.set(R1, Some(EACH_OHM * (gain - 1.0)));
            ohms.set(R4, Some(EACH_OHM * (gain - 1.0)));
        }
        Topology::TwoOpAmp => ohms.set(RG, (gain > 2.0).then(|| 2.0 * EACH_OHM / (gain - 2.0))),
        Topology::SingleChip => {
            return Err(StudyFault {
                code: "no-resistors-to-vary",
                key: "--topology".to_owned(),
                message: "the rejection of a `single-chip` stands in its data sheet; no resistor decides it".to_owned(),
                help: "use `design` with a `[chip]` section, or a discrete topology here".to_owned(),
            });
        }
    }
    Ok(ohms)
}

fn circuit_and_lot(question: &RejectQuestion, ohms: &Ohms) -> (Circuit, Lot) {
    let topology = question.topology;
    let opamp = OpAmp { rejection: question.opamp_rejection, ..OpAmp::default() };
    let circuit = Circuit {
        topology,
        ohms: *ohms,
        opamps: topology.amps().iter().map(|&amp| (amp, opamp.clone())).collect(),
        chip: None,
        surroundings: Surroundings::default(),
    };
    let grade = Grade { tolerance: question.tolerance.unwrap_or(0.0), tempco_per_k: 0.0 };
    let network = question.match_fraction.map(|match_fraction| Matched {
        members: vec![R1, R2, R3, R4],
        match_fraction,
        match_tempco_per_k: 0.0,
        grade: None,
    });
    let lot = Lot {
        grades: topology.resistors().iter().map(|&name| (name, grade)).collect(),
        networks: network.into_iter().collect(),
        ..Lot::default()
    };
    (circuit, lot)
}

fn worst(question: &RejectQuestion, ohms: &Ohms) -> Result<f64, StudyFault> {
    let (circuit, lot) = circuit_and_lot(question, ohms);
    let run = || -> Result<f64, BuildFault> {
        let stage = topology::build(&circuit)?;
        Ok(corners::least_rejection(&stage, &stage.quantities(&lot, 0.0))?)
    };
    run().map_err(|fault| super::unsolved(&fault))
}

fn closed_form(question: &RejectQuestion, ohms: &Ohms) -> Result<Option<f64>, StudyFault> {
    let (circuit, lot) = circuit_and_lot(question, ohms);
    super::closed_form::estimate(&circuit, &lot)
}

/// Both inverses by bisection on the exact worst case.
fn inverse(question: &RejectQuestion, ohms: &Ohms, need_db: f64, as_given: f64) -> Result<NeedAnswer, StudyFault> {
    let need = crate::quantity::from_decibels(need_db);
    let with_tolerance = |t: f64| worst(&RejectQuestion { tolerance: Some(t), ..*question }, ohms);
    let with_opamp = |ratio: f64| worst(&RejectQuestion { opamp_rejection: Some(ratio), ..*question }, ohms);
    let loosest_tolerance = if with_tolerance(0.0)? < need {
        None
    } else if with_tolerance(LOOSEST)? >= need {
        Some(LOOSEST)
    } else {
        Some(bisect(0.0, LOOSEST, |t| Ok(with_tolerance(t)? >= need))?)
    };
    let perfect = worst(&RejectQuestion { opamp_rejection: None, ..*question }, ohms)?;
    let least = if perfect <= need {
        None
    } else if with_opamp(LEAST_REJECTION)? >= need {
        Some(LEAST_REJECTION)
    } else {
        // On 1/ratio, where the answer is nearly linear; the good end is 0.
        let c = bisect(0.0, 1.0 / LEAST_REJECTION, |c| Ok(c == 0.0 || with_opamp(1.0 / c)? >= need))?;
        Some(1.0 / c)
    };
    Ok(NeedAnswer {
        need_db,
        loosest_tolerance,
        least_opamp_rejection_db: least.map(crate::quantity::decibels),
        loosest_match: loosest_match(question, ohms, need)?,
        least_stage_one_gain: least_stage_one_gain(question, need)?,
        met: as_given >= need,
        reachable: loosest_tolerance.is_some() && least.is_some(),
        why: match (loosest_tolerance, least) {
            (Some(_), Some(_)) => None,
            (None, Some(_)) => Some("Even perfect resistors leave too little: the op amps alone stay below it."),
            (Some(_), None) => Some("Even ideal op amps leave too little: the resistors alone stay below it."),
            (None, None) => Some("The resistors alone stay below it, and so do the op amps."),
        },
    })
}

fn loosest_match(question: &RejectQuestion, ohms: &Ohms, need: f64) -> Result<Option<f64>, StudyFault> {
    if question.match_fraction.is_none() {
        return Ok(None);
    }
    let holds = |matched: f64| Ok(worst(&RejectQuestion { match_fraction: Some(matched), ..*question }, ohms)? >= need);
    if !holds(0.0)? {
        return Ok(None);
    }
    if holds(LOOSEST)? { Ok(Some(LOOSEST)) } else { bisect(0.0, LOOSEST, holds).map(Some) }
}

/// The gain of the first stage, the second one as it is, up to a million.
fn least_stage_one_gain(question: &RejectQuestion, need: f64) -> Result<Option<f64>, StudyFault> {
    const GREATEST: f64 = 1e6;
    if question.topology != Topology::ThreeOpAmp {
        return Ok(None);
    }
    let holds = |first: f64| -> Result<bool, StudyFault> {
        let asked = RejectQuestion { gain: first * question.stage_two_gain, ..*question };
        Ok(worst(&asked, &resistors(&asked)?)? >= need)
    };
    if !holds(GREATEST)? {
        return Ok(None);
    }
    if holds(1.0)? { Ok(Some(1.0)) } else { bisect(GREATEST, 1.0, holds).map(Some) }
}

/// The last value between a good and a bad end that is still good, to the last bits.
fn bisect(mut good: f64, mut bad: f64, is_good: impl Fn(f64) -> Result<bool, StudyFault>) -> Result<f64, StudyFault> {
    for _ in 0..200 {
        let middle = good + (bad - good) / 2.0;
        if middle == good || middle == bad || (bad - good).abs() <= 1e-12 * good.abs() {
            break;
        }
        if is_good(middle)? {
            good = middle;
        } else {
            bad = middle;
        }
    }
    Ok(good)
}
