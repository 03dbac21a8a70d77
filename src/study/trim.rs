//! Trimming gain and rejection: what to put in, what it reaches, what is left, and how it is done.
use super::aim::{Aim, aim};
use super::bench::{Bench, unsolved};
use super::purchase::buy;
use super::rejection::decibels;
use super::trimmer::{Sheet, TrimPart, needed, part};
use super::{Question, StudyFault};
use crate::corners;
use crate::designator::{Designator, Topology};
use crate::part::{Grade, Matched};
use crate::quantity::{Unit, rounded};
use crate::stage::{Lot, Stage};
use crate::topology::{self, BuildFault};

/// The answer to `trim`.
#[derive(Clone, Debug, PartialEq)]
pub struct TrimAnswer {
    /// Title of the spec.
    pub title: String,
    /// The circuit.
    pub topology: Topology,
    /// Trimming the gain; `None`: see `notes`.
    pub gain: Option<Trimmed>,
    /// Trimming the rejection.
    pub rejection: Option<Trimmed>,
    /// What to do, in order, with the reading to expect.
    pub steps: Vec<String>,
    /// Why something can't be trimmed.
    pub notes: Vec<String>,
    /// The untrimmed circuit: greatest gain error, a fraction.
    pub untrimmed_error: f64,
    /// The untrimmed circuit: least rejection, dB.
    pub untrimmed_db: Option<f64>,
}

/// One adjustment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trimmed {
    /// The parts.
    pub part: TrimPart,
    /// The least change every board reaches, relative to nominal: of the gain, or of the leg's resistance.
    pub range_low: f64,
    /// The greatest change every board reaches.
    pub range_high: f64,
    /// Gain: the smallest step, a fraction. Rejection: the one that a single step leaves at most, dB.
    pub resolution: Option<f64>,
    /// Gain: error left by setting and temperature, a fraction. Rejection: what is left, dB; `None` unbounded.
    pub after: Option<f64>,
    /// False where the circuit is no better trimmed than untrimmed: then it is no advice, and no step is given.
    pub worthwhile: bool,
    /// True where temperature takes more of what trimming gains than the smallest step does.
    pub drifts: bool,
}

/// Answers `trim` for the values that `design` would choose.
///
/// The gain trimmer makes up RG; the rejection trimmer stands in R4, the leg from the non-inverting input to
/// the reference (`two-op-amp`: R1). Its range covers the worst corner of everything else.
///
/// Resistances are in Ω, gain errors in fractions, rejections in dB. That a range has to cover every corner of
/// everything else is common practice; what the spec does not say of the trimmer is that of a customary multiturn one.
///
/// # Errors
/// As [`super::design()`]. Where nothing can be trimmed, or trimming betters nothing, `notes` say why.
///
/// ```
/// use evenkeel::designator::Designator;
/// use evenkeel::spec::{NoFiles, read};
/// use evenkeel::study::trim;
///
/// let text = "[target]\ngain = 100\n[circuit]\nstage_two_gain = 1\n[resistors]\ntolerance = \"1 %\"\n";
/// let answer = trim(&read("s.toml", text, &NoFiles)?.channels[0].question)?;
/// // 100 · (1 + 1)/(4 · 0.01) is 74.0 dB, the handbooks' estimate of four resistors of 1 %
/// let before = answer.untrimmed_db.unwrap_or(f64::INFINITY);
/// assert!((before - 74.0).abs() < 0.3);
/// let trimmed = answer.rejection.ok_or("it can be trimmed")?;
/// assert!(trimmed.part.name == Designator::R4 && trimmed.worthwhile);
/// assert!(trimmed.after.is_none_or(|after| after > before));
/// // what it has to make up lies inside what every board reaches
/// let part = trimmed.part;
/// assert!(part.least_ohm < part.needed_low_ohm && part.needed_high_ohm < part.greatest_ohm);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn trim(question: &Question) -> Result<TrimAnswer, StudyFault> {
    let aim = aim(question)?;
    let bought = buy(question, &aim)?;
    let (question, bench) = (&bought.question, &bought.choice.bench);
    let mut notes = Vec::new();
    let room = Room { question, aim, bench };
    let mut rejection = room.rejection(&mut notes)?;
    let mut gain = room.gain(&mut notes)?;
    let worst = &bench.worst;
    let error = |gain: f64| (gain / aim.gain - 1.0).abs();
    let untrimmed_error = error(worst.gain_low).max(error(worst.gain_high));
    let untrimmed_db = decibels(worst.rejection);
    if let Some(one) = &mut gain {
        one.worthwhile = one.after.is_some_and(|after| after < untrimmed_error);
        let (unit, before) = (Unit::Fraction, Some(untrimmed_error));
        notes.extend(room.against(one, "error of the gain", before, unit));
    }
    if let Some(one) = &mut rejection {
        // unbounded before can't be bettered
        one.worthwhile = untrimmed_db.is_some_and(|before| one.after.is_none_or(|after| after > before));
        notes.extend(room.against(one, "rejection", untrimmed_db, Unit::Decibel));
    }
    let advised = |one: &Option<Trimmed>| one.filter(|one| one.worthwhile);
    Ok(TrimAnswer {
        title: question.title.clone(),
        topology: question.topology,
        steps: room.steps(advised(&gain).as_ref(), advised(&rejection).as_ref())?,
        gain,
        rejection,
        notes,
        untrimmed_error,
        untrimmed_db,
    })
}

