//! Bench readings held against the prediction.
mod next;
mod plan;
mod reading;

pub use crate::uncertainty::Spread;
pub use next::NextReading;
pub use plan::{NodeSpan, Plan, PlanStep, plan};
pub use reading::{Inputs, Reading, ReadingErrors};

use super::aim::aim;
use super::bench::{self, unsolved};
use super::purchase::{Bought, buy};
use super::{Environment, NotPredicted, Question, Span, StudyFault, offset, rejection};
use crate::topology::BuildFault;
use crate::uncertainty::{Errors, Estimate, Fit, FitFault, fit};

/// How a measured interval stands to the predicted one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// It lies inside.
    Within,
    /// The two have nothing in common.
    Outside,
    /// These readings can't tell, or nothing is predicted.
    Undecided,
}

impl Standing {
    /// The word in reports and JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Within => "within",
            Self::Outside => "outside",
            Self::Undecided => "undecided",
        }
    }
}

/// A figure from the bench; `None` is unbounded, of a prediction also: not predicted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// Best value.
    pub value: Option<f64>,
    /// Lower end of the interval that covers 95 %.
    pub low: Option<f64>,
    /// Upper end.
    pub high: Option<f64>,
    /// Lower end of the prediction.
    pub predicted_low: Option<f64>,
    /// Upper end of the prediction.
    pub predicted_high: Option<f64>,
    /// How the two stand to each other.
    pub verdict: Standing,
}

/// What the readings say.
#[derive(Clone, Debug, PartialEq)]
pub struct VerifyAnswer {
    /// Title of the spec.
    pub title: String,
    /// Number of readings.
    pub readings: usize,
    /// Temperature of the bench, °C.
    pub temperature_c: f64,
    /// Gain, V/V.
    pub gain: Measured,
    /// Offset referred to the input, at a common mode of the reference's voltage, V.
    pub offset_v: Measured,
    /// Rejection, dB; `None` where the common mode was not varied.
    pub rejection_db: Option<Measured>,
    /// True where the readings leave only a lower bound of the rejection.
    pub rejection_is_bound: bool,
    /// Scatter about the fit, V; in units of the stated uncertainty where that is given.
    pub scatter: f64,
    /// Whether the scatter or what is stated counts.
    pub spread: Spread,
    /// The reading that would decide what is open.
    pub next_reading: Option<NextReading>,
    /// Figures that could not be measured.
    pub not_measured: Vec<NotPredicted>,
}

/// The prediction at the bench.
struct Expected {
    reference_v: f64,
    gain: (f64, f64),
    rejection_db: Option<f64>,
    offset_v: Option<f64>,
}

/// What stands on the bench: grades, op amps and values as `design` decides them over the whole of the
/// environment, then asked at the bench's temperature alone.
struct Built {
    question: Question,
    circuit: bench::Bench,
    expected: Expected,
}

impl Built {
    fn new(question: &Question, temperature_c: f64) -> Result<Self, StudyFault> {
        let aim = aim(question)?;
        let Bought { question, choice, .. } = buy(question, &aim)?;
        let environment = Environment { temperature_c: Span::point(temperature_c), ..question.environment };
        let question = Question { environment, ..question };
        let circuit = bench::Bench::new(&question, &choice.filled)?;
        let expected = Expected {
            reference_v: aim.reference_v,
            gain: (circuit.worst.gain_low, circuit.worst.gain_high),
            rejection_db: rejection::decibels(circuit.worst.rejection),
            offset_v: offset_bound(&question, &circuit.stage).map_err(|fault| unsolved(&fault))?,
        };
        Ok(Self { question, circuit, expected })
    }
}

/// Greatest offset referred to the input at the bench's temperature, V; `None`: not predicted.
fn offset_bound(question: &Question, stage: &crate::stage::Stage) -> Result<Option<f64>, BuildFault> {
    let figure = offset::figure(question, stage)?.figure;
    Ok(figure.map(|figure| figure.rti_worst_v + figure.drift_v_per_k * question.environment.reach_k()))
}

