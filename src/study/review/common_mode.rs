use super::threshold::{STATIC_TO_OFFSET, above};
use super::{Case, one};
use crate::quantity::{Unit, from_decibels, rounded};
use crate::study::Warning;
use crate::topology::BuildFault;

/// A common mode away from the reference that costs more than the offset does.
pub(super) fn costs(case: &Case<'_>) -> Result<Vec<Warning>, BuildFault> {
    let (Some(common), Some(offset), Some(worst_db)) =
        (case.question.signal.common_mode, &case.offset, case.design.rejection.worst_db)
    else {
        return Ok(Vec::new());
    };
    let away = (common.high - case.design.reference_v).abs().max((common.low - case.design.reference_v).abs());
    let error_v = away / from_decibels(worst_db);
    if offset.rti_worst_v <= 0.0 || !above(error_v, STATIC_TO_OFFSET * offset.rti_worst_v) {
        return Ok(Vec::new());
    }
    let left = common.width() / from_decibels(worst_db);
    Ok(one(
        "static-common-mode",
        format!(
            "the common mode stands up to {} away from the reference; at a rejection of {} that is an error of {} at the \
             input, more than the offset of {}",
            rounded(away, Unit::Volt, 3),
            rounded(worst_db, Unit::Decibel, 3),
            rounded(error_v, Unit::Volt, 3),
            rounded(offset.rti_worst_v, Unit::Volt, 3)
        ),
        format!(
            "bring the reference nearer to the common mode or better the rejection; calibration takes the constant part \
             away and leaves {}, for the {} over which the common mode moves",
            rounded(left, Unit::Volt, 3),
            rounded(common.width(), Unit::Volt, 3)
        ),
    ))
}
