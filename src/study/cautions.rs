//! Safety, in plain words.
use super::{Question, Span};
use crate::quantity::{Unit, rounded};

/// Above these a wire is dangerous to touch: what instrument makers print on their inputs.
///
/// Source: National Instruments, source-measure units, caution on the guard terminal ("30 V rms, 42.4 V
/// peak or 60 V dc"), and NI 9224, getting started ("hazardous voltage"). No standard's limit is claimed.
const PEAK_V: f64 = 42.4;
const DC_V: f64 = 60.0;

/// What goes with every caution.
pub const NOT_ISOLATION: &str = "This circuit is not isolation, and no figure here makes it safe to touch: the \
     applicable safety standard, the local code and qualified practice decide what has to stand between the wires, \
     the circuit and people.";

/// The cautions a question calls for, each a sentence or two; the last one then is [`NOT_ISOLATION`].
///
/// * A wire above 42.4 V peak (30 V rms of a sine) where it moves, above 60 V where it stands still: the
///   extremes of common mode and half the difference, with the amplitude of the interference.
/// * A common mode, with the interference, outside the supplies.
/// * A source that may be a person; one connected to the mains.
#[must_use]
pub fn cautions(question: &Question) -> Vec<String> {
    let mut all: Vec<String> = [touch(question), outside_supplies(question)].into_iter().flatten().collect();
    if question.source.on_body {
        all.push(
            "The source may be a person: whatever is connected to a body needs isolation and a limit on the \
             current that any single fault can drive through it, which this circuit does not give."
                .to_owned(),
        );
    }
    if question.source.mains_connected {
        all.push(
            "The source is connected to the mains: surges far above its voltage and its full fault current can \
             reach the inputs, and a broken part can put the mains on everything behind them."
                .to_owned(),
        );
    }
    if !all.is_empty() {
        all.push(NOT_ISOLATION.to_owned());
    }
    all
}

/// Common mode with the interference, V.
fn common_mode(question: &Question) -> Option<Span> {
    let range = question.signal.common_mode?;
    let pick_up = pick_up(question);
    Some(Span { low: range.low - pick_up, high: range.high + pick_up })
}

fn pick_up(question: &Question) -> f64 {
    question.interference.map_or(0.0, |interference| interference.amplitude_v.abs())
}

fn touch(question: &Question) -> Option<String> {
    let common = common_mode(question).unwrap_or(Span::point(0.0));
    let (signal, offset) = (&question.signal, question.signal.dc_offset.unwrap_or(Span::point(0.0)));
    let difference = signal.differential.unwrap_or(Span::point(0.0));
    let half = (difference.low + offset.low).abs().max((difference.high + offset.high).abs()) / 2.0;
    let highest = common.low.abs().max(common.high.abs()) + half;
    let moves = common.width() > 0.0;
    let (limit, kind) = if moves { (PEAK_V, "peak") } else { (DC_V, "dc") };
    (highest > limit).then(|| {
        format!(
            "A wire reaches {} {kind} against ground. Above 30 V rms, 42.4 V peak or 60 V dc a wire is dangerous \
             to touch.",
            rounded(highest, Unit::Volt, 3)
        )
    })
}

fn outside_supplies(question: &Question) -> Option<String> {
    let (common, supply) = (common_mode(question)?, question.supply?);
    let outside = common.low < supply.negative_v || common.high > supply.positive_v;
    outside.then(|| {
        let show = |volt| rounded(volt, Unit::Volt, 4);
        format!(
            "The common mode, {} to {}, goes outside the supplies ({} to {}): current flows into the inputs or the \
             divider in front of them, also while the supplies are off, and a fault there puts that voltage on \
             the circuit.",
            show(common.low),
            show(common.high),
            show(supply.negative_v),
            show(supply.positive_v)
        )
    })
}
