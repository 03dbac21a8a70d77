//! What each resistor has to dissipate.
use super::Question;
use super::conditions::Conditions;
use crate::designator::Designator;
use crate::network::{Excitation, NetworkFault};
use crate::stage::{Role, Stage};
use std::collections::BTreeMap;

/// The greatest power in each resistor over the signal's rectangle, dc, nominal values, W; nothing where
/// signals or supply are not stated.
///
/// Power is convex in the signal, so the greatest stands at a corner of the rectangle.
///
/// # Errors
/// [`NetworkFault::Singular`].
pub(super) fn powers(
    question: &Question,
    stage: &Stage,
    reference_v: f64,
) -> Result<BTreeMap<Designator, f64>, NetworkFault> {
    let Ok(conditions) = Conditions::of(question, reference_v) else { return Ok(BTreeMap::new()) };
    let solver = stage.network.at::<f64>(0.0)?;
    let mut all = BTreeMap::new();
    let signals = conditions.load.signals;
    for common in [signals.common_mode_v.0, signals.common_mode_v.1] {
        for difference in [signals.differential_v.0, signals.differential_v.1] {
            let state = solver.state(
                &Excitation::emf(stage.ports.positive, common + difference / 2.0)
                    .and_emf(stage.ports.negative, common - difference / 2.0)
                    .and_emf(stage.ports.reference, reference_v),
            );
            for &(role, element) in &stage.roles {
                let (Role::Resistor(name), Some((a, b))) = (role, stage.network.ends(element)) else { continue };
                let Some(ohm) = stage.circuit.ohms.get(name) else { continue };
                let volt = state.voltage(a) - state.voltage(b);
                let power = all.entry(name).or_insert(0.0_f64);
                *power = power.max(volt * volt / ohm);
            }
        }
    }
    Ok(all)
}