struct Room<'a> {
    question: &'a Question,
    aim: Aim,
    bench: &'a Bench,
}

/// The leg that trims rejection.
const fn leg(topology: Topology) -> Option<Designator> {
    match topology {
        Topology::Difference | Topology::BufferedDifference | Topology::ThreeOpAmp => Some(Designator::R4),
        Topology::TwoOpAmp => Some(Designator::R1),
        Topology::SingleChip => None,
    }
}

impl Room<'_> {
    /// Why a trim that betters nothing is not to be had.
    fn against(&self, one: &Trimmed, what: &str, before: Option<f64>, unit: Unit) -> Option<String> {
        if one.worthwhile {
            return None;
        }
        let name = one.part.name;
        let show = |x: Option<f64>| x.map_or_else(|| "unbounded".to_owned(), |x| rounded(x, unit, 4));
        let parted = self.question.resistors.networks.iter().any(|network| network.members.contains(&name));
        let cause = match (one.drifts, parted) {
            (true, true) => {
                format!("{name} leaves its network, and fixed resistor and trimmer drift apart from the others")
            }
            (true, false) => "fixed resistor and trimmer drift more over temperature than is trimmed away".to_owned(),
            (false, _) => "the smallest step of the trimmer is coarser than what there is to trim".to_owned(),
        };
        Some(format!(
            "don't trim {name}: a {what} of {} untrimmed would be one of {} trimmed; {cause}",
            show(before),
            show(one.after)
        ))
    }

    fn gain(&self, notes: &mut Vec<String>) -> Result<Option<Trimmed>, StudyFault> {
        let topology = self.question.topology;
        if !topology.gain_set_by_one() {
            notes.push(format!(
                "the gain of `{topology}` takes two matched resistors: one trimmer would spoil the rejection"
            ));
            return Ok(None);
        }
        if self.bench.stage.circuit.ohms.get(Designator::RG).is_none() {
            notes.push("RG is open: there is nothing to trim".to_owned());
            return Ok(None);
        }
        let target = self.aim.gain;
        let found = needed(&self.bench.stage, &self.bench.lot, Designator::RG, |gains| gains.0 / target - 1.0);
        let Some(needed) = found.map_err(|fault| unsolved(&fault))? else {
            notes.push("no value of RG makes the gain at every corner".to_owned());
            return Ok(None);
        };
        let Some(part) = part(self.question, Designator::RG, needed, self.bench.lot.reach_k)? else {
            notes.push("no customary trimmer reaches the range with a tenth to spare".to_owned());
            return Ok(None);
        };
        let run = || -> Result<Trimmed, BuildFault> {
            let gain = |ohm: f64| self.with(Designator::RG, ohm).map(|stage| stage.1.differential / target - 1.0);
            let middle = f64::midpoint(needed.0, needed.1);
            let step = (gain(middle + part.step_ohm)? - gain(middle)?).abs();
            let (mut stage, nominal) = self.with(Designator::RG, middle)?;
            if let Some(chip) = &mut stage.circuit.chip {
                // what the maker leaves is trimmed out; its drift is not
                chip.gain_error.clear();
                stage = topology::build(&stage.circuit)?;
            }
            let worst = corners::at_dc(&stage, &stage.quantities(&self.warm(&part), 0.0))?;
            let drift = (worst.gain_high / nominal.differential - 1.0).max(1.0 - worst.gain_low / nominal.differential);
            Ok(Trimmed {
                part,
                range_low: gain(part.greatest_ohm)?,
                range_high: gain(part.least_ohm)?,
                resolution: Some(step),
                after: Some(step + drift),
                worthwhile: true,
                drifts: drift > step,
            })
        };
        run().map(Some).map_err(|fault| unsolved(&fault))
    }

    fn rejection(&self, notes: &mut Vec<String>) -> Result<Option<Trimmed>, StudyFault> {
        let Some(name) = leg(self.question.topology) else {
            notes.push("the rejection of a `single-chip` was trimmed by its maker".to_owned());
            return Ok(None);
        };
        let found = needed(&self.bench.stage, &self.bench.lot, name, |gains| gains.1);
        let Some(needed) = found.map_err(|fault| unsolved(&fault))? else {
            notes.push(format!("no value of {name} nulls the common mode at every corner"));
            return Ok(None);
        };
        let Some(part) = part(self.question, name, needed, self.bench.lot.reach_k)? else {
            notes.push("no customary trimmer reaches the range with a tenth to spare".to_owned());
            return Ok(None);
        };
        let run = || -> Result<Trimmed, BuildFault> {
            let nominal = self.bench.stage.circuit.ohms.get(name).unwrap_or(f64::NAN);
            // the common mode that one step makes, and what temperature adds
            let (_, gains) = self.with(name, nominal + part.step_ohm)?;
            let (_, before) = self.with(name, nominal)?;
            let step = (gains.common - before.common).abs() / gains.differential.abs();
            let (stage, _) = self.with(name, nominal)?;
            let warm = corners::least_rejection(&still(&stage)?, &still(&stage)?.quantities(&self.warm(&part), 0.0))?;
            Ok(Trimmed {
                part,
                range_low: part.least_ohm / nominal - 1.0,
                range_high: part.greatest_ohm / nominal - 1.0,
                resolution: decibels(1.0 / step),
                after: decibels(1.0 / (step + 1.0 / warm)),
                worthwhile: true,
                drifts: 1.0 / warm > step,
            })
        };
        run().map(Some).map_err(|fault| unsolved(&fault))
    }

    /// The stage with another value of one resistor, and its nominal gains.
    fn with(&self, name: Designator, ohm: f64) -> Result<(Stage, crate::predict::Gains<f64>), BuildFault> {
        let mut circuit = self.bench.stage.circuit.clone();
        circuit.ohms.set(name, Some(ohm));
        let stage = topology::build(&circuit)?;
        let gains = crate::predict::gains::<f64>(&stage, 0.0)?;
        Ok((stage, gains))
    }

    /// What temperature does after trimming: tolerances are trimmed out, tempcos are not.
    fn warm(&self, part: &TrimPart) -> Lot {
        let mut lot = self.bench.lot.clone();
        for grade in lot.grades.values_mut() {
            grade.tolerance = 0.0;
        }
        for network in &mut lot.networks {
            *network = Matched {
                match_fraction: 0.0,
                grade: network.grade.map(|grade| Grade { tolerance: 0.0, ..grade }),
                ..network.clone()
            };
            network.members.retain(|name| *name != part.name);
        }
        lot.bias_return_tolerance = 0.0;
        let own = self.question.resistors.grade_of(part.name).tempco_per_k;
        let whole = f64::midpoint(part.needed_low_ohm, part.needed_high_ohm);
        let trimmer = (whole - part.fixed_ohm).max(0.0) / whole;
        let tempco = own * (1.0 - trimmer) + Sheet::of(self.question).tempco_per_k * trimmer;
        lot.grades.insert(part.name, Grade { tolerance: 0.0, tempco_per_k: tempco });
        lot
    }

    /// The greatest common-mode gain of a board that has just been fitted: the trimmer in its middle, away from
    /// any network, at the temperature of the bench.
    fn as_fitted(&self, part: &TrimPart) -> Result<f64, StudyFault> {
        let run = || -> Result<f64, BuildFault> {
            let (stage, _) = self.with(part.name, part.fixed_ohm + part.trimmer_ohm / 2.0)?;
            let mut lot = self.bench.lot.clone();
            lot.reach_k = 0.0;
            for network in &mut lot.networks {
                network.members.retain(|name| *name != part.name);
            }
            let fixed = self.question.resistors.grade_of(part.name);
            let tolerance =
                Sheet::of(self.question).middle_tolerance(part.fixed_ohm, fixed.tolerance, part.trimmer_ohm);
            lot.grades.insert(part.name, Grade { tolerance, ..fixed });
            Ok(corners::at_dc(&stage, &stage.quantities(&lot, 0.0))?.common)
        };
        run().map_err(|fault| unsolved(&fault))
    }

    fn steps(&self, gain: Option<&Trimmed>, rejection: Option<&Trimmed>) -> Result<Vec<String>, StudyFault> {
        let volt = |x: f64| rounded(x, Unit::Volt, 4);
        let mut steps = Vec::new();
        let fitted = gain.into_iter().chain(rejection).map(|one| {
            let (name, trimmer) = (one.part.name, rounded(one.part.trimmer_ohm, Unit::Ohm, 3));
            match one.part.fixed_ohm {
                0.0 => format!("a trimmer of {trimmer} alone for {name}"),
                fixed => format!("{} and a trimmer of {trimmer} in series for {name}", rounded(fixed, Unit::Ohm, 4)),
            }
        });
        let fitted: Vec<String> = fitted.collect();
        if fitted.is_empty() {
            return Ok(steps);
        }
        steps.push(format!("Fit {}; set trimmers to the middle.", fitted.join(", and ")));
        let celsius = self.question.environment.calibrated_at_c;
        steps.push(format!("Let the board settle at {}.", rounded(celsius, Unit::Celsius, 3)));
        let common = self.question.signal.common_mode;
        let (low, high) = common.map_or((-1.0, 1.0), |span| (span.low, span.high));
        let (low, high) = if high > low { (low, high) } else { (low - 0.5, high + 0.5) };
        if let Some(one) = rejection {
            let worst = self.as_fitted(&one.part)? * (high - low);
            steps.push(format!(
                "Join both inputs and drive them with {}: note the output. Drive them with {}: the output moves by up \
                 to {}.",
                volt(low),
                volt(high),
                volt(worst)
            ));
            let moves =
                |db: Option<f64>| db.map_or(0.0, |db| libm::pow(10.0, -db / 20.0)) * self.aim.gain * (high - low);
            steps.push(format!(
                "Turn the trimmer of {} until the output does not move between the two{}.",
                one.part.name,
                near(moves(one.resolution), moves(one.after))
            ));
        }
        let full =
            self.question.signal.differential.map_or(0.01, |span| if span.high > 0.0 { span.high } else { span.low });
        let middle = f64::midpoint(low, high);
        if let Some(one) = gain {
            let moved = self.aim.gain * full;
            steps.push(format!(
                "Join both inputs at {}: note the output, {} but for the offset.",
                volt(middle),
                volt(self.aim.reference_v)
            ));
            steps.push(format!(
                "Apply {} between the inputs: turn the trimmer of {} until the output has moved by {}{}.",
                volt(full),
                one.part.name,
                volt(moved),
                near((moved * one.resolution.unwrap_or(0.0)).abs(), (moved * one.after.unwrap_or(0.0)).abs())
            ));
        }
        if rejection.is_some() && gain.is_some() && self.question.topology != Topology::ThreeOpAmp {
            steps.push("Repeat both once: the rejection trimmer moves the gain a little.".to_owned());
        }
        Ok(steps)
    }
}

/// How near to set a trimmer, in words: no nearer than its smallest step, and no nearer than a tenth of what is
/// left after trimming anyway (common practice of test accuracy ratios). V at the output.
fn near(step_v: f64, left_v: f64) -> String {
    let volt = |x: f64| rounded(x, Unit::Volt, 2);
    let enough = 0.1 * left_v;
    if enough > step_v {
        format!(", within {}: a tenth of what temperature moves afterwards", volt(enough))
    } else {
        format!(", as near as it goes: its smallest step is {}", volt(step_v))
    }
}

/// The stage with what trimming has nulled taken out: op amps' common-mode errors, the source's imbalance.
fn still(stage: &Stage) -> Result<Stage, BuildFault> {
    let mut circuit = stage.circuit.clone();
    for data in circuit.opamps.values_mut() {
        data.rejection = None;
        data.open_loop_gain = None;
    }
    circuit.surroundings.source.imbalance_ohm = 0.0;
    circuit.surroundings.reference_resistance_ohm = 0.0;
    topology::build(&circuit)
}
