//! A gain that the nearest values miss: how far, and what would come nearer.
use super::wanted;
use crate::designator::Topology;
use crate::quantity::{Unit, exact, rounded};
use crate::sizing::{GainSetting, STAGE_OHM, Wanted, gain_set};
use crate::study::{SizeQuestion, Stock, StudyFault, Warning};

/// What the tolerances alone may do is no miss, nor is this share of the gain.
const NEAR: f64 = 0.01;
/// A gain off by more than this factor is none: half a step of E3, the coarsest series, is less.
const FAR: f64 = 1.5;
/// Drawers of as many values are looked through for a gain of the stage behind.
const DRAWER: usize = 24;

/// True where a gain is so far off that no value there is can be said to make it.
pub(super) fn far(error: f64) -> bool {
    let ratio = 1.0 + error;
    !(1.0 / FAR..=FAR).contains(&ratio)
}

/// Told where the gain wanted lies outside what the best choice makes within its tolerances.
pub(super) fn notes(question: &SizeQuestion, best: Option<&GainSetting>) -> Result<Vec<Warning>, StudyFault> {
    let Some(best) = best.filter(|best| missed(best)) else { return Ok(Vec::new()) };
    let share = |x: f64| rounded(x, Unit::Fraction, 3);
    let message = format!(
        "the nearest values miss the gain by {}, which is beyond their tolerance ({} to {})",
        share(best.error),
        share(best.error_span.0),
        share(best.error_span.1)
    );
    let mut ways = Vec::new();
    let mut way = |words: String, changed: &Wanted| -> Result<(), StudyFault> {
        let found = gain_set(changed).map_err(|fault| super::told("GAIN", &fault))?;
        if let Some(one) = found.choices.first().filter(|one| one.error.abs() < best.error.abs() / 2.0) {
            let left = if missed(one) { "still " } else { "" };
            ways.push(format!("{words} (gain {}, {left}{} off)", rounded(one.gain, Unit::Plain, 6), share(one.error)));
        }
        Ok(())
    };
    let asked = wanted(question)?;
    let pairs = Wanted { pairs: true, ..asked.clone() };
    if question.parts < 2 {
        way("`--parts 2`, pairs for the gain-set resistor".to_owned(), &pairs)?;
    }
    if let Some(split) = split(question, &asked)? {
        let words = format!("`--stage-two-gain {}`, which `design` chooses by itself", exact(split, Unit::Plain));
        way(words, &Wanted { stage_two_gain: split, ..asked })?;
    }
    if ways.is_empty() {
        ways.push(match (best.exact_ohm, best.feedback_ohm) {
            (Some(ohm), Some(feedback)) => format!(
                "{} for the gain-set resistor with {} as feedback, or a series with more values",
                rounded(ohm, Unit::Ohm, 4),
                exact(feedback, Unit::Ohm)
            ),
            _ => "a series with more values".to_owned(),
        });
    }
    Ok(vec![Warning { code: "gain-missed", message, advice: ways.join("; or ") }])
}

fn missed(best: &GainSetting) -> bool {
    let (low, high) = best.error_span;
    best.error.abs() > NEAR && (low > 0.0 || high < 0.0)
}

/// The gain of the stage behind, from a drawer's own values, with which the gain comes nearest.
fn split(question: &SizeQuestion, asked: &Wanted) -> Result<Option<f64>, StudyFault> {
    let values = match &question.stock {
        Stock::Values(values) if values.len() <= DRAWER => values,
        _ => return Ok(None),
    };
    if question.topology != Topology::ThreeOpAmp || question.stage_two_gain != 1.0 {
        return Ok(None);
    }
    // the values that `design` takes for R1 to R4
    let (low, high) = STAGE_OHM;
    let values: Vec<f64> = values.iter().copied().filter(|ohm| (low..=high).contains(ohm)).collect();
    let mut ratios: Vec<f64> = values
        .iter()
        .flat_map(|over| values.iter().map(move |under| over / under))
        .filter(|ratio| *ratio > 1.0 && *ratio <= question.gain)
        .collect();
    ratios.sort_by(f64::total_cmp);
    ratios.dedup_by(|a, b| (*a - *b).abs() <= 1e-12 * *b);
    let mut best: Option<(f64, f64)> = None;
    for split in ratios {
        let found = gain_set(&Wanted { stage_two_gain: split, ..asked.clone() });
        let found = found.map_err(|fault| super::told("--stage-two-gain", &fault))?;
        let Some(one) = found.choices.first() else { continue };
        if best.is_none_or(|held| one.error.abs() < held.0 - 1e-12) {
            best = Some((one.error.abs(), split));
        }
    }
    Ok(best.map(|one| one.1))
}
