use super::threshold::{AT_EASE_RATIO, CURRENT_SHARE, above};
use super::{Case, one, percent};
use crate::predict::OffsetSource;
use crate::quantity::{Unit, rounded};
use crate::study::Warning;
use crate::topology::BuildFault;

/// A floating source without a way for the bias current.
pub(super) fn no_path(case: &Case<'_>) -> Result<Vec<Warning>, BuildFault> {
    let source = &case.question.source;
    if !source.floating || source.bias_return_ohm.is_some() {
        return Ok(Vec::new());
    }
    let amps = case.question.topology.amps().iter();
    let current = amps.filter_map(|&amp| case.stage.circuit.opamp(amp).bias_current_a).fold(0.0, f64::max);
    let stated = if current > 0.0 { format!(" of {}", rounded(current, Unit::Ampere, 3)) } else { String::new() };
    Ok(one(
        "no-bias-path",
        format!(
            "the source floats and nothing leads from the inputs to the supplies: the bias current{stated} has no way and \
             drives both inputs into a rail"
        ),
        "give source.bias_return, as \"1 MΩ\" from each input to the reference; smaller carries the current better, larger \
         keeps the rejection",
    ))
}

/// Bias and offset currents that make more of the offset than the offset voltages do.
pub(super) fn dominates(case: &Case<'_>) -> Result<Vec<Warning>, BuildFault> {
    let Some(offset) = &case.offset else { return Ok(Vec::new()) };
    let by_current =
        |source: &OffsetSource| matches!(source, OffsetSource::BiasCurrent(_) | OffsetSource::OffsetCurrent(_));
    let currents: f64 = offset.causes.iter().filter(|one| by_current(&one.source)).map(|one| one.rti_v).sum();
    let share = currents / offset.rti_worst_v;
    let eased = case.question.limits.offset_v.is_some_and(|limit| offset.rti_worst_v * AT_EASE_RATIO <= limit);
    let has_voltages = offset.causes.iter().any(|one| matches!(one.source, OffsetSource::Voltage(_)));
    if eased || !has_voltages || !above(share, CURRENT_SHARE) {
        return Ok(Vec::new());
    }
    let greatest =
        offset.causes.iter().filter(|one| by_current(&one.source)).max_by(|a, b| a.rti_v.total_cmp(&b.rti_v));
    let worst = greatest
        .map_or_else(String::new, |one| format!(", {} alone {}", one.source, rounded(one.rti_v, Unit::Volt, 3)));
    Ok(one(
        "bias-current-dominates",
        format!(
            "input currents through the resistances make {} of the offset of {}{worst}",
            percent(share),
            rounded(offset.rti_worst_v, Unit::Volt, 3)
        ),
        "lower the resistances in front of the inputs and around the op amps, or take op amps with less bias and offset \
         current; a lower offset voltage buys little",
    ))
}
