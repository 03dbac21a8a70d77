use super::threshold::{WASTED_MATCH_DB, above};
use super::{Case, alone_db, error_of, one};
use crate::quantity::{Unit, decibels, rounded};
use crate::stage::Cause;
use crate::study::Warning;
use crate::topology::BuildFault;

/// Matching that buys less than the op amps lose.
pub(super) fn wasted(case: &Case<'_>) -> Result<Vec<Warning>, BuildFault> {
    if case.lot.networks.is_empty() {
        return Ok(Vec::new());
    }
    let causes = &case.design.rejection.causes;
    let Some(resistors_db) = alone_db(causes, Cause::RatioResistors) else { return Ok(Vec::new()) };
    let lost = error_of(causes, &[Cause::FirstStageOpAmps, Cause::OutputOpAmp, Cause::OpenLoopGain]);
    let op_amps_db = decibels(1.0 / lost);
    if !op_amps_db.is_finite() || !above(resistors_db - op_amps_db, WASTED_MATCH_DB) {
        return Ok(Vec::new());
    }
    Ok(one(
        "match-wasted",
        format!(
            "the matched resistors alone would give {}, the op amps give no more than {}: the matching buys next to nothing",
            rounded(resistors_db, Unit::Decibel, 3),
            rounded(op_amps_db, Unit::Decibel, 3)
        ),
        "take op amps with more rejection, or save the money for the network",
    ))
}
