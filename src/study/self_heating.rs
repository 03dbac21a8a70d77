//! Self-heating of the resistors, where the spec asks for it.
use super::{Question, Told};
use crate::designator::Designator;
use crate::network::NetworkFault;
use crate::predict::{self, Operating, SelfHeating};
use crate::stage::Stage;
use std::collections::BTreeMap;

/// The corners of the signal's rectangle; `None` where a range lacks.
fn corners(question: &Question, reference_v: f64) -> Option<Vec<Operating>> {
    let (differential, common) = (question.signal.differential?, question.signal.common_mode?);
    let mut all = Vec::new();
    for differential_v in [differential.low, differential.high] {
        for common_v in [common.low, common.high] {
            all.push(Operating { differential_v, common_v, reference_v });
        }
    }
    Some(all)
}

/// Self-heating of the resistors as nonlinearity, with `resistors.thermal_resistance`; else nothing.
/// The tempco is that of a resistor's grade, in a network too: its members warm up unequally.
///
/// # Errors
/// [`NetworkFault::Singular`].
pub fn figure(question: &Question, stage: &Stage, reference_v: f64) -> Result<Told<SelfHeating>, NetworkFault> {
    let Some(kelvin_per_watt) = question.resistors.thermal_resistance_k_per_w else { return Ok(Told::unasked()) };
    let Some(points) = corners(question, reference_v) else {
        return Ok(Told::missing("budget.nonlinearity", &["signal.differential", "signal.common_mode"]));
    };
    let tempcos: BTreeMap<Designator, f64> =
        stage.circuit.ohms.present().map(|(name, _)| (name, question.resistors.grade_of(name).tempco_per_k)).collect();
    Ok(Told::figure(predict::self_heating(stage, &points, &tempcos, kelvin_per_watt)?))
}