/// Fits `v_out = V_ref + A_d (v_d + offset) + A_cm (v_cm - V_ref)` to the readings and holds the results
/// against the prediction at `temperature_c`.
///
/// # Errors
/// [`StudyFault`] where the readings can't tell a gain, or the spec can't be designed.
///
/// ```
/// use evenkeel::sheet::readings;
/// use evenkeel::spec::{NoFiles, read};
/// use evenkeel::study::{Standing, verify};
///
/// let text = "[target]\ngain = 100\n[resistors]\ntolerance = \"0.1 %\"\nfixed = { RG = \"499\", RF = \"24.9k\" }\n";
/// let question = &read("s.toml", text, &NoFiles)?.channels[0].question;
/// let bench = readings("r.csv", "differential [mV],output,u_output\n-10,-1.008,10 µV\n10,1.008,10 µV\n0,0,10 µV\n")?;
/// let answer = verify(question, &bench, 25.0)?;
/// assert_eq!((answer.gain.verdict, answer.rejection_db), (Standing::Within, None));
/// assert!(answer.not_measured[0].needs.contains("common mode"));
///
/// let fault = verify(question, &bench[..1], 25.0).unwrap_err();
/// assert_eq!(fault.code, "too-few-readings");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn verify(question: &Question, readings: &[Reading], temperature_c: f64) -> Result<VerifyAnswer, StudyFault> {
    let Built { question, expected, .. } = Built::new(question, temperature_c)?;
    let bench = Bench::of(readings, expected.reference_v)?;
    let figures = Figures::of(&bench.fit, bench.common);
    let gain = held(figures.gain, Some(expected.gain.0), Some(expected.gain.1));
    let bound = expected.offset_v;
    let offset_v = held(figures.offset, bound.map(|bound| -bound), bound);
    let rejection_db = figures.ratio.map(|ratio| held_rejection(ratio, expected.rejection_db));
    let not_measured = if bench.common {
        Vec::new()
    } else {
        let needs = "readings at two common modes or more (`common_mode`, or `positive` and `negative`)".to_owned();
        vec![NotPredicted { figure: "rejection_db".to_owned(), needs }]
    };
    let open = next::Open { gain: &gain, offset_v: &offset_v, rejection_db: rejection_db.as_ref() };
    let next_reading = next::reading(&question, &bench, readings, &expected, &open);
    Ok(VerifyAnswer {
        title: question.title.clone(),
        readings: readings.len(),
        temperature_c,
        gain,
        offset_v,
        rejection_is_bound: figures.ratio.is_some_and(|ratio| ratio.value.abs() <= ratio.expanded),
        rejection_db,
        scatter: bench.fit.scatter,
        spread: bench.fit.spread,
        next_reading,
        not_measured,
    })
}

/// Readings as columns, fitted.
struct Bench {
    fit: Fit,
    /// True where the common mode was varied.
    common: bool,
}

impl Bench {
    fn of(readings: &[Reading], reference_v: f64) -> Result<Self, StudyFault> {
        let ones = vec![1.0; readings.len()];
        let difference: Vec<f64> = readings.iter().map(Reading::differential_v).collect();
        let common: Option<Vec<f64>> =
            readings.iter().map(|reading| reading.common_mode_v().map(|volt| volt - reference_v)).collect();
        let output: Vec<f64> = readings.iter().map(|reading| reading.output_v - reference_v).collect();
        let mut columns = vec![ones, difference];
        columns.extend(common);
        let mut fitted = two_steps(&columns, &output, readings);
        if let Err(FitFault::Dependent { column: 2 } | FitFault::TooFew { unknowns: 3, .. }) = fitted {
            columns.truncate(2);
            fitted = two_steps(&columns, &output, readings);
        }
        Ok(Self { fit: fitted.map_err(|fault| unfitted(&fault))?, common: columns.len() == 3 })
    }
}

/// The gains are needed to carry errors of the inputs to the output: they come from a first fit.
fn two_steps(columns: &[Vec<f64>], output: &[f64], readings: &[Reading]) -> Result<Fit, FitFault> {
    let alike = Errors { own: vec![1.0; readings.len()], shared: Vec::new() };
    let first = fit(columns, output, &alike)?;
    let gains = |fit: &Fit| (fit.beta.get(1).copied().unwrap_or(0.0), fit.beta.get(2).copied().unwrap_or(0.0));
    let second = fit(columns, output, &errors(readings, gains(&first)))?;
    fit(columns, output, &errors(readings, gains(&second)))
}

