//! Why the network's gain is not the textbook's: each thing taken away in turn, and what that changes.
use super::super::explanation::signed;
use super::super::ground::Ground;
use crate::predict::gains;
use crate::stage::Circuit;
use crate::topology::{BuildFault, build};

/// A relative change below this is rounding.
const NOTHING: f64 = 1e-9;

type Change = fn(&mut Circuit);

/// What the equations leave out, and a circuit without it.
const LEFT_OUT: [(&str, Change); 5] = [
    ("open-loop gain that is finite", |circuit| {
        circuit.opamps.values_mut().for_each(|data| data.open_loop_gain = None);
    }),
    ("current through the source, the input filter and the bias return", |circuit| {
        let around = &mut circuit.surroundings;
        around.source.resistance_ohm = 0.0;
        around.source.imbalance_ohm = 0.0;
        around.filter = None;
    }),
    ("the resistance that drives the reference", |circuit| circuit.surroundings.reference_resistance_ohm = 0.0),
    ("input resistance on the inner nodes", |circuit| {
        circuit.opamps.values_mut().for_each(|data| data.input_resistance_ohm = None);
    }),
    ("wiring in series with RG", |circuit| circuit.surroundings.strays.rg_resistance_ohm = 0.0),
];

/// A line for each reason that changes the gain, then one for what remains.
pub(super) fn reasons(ground: &Ground<'_>, by_hand: f64) -> Result<Vec<String>, BuildFault> {
    let exact = ground.bench.nominal.differential;
    let mut lines = Vec::new();
    let mut rest = (exact - by_hand) / by_hand;
    let mut bare = ground.stage().circuit.clone();
    let mut before = exact;
    for (what, take_away) in LEFT_OUT {
        take_away(&mut bare);
        let after = gains::<f64>(&build(&bare)?, 0.0)?.differential;
        let change = (before - after) / by_hand;
        before = after;
        if change.abs() > NOTHING {
            rest -= change;
            lines.push(format!("{what}: {}", signed(change)));
        }
    }
    if rest.abs() > NOTHING {
        lines.push(format!("values that are not in balance, so that the common form is not exact: {}", signed(rest)));
    }
    if lines.is_empty() {
        lines.push("Nothing was left out: on this source both are the same.".to_owned());
    }
    Ok(lines)
}
