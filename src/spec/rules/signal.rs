use super::{Case, say};
use crate::quantity::{Unit, exact};

/// Source, supplies, and what hangs on them.
pub(super) fn check(case: &mut Case<'_>) {
    imbalance(case);
    supply(case);
}

fn imbalance(case: &mut Case<'_>) {
    let tree = case.tree;
    let imbalance = tree.number("source.imbalance").unwrap_or(0.0);
    if imbalance == 0.0 {
        return;
    }
    let resistance = match tree.entry("source.resistance") {
        None => Some(0.0),
        Some(_) => tree.number("source.resistance"),
    };
    let Some(resistance) = resistance.filter(|r| imbalance >= 2.0 * r) else { return };
    let message = format!(
        "`source.imbalance` is {}; it must be below twice the resistance of a leg, {}",
        exact(imbalance, Unit::Ohm),
        exact(2.0 * resistance, Unit::Ohm)
    );
    let fault = case.fault("source.imbalance", "imbalance", message);
    say(fault, "a leg would fall to zero", "each leg is `resistance` plus or minus half the imbalance");
}

fn supply(case: &mut Case<'_>) {
    let tree = case.tree;
    if tree.lacks("supply.positive") {
        for key in ["negative", "ripple", "ripple_frequency"] {
            if tree.has(&format!("supply.{key}")) {
                let message = format!("`supply.{key}` is given, but `supply.positive` is missing");
                let fault = case.fault(&format!("supply.{key}"), "missing-key", message);
                say(fault, "needs `positive`", "add `positive = \"5 V\"` to `[supply]`");
                return;
            }
        }
    }
    let Some(positive) = tree.number("supply.positive") else { return };
    let negative = match tree.entry("supply.negative") {
        None => 0.0,
        Some(_) => match tree.number("supply.negative") {
            Some(negative) => negative,
            None => return,
        },
    };
    let (high, low) = (exact(positive, Unit::Volt), exact(negative, Unit::Volt));
    if positive <= negative {
        let message = format!("the positive supply, {high}, is not above the negative one, {low}");
        let fault = case.fault("supply.positive", "supplies", message);
        say(
            fault,
            "not above the negative supply",
            "`positive` is the upper rail; a negative supply is written `negative = \"-5 V\"`",
        );
        return;
    }
    if let Some(reference) = tree.number("supply.reference")
        && (reference < negative || reference > positive)
    {
        let message = format!(
            "`supply.reference` is {}; it must lie within the supplies, {low} .. {high}",
            exact(reference, Unit::Volt)
        );
        let fault = case.fault("supply.reference", "reference-outside", message);
        say(fault, "outside the supplies", format!("give a voltage from {low} to {high}"));
    }
}
