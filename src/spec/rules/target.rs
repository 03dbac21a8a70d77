use super::{Case, say};
use crate::quantity::{Unit, exact};

/// The wish: gain or output; and what the output is measured against.
pub(super) fn check(case: &mut Case<'_>) {
    let tree = case.tree;
    if tree.lacks("target.gain") && tree.lacks("target.output") {
        let fault =
            case.fault("target.gain", "missing-key", "`target.gain` is missing: what the circuit has to do".to_owned());
        say(
            fault,
            "needs `gain` or `output`",
            "add `[target]` with `gain = 100`, or with `output = \"0.5 V .. 4.5 V\"`",
        );
    }
    if tree.has("target.output") {
        output(case);
    }
    if let Some((low, high)) = tree.span("output.adc_range")
        && low >= high
    {
        let fault = case.fault("output.adc_range", "empty-range", "`output.adc_range` has no width".to_owned());
        say(fault, "a single point", "write both ends, as `\"0 V .. 5 V\"`");
    }
}

fn output(case: &mut Case<'_>) {
    let tree = case.tree;
    if let Some((low, high)) = tree.span("target.output")
        && low >= high
    {
        let fault = case.fault("target.output", "empty-range", "`target.output` has no width".to_owned());
        say(fault, "a single point", "write both ends, as `\"0.5 V .. 4.5 V\"`");
    }
    if tree.lacks("signal.differential") {
        let message =
            "`target.output` needs `signal.differential`, which is missing: the gain is one span over the other"
                .to_owned();
        let fault = case.fault("target.output", "missing-key", message);
        say(fault, "of which signal?", "add `differential = \"-18 mV .. 18 mV\"` to `[signal]`, or give `gain`");
    } else if let Some((low, high)) = tree.span("signal.differential")
        && low >= high
    {
        let message = format!(
            "`signal.differential` is the one point {}, which can't fill an output range",
            exact(low, Unit::Volt)
        );
        let fault = case.fault("signal.differential", "empty-range", message);
        say(fault, "a single point", "write both ends, as `\"-18 mV .. 18 mV\"`, or give `target.gain`");
    }
    if let (Some((low, high)), Some(reference)) = (tree.span("target.output"), tree.number("supply.reference"))
        && (reference < low || reference > high)
    {
        let message = format!(
            "the reference, {}, lies outside `target.output`, {} .. {}",
            exact(reference, Unit::Volt),
            exact(low, Unit::Volt),
            exact(high, Unit::Volt)
        );
        let spans_zero = tree.span("signal.differential").is_some_and(|(low, high)| low <= 0.0 && high >= 0.0);
        if spans_zero {
            let fault = case.fault("supply.reference", "reference-outside", message);
            say(
                fault,
                "outside the output range",
                "give a reference inside it, or leave it out: one that fits is chosen",
            );
        }
    }
}
