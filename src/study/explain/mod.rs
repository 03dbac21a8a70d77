//! The working of each figure, as it would be put on the board: from the rules of the op amp through
//! node equations to the result, with the network's own answer beside it.
//!
//! A figure is a file here with one function from the `Ground` to an [`Explanation`], and a line in
//! `working`. Laws are cited by their numbers in docs/theory.md (`LAWS`).
mod bandwidth;
mod bounds;
mod budget;
mod budget_gain;
mod budget_lines;
mod currents;
mod explanation;
mod gain;
mod given;
mod glossary;
mod ground;
mod headroom;
mod impedance;
mod input_filter;
mod law;
mod measured;
mod noise;
mod noise_resistors;
mod offset;
mod plainer;
mod rejection;
mod stage_two;
mod swing;

pub use explanation::{Explanation, Outcome, Step, Topic, UnknownTopic};
pub use glossary::{Given, Origin};
pub use law::{LAWS, Law};
pub use measured::{CauseSize, Measured};

use super::aim::aim;
use super::purchase::buy;
use super::{NotPredicted, Question, StudyFault, unsolved};
use crate::designator::Topology;
use crate::equation::{Equation, settle};
use crate::topology::BuildFault;
use budget_lines::Worked;
use ground::Ground;

/// The workings that were asked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Lesson {
    /// Title of the spec.
    pub title: String,
    /// The circuit.
    pub topology: Topology,
    /// One working a figure.
    pub explanations: Vec<Explanation>,
    /// Figures that have no working because the spec does not say enough; only where all were asked for.
    pub missing: Vec<NotPredicted>,
}

/// What is to be explained.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Wanted {
    /// One figure; `None`: why this circuit, and every figure there is.
    pub topic: Option<Topic>,
    /// A rejection that was measured, dB; with it the working of the rejection tells what each cause
    /// would have to be.
    pub measured_db: Option<f64>,
}

/// Works one figure out, or all of them: from the rules of the op amp through equations in symbols to the number,
/// each step with the law it follows ([`LAWS`] names their sources) and, beside the result, what the network gives.
/// Quantities are in the unit of their equation, SI, or decibels.
///
/// # Errors
/// [`StudyFault`] as [`super::design()`], and for a figure whose inputs the spec does not give.
///
/// ```
/// use evenkeel::spec::{NoFiles, read};
/// use evenkeel::study::explain::{Topic, Wanted, explain};
///
/// let text = "[target]\ngain = 100\n[resistors]\nfixed = { RG = \"499\", RF = \"24.9k\", R1 = \"10k\", R2 = \"10k\" }\n";
/// let question = &read("s.toml", text, &NoFiles)?.channels[0].question;
/// let lesson = explain(question, Wanted { topic: Some(Topic::Gain), ..Wanted::default() })?;
/// let gain = lesson.explanations[0].outcome.as_ref().and_then(|outcome| outcome.by_hand).ok_or("a number")?;
/// // 1 + 2 · 24.9/0.499
/// assert!((gain - 100.799_599).abs() < 1e-6);
/// // no supply is stated: there is no headroom to work out
/// assert!(explain(question, Wanted { topic: Some(Topic::Headroom), ..Wanted::default() }).is_err());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn explain(question: &Question, wanted: Wanted) -> Result<Lesson, StudyFault> {
    let aim = aim(question)?;
    let bought = buy(question, &aim)?;
    let question = &bought.question;
    let ground = Ground::new(question, &aim, &bought.choice.bench);
    let mut lesson = Lesson {
        title: question.title.clone(),
        topology: question.topology,
        explanations: Vec::new(),
        missing: Vec::new(),
    };
    let topics: &[Topic] = match &wanted.topic {
        Some(topic) => std::slice::from_ref(topic),
        None => &Topic::ALL,
    };
    for &topic in topics {
        match working(&ground, topic, wanted.measured_db).map_err(|fault| unsolved(&fault))? {
            Ok(explanation) => lesson.explanations.push(finished(explanation)),
            // not asked for, and nothing is missing: the spec has no such thing
            Err(_) if wanted.topic.is_none() && topic == Topic::InputFilter => {}
            Err(needs) if wanted.topic.is_none() => {
                lesson.missing.push(NotPredicted { figure: topic.name().to_owned(), needs });
            }
            Err(needs) => return Err(lacking(topic, &needs)),
        }
    }
    Ok(lesson)
}

/// With what it takes as given, and with the same digits for a quantity wherever it stands.
fn finished(mut working: Explanation) -> Explanation {
    working.given = glossary::given(&working);
    let mut equations: Vec<&mut Equation> =
        working.steps.iter_mut().filter_map(|step| step.equation.as_mut()).collect();
    settle(&mut equations);
    working
}

/// The working, or the keys of the spec it lacks.
fn working(
    ground: &Ground<'_>,
    topic: Topic,
    measured_db: Option<f64>,
) -> Result<Result<Explanation, String>, BuildFault> {
    Ok(Ok(match topic {
        Topic::Topology => plainer::explain(ground)?,
        Topic::Gain => gain::explain(ground)?,
        Topic::Rejection => {
            let measured = measured_db.map(|db| measured::sizes(ground, db)).transpose()?;
            Explanation { measured, ..rejection::explain(ground)? }
        }
        Topic::Headroom => return headroom::explain(ground),
        Topic::Impedance => impedance::explain(ground)?,
        Topic::Offset => return offset::explain(ground),
        Topic::Noise => return noise::explain(ground),
        Topic::Bandwidth => return bandwidth::explain(ground),
        Topic::InputFilter => return input_filter::explain(ground),
        Topic::Budget => return budget(ground),
    }))
}

/// The budget takes from the workings of what it adds.
fn budget(ground: &Ground<'_>) -> Result<Result<Explanation, String>, BuildFault> {
    let (gain, rejection) = (gain::explain(ground)?, rejection::explain(ground)?);
    let (offset, noise) = (offset::explain(ground)?.ok(), noise::explain(ground)?.ok());
    let worked = [&gain, &rejection].into_iter().chain(&offset).chain(&noise).collect();
    budget::explain(ground, &Worked(worked))
}

fn lacking(topic: Topic, needs: &str) -> StudyFault {
    let key = needs.split(", ").next().unwrap_or_default();
    StudyFault {
        code: "not-predicted",
        key: key.to_owned(),
        message: format!("{topic} can't be worked out: the spec does not give {needs}"),
        help: format!("give {needs}"),
    }
}
