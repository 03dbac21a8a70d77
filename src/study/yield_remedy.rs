//! What would meet a missed `limits.yield`: each change alone, by bisection on boards drawn with the same seed.
use super::aim::Aim;
use super::bench::{Bench, unsolved};
use super::lever::Lever;
use super::yields::{USUAL_BOARDS, YieldOptions, passing};
use super::{Question, StudyFault};
use crate::quantity::{Unit, rounded};
use crate::sizing::Filled;
use crate::yields::clopper_pearson;

/// Halvings: three digits.
const STEPS: usize = 11;
/// Boards that are drawn for each step of the bisection; the answer is checked with all of them.
const DRAWN: u64 = 1 << 17;
/// A step to the safe side where all boards do not bear out what few told.
const SAFER: f64 = 0.97;
const SAFER_STEPS: usize = 12;

/// Changes of which each alone brings the lower end of the yield's interval to `required`; where none does, why.
pub(super) fn remedies(
    question: &Question,
    aim: &Aim,
    filled: &Filled,
    required: f64,
) -> Result<Vec<String>, StudyFault> {
    let patient = Patient { question, aim, filled, required };
    let all = question.draw.boards.unwrap_or(USUAL_BOARDS);
    let mut found = Vec::new();
    let mut reached = Vec::new();
    for lever in Lever::ALL.into_iter().filter(|lever| lever.bears_on("yield")) {
        let Some((ideal, _)) = lever.at(question, 0.0) else { continue };
        let best = patient.low_end(&ideal, all)?;
        if best < required {
            reached.push(format!("{} with {}", rounded(best, Unit::Fraction, 4), lever.ideally()));
            continue;
        }
        let meets = |share: f64, boards: u64| match lever.at(question, share) {
            Some((changed, _)) => Ok::<bool, StudyFault>(patient.low_end(&changed, boards)? >= required),
            None => Ok(false),
        };
        let (mut good, mut bad) = (0.0, 1.0);
        for _ in 0..STEPS {
            let middle = f64::midpoint(good, bad);
            if meets(middle, DRAWN.min(all))? { good = middle } else { bad = middle }
        }
        for _ in 0..SAFER_STEPS {
            if meets(good, all)? {
                break;
            }
            good *= SAFER;
        }
        match lever.at(question, good) {
            Some((changed, value)) if value > 0.0 && patient.low_end(&changed, all)? >= required => {
                found.push(lever.words(question, value));
            }
            _ => found.push(lever.ideally().to_owned()),
        }
    }
    if found.is_empty() && !reached.is_empty() {
        reached.truncate(3);
        found.push(format!("no single change ({})", reached.join(", ")));
    }
    Ok(found)
}

struct Patient<'a> {
    question: &'a Question,
    aim: &'a Aim,
    filled: &'a Filled,
    required: f64,
}

impl Patient<'_> {
    /// The lower end of the interval that all boards would have, told from `boards` of them.
    fn low_end(&self, question: &Question, boards: u64) -> Result<f64, StudyFault> {
        let all = self.question.draw.boards.unwrap_or(USUAL_BOARDS);
        let bench = Bench::new(question, self.filled)?;
        let options = YieldOptions { boards: Some(boards), ..YieldOptions::default() };
        let drawn = passing(question, self.aim, &bench, &options).map_err(|fault| unsolved(&fault))?;
        let Some((pass, of)) = drawn.filter(|drawn| drawn.1 > 0) else { return Ok(self.required) };
        let scaled = if of >= all { pass } else { (pass as f64 / of as f64 * all as f64) as u64 };
        Ok(clopper_pearson(scaled.min(all), all).low)
    }
}
