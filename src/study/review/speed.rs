use super::threshold::{BANDWIDTH_RATIO, CORNER_LOSS_DB, FULL_POWER_RATIO, above, below};
use super::{Case, one};
use crate::quantity::{Unit, decibels, rounded};
use crate::study::Warning;
use crate::topology::BuildFault;

fn hertz(hz: f64) -> String {
    rounded(hz, Unit::Hertz, 3)
}

/// Bandwidth short of the signal.
pub(super) fn bandwidth(case: &Case<'_>) -> Result<Vec<Warning>, BuildFault> {
    let figure = case.design.bandwidth.as_ref().and_then(|figure| figure.small_signal_hz);
    let (Some(have), Some(signal)) = (figure, case.question.signal.bandwidth_hz) else { return Ok(Vec::new()) };
    if !below(have, BANDWIDTH_RATIO * signal) {
        return Ok(Vec::new());
    }
    let ratio = signal / have;
    let lost = 1.0 - 1.0 / (1.0 + ratio * ratio).sqrt();
    Ok(one(
        "bandwidth-short",
        format!(
            "the gain is 3 dB down at {}, and the signal reaches up to {}: a single pole loses {} there",
            hertz(have),
            hertz(signal),
            rounded(lost, Unit::Fraction, 2)
        ),
        "take faster op amps, spread the gain over both stages, or open the input filter, whichever is the slowest",
    ))
}

/// A slew rate short of the signal.
pub(super) fn slewing(case: &Case<'_>) -> Result<Vec<Warning>, BuildFault> {
    let figure = case.design.bandwidth.as_ref().and_then(|figure| figure.full_power?.limited);
    let (Some(limit), Some(signal)) = (figure, case.question.signal.bandwidth_hz) else { return Ok(Vec::new()) };
    if !below(limit.hz, FULL_POWER_RATIO * signal) {
        return Ok(Vec::new());
    }
    Ok(one(
        "slew-rate-short",
        format!(
            "{} slews no full swing faster than {}, and the signal reaches up to {}",
            limit.amp,
            hertz(limit.hz),
            hertz(signal)
        ),
        format!(
            "take an op amp with {} times the slew rate there, or less swing",
            rounded(FULL_POWER_RATIO * signal / limit.hz, Unit::Plain, 2)
        ),
    ))
}

/// Interference where an op amp's rejection is already falling.
pub(super) fn rejection_corner(case: &Case<'_>) -> Result<Vec<Warning>, BuildFault> {
    let Some(interference) = case.question.interference else { return Ok(Vec::new()) };
    let amps = case.question.topology.amps().iter();
    let corners = amps.filter_map(|&amp| Some((amp, case.stage.circuit.opamp(amp).rejection_corner_hz?)));
    let Some((amp, corner)) = corners.min_by(|a, b| a.1.total_cmp(&b.1)) else { return Ok(Vec::new()) };
    let ratio = interference.frequency_hz / corner;
    let lost = decibels((1.0 + ratio * ratio).sqrt());
    let worst_db = case.at_interference().and_then(|at| at.worst_db);
    if Case::at_ease(case.question.limits.rejection_at_interference_db, worst_db) || !above(lost, CORNER_LOSS_DB) {
        return Ok(Vec::new());
    }
    Ok(one(
        "rejection-corner",
        format!(
            "the interference at {} lies near or above {amp}'s rejection corner of {}: {} of its rejection are gone there, \
             and 20 dB more a decade for the harmonics",
            hertz(interference.frequency_hz),
            hertz(corner),
            rounded(lost, Unit::Decibel, 3)
        ),
        "take op amps whose rejection holds to a higher frequency, or keep the interference off the wires",
    ))
}
