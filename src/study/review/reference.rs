use super::threshold::{NOISY_REFERENCE_SHARE, SOFT_REFERENCE_SHARE, above};
use super::{Case, alone_db, one, percent};
use crate::quantity::{Unit, rounded};
use crate::stage::Cause;
use crate::study::Warning;
use crate::topology::BuildFault;

/// A reference that is driven through ohms.
pub(super) fn soft(case: &Case<'_>) -> Result<Vec<Warning>, BuildFault> {
    let ohm = case.question.reference_resistance_ohm;
    let share = case.share_at_dc(Cause::ReferenceResistance);
    let Some(alone) = alone_db(&case.design.rejection.causes, Cause::ReferenceResistance) else {
        return Ok(Vec::new());
    };
    if Case::at_ease(case.question.limits.rejection_db, case.design.rejection.worst_db)
        || !above(share, SOFT_REFERENCE_SHARE)
    {
        return Ok(Vec::new());
    }
    Ok(one(
        "reference-soft",
        format!(
            "the reference is driven through {}, which unbalances the circuit: alone it leaves {} of rejection, {} of \
             all that is lost",
            rounded(ohm, Unit::Ohm, 3),
            rounded(alone, Unit::Decibel, 3),
            percent(share)
        ),
        "drive the reference from an op amp as a follower; a divider alone is never stiff enough",
    ))
}

/// A reference whose resistance can be heard.
pub(super) fn noisy(case: &Case<'_>) -> Result<Vec<Warning>, BuildFault> {
    let Some(noise) = &case.design.noise else { return Ok(Vec::new()) };
    let power = |density: f64| density * density;
    let whole = power(noise.density_v_per_rthz);
    let line = noise.causes.iter().find(|one| one.cause == "reference resistance");
    let share = line.map_or(0.0, |one| power(one.density_v_per_rthz) / whole);
    if !above(share, NOISY_REFERENCE_SHARE) {
        return Ok(Vec::new());
    }
    Ok(one(
        "reference-noisy",
        format!(
            "the {} that drive the reference make {} of the noise power",
            rounded(case.question.reference_resistance_ohm, Unit::Ohm, 3),
            percent(share)
        ),
        "drive the reference from an op amp as a follower, with a capacitor to ground in front of it",
    ))
}
