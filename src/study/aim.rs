//! The gain and the reference that a target means.
use super::{GainWish, Question, Span, StudyFault};

/// The gain and the reference that the target means.
#[derive(Clone, Copy, Debug)]
pub(super) struct Aim {
    pub(super) gain: f64,
    pub(super) reference_v: f64,
    pub(super) reference_chosen: bool,
}

pub(super) fn aim(question: &Question) -> Result<Aim, StudyFault> {
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

fn fault(key: &str, message: &str, help: &str) -> StudyFault {
    StudyFault { code: "no-aim", key: key.to_owned(), message: message.to_owned(), help: help.to_owned() }
}
