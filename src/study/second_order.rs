//! Second-order effects that the spec asks for by their keys.
use super::{Question, Span, Told};
use crate::designator::Designator;
use crate::network::NetworkFault;
use crate::predict::{self, ExcessNoise, Operating, ResistorVoltage, SelfHeating};
use crate::stage::Stage;
use std::collections::BTreeMap;

/// The corners of the signal's rectangle, `wider` by the dc offset where asked; `None` where a range lacks.
fn corners(question: &Question, reference_v: f64, with_dc_offset: bool) -> Option<Vec<Operating>> {
    let (mut differential, common) = (question.signal.differential?, question.signal.common_mode?);
    if let (Some(offset), true) = (question.signal.dc_offset, with_dc_offset) {
        differential = Span { low: differential.low + offset.low, high: differential.high + offset.high };
    }
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
pub fn self_heating(question: &Question, stage: &Stage, reference_v: f64) -> Result<Told<SelfHeating>, NetworkFault> {
    let Some(kelvin_per_watt) = question.resistors.thermal_resistance_k_per_w else { return Ok(Told::nothing()) };
    let Some(points) = corners(question, reference_v, false) else {
        return Ok(Told::lacks("budget.nonlinearity", "signal.differential and signal.common_mode"));
    };
    let tempcos: BTreeMap<Designator, f64> =
        stage.circuit.ohms.present().map(|(name, _)| (name, question.resistors.grade_of(name).tempco_per_k)).collect();
    Ok(Told::whole(predict::self_heating(stage, &points, &tempcos, kelvin_per_watt)?))
}

/// Excess noise of the resistors, with `resistors.noise_index`; else nothing. Each carries the greatest
/// dc voltage of the signal's rectangle, dc offset included. It is independent of all other noise:
/// squares add.
///
/// # Errors
/// [`NetworkFault::Singular`].
pub fn excess_noise(question: &Question, stage: &Stage, reference_v: f64) -> Result<Told<ExcessNoise>, NetworkFault> {
    let Some(index_db) = question.resistors.noise_index_db else { return Ok(Told::nothing()) };
    let (Some(points), Some(bandwidth_hz)) = (corners(question, reference_v, true), question.signal.bandwidth_hz)
    else {
        return Ok(Told::lacks("noise", "signal.differential, signal.common_mode and signal.bandwidth"));
    };
    let upper =
        if question.signal.single_pole_noise { bandwidth_hz * std::f64::consts::FRAC_PI_2 } else { bandwidth_hz };
    let lower = question.signal.noise_from_hz.unwrap_or(0.1);
    if !(lower > 0.0 && lower < upper) {
        return Ok(Told::lacks("noise", "signal.noise_from above 0 Hz and below signal.bandwidth"));
    }
    let mut across: Vec<ResistorVoltage> = Vec::new();
    for point in &points {
        for seen in predict::resistor_voltages(stage, point)? {
            match across.iter_mut().find(|one| one.name == seen.name) {
                Some(one) => one.volt = one.volt.abs().max(seen.volt.abs()),
                None => across.push(seen),
            }
        }
    }
    Ok(Told::whole(predict::excess_noise(stage, &across, index_db, (lower, upper))?))
}