fn errors(readings: &[Reading], gains: (f64, f64)) -> Errors {
    let own: Vec<f64> = readings
        .iter()
        .map(|reading| reading.at_output(&reading.own, gains).iter().map(|u| u * u).sum::<f64>().sqrt())
        .collect();
    let shared: Vec<[f64; 3]> = readings.iter().map(|reading| reading.at_output(&reading.shared, gains)).collect();
    let columns = (0..3).map(|k| shared.iter().map(|all| all[k]).collect::<Vec<f64>>());
    Errors { own, shared: columns.filter(|column| column.iter().any(|u| *u != 0.0)).collect() }
}

fn unfitted(fault: &FitFault) -> StudyFault {
    let (code, message, help) = match fault {
        FitFault::TooFew { readings, .. } => (
            "too-few-readings",
            format!("{readings} readings can't tell gain and offset"),
            "take readings at two differences or more, each at least twice",
        ),
        FitFault::Dependent { .. } => (
            "difference-not-varied",
            "all readings are at one difference: they can't tell the gain".to_owned(),
            "take readings at two differences or more",
        ),
        FitFault::NoSpread => (
            "no-uncertainty",
            "there are as many unknowns as readings, and no uncertainty is stated".to_owned(),
            "take each reading twice, or add a column `u_output`",
        ),
    };
    StudyFault { code, key: "readings".to_owned(), message, help: help.to_owned() }
}

/// The figures of a fit.
#[derive(Clone, Copy)]
struct Figures {
    gain: Estimate,
    offset: Estimate,
    /// `A_cm/A_d`.
    ratio: Option<Estimate>,
}

impl Figures {
    fn of(fit: &Fit, common: bool) -> Self {
        let (rest, gain) = (fit.beta[0], fit.beta[1]);
        let third = |slope: f64| if common { vec![slope] } else { Vec::new() };
        let slopes = |first: f64, second: f64, third: Vec<f64>| [vec![first, second], third].concat();
        let offset = rest / gain;
        let ratio = common.then(|| fit.beta[2] / gain);
        Self {
            gain: fit.estimate(gain, &slopes(0.0, 1.0, third(0.0))),
            offset: fit.estimate(offset, &slopes(1.0 / gain, -offset / gain, third(0.0))),
            ratio: ratio.map(|ratio| fit.estimate(ratio, &slopes(0.0, -ratio / gain, third(1.0 / gain)))),
        }
    }
}

fn held(estimate: Estimate, predicted_low: Option<f64>, predicted_high: Option<f64>) -> Measured {
    let (low, high) = (estimate.value - estimate.expanded, estimate.value + estimate.expanded);
    let verdict = match (predicted_low, predicted_high) {
        (Some(least), Some(most)) if low >= least && high <= most => Standing::Within,
        (Some(least), Some(most)) if high < least || low > most => Standing::Outside,
        _ => Standing::Undecided,
    };
    Measured { value: Some(estimate.value), low: Some(low), high: Some(high), predicted_low, predicted_high, verdict }
}

/// The interval of `|A_d/A_cm|` from that of its inverse; where that holds zero only a lower bound is left.
fn held_rejection(ratio: Estimate, predicted_low: Option<f64>) -> Measured {
    let decibels = |ratio: f64| rejection::decibels(1.0 / ratio.abs());
    let low = decibels(ratio.value.abs() + ratio.expanded);
    let high = (ratio.value.abs() > ratio.expanded).then(|| decibels(ratio.value.abs() - ratio.expanded)).flatten();
    // `None` is unbounded: above any number.
    let reaches = |one: Option<f64>, other: Option<f64>| match (one, other) {
        (None, _) => true,
        (Some(_), None) => false,
        (Some(one), Some(other)) => one >= other,
    };
    let verdict = if reaches(low, predicted_low) {
        Standing::Within
    } else if !reaches(high, predicted_low) {
        Standing::Outside
    } else {
        Standing::Undecided
    };
    Measured { value: decibels(ratio.value), low, high, predicted_low, predicted_high: None, verdict }
}

#[cfg(test)]
mod tests;
