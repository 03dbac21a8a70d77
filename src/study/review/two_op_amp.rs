use super::threshold::{FIRST_OP_AMP_GAIN, above};
use super::{Case, one};
use crate::designator::Designator::{R1, R2};
use crate::designator::Topology;
use crate::quantity::{Unit, rounded};
use crate::study::Warning;
use crate::topology::BuildFault;

/// What A1 makes of a common mode, V/V.
fn first_gain(case: &Case<'_>) -> Option<f64> {
    let ohm = |name| case.stage.circuit.ohms.get(name);
    case.is(Topology::TwoOpAmp).then(|| Some(1.0 + ohm(R2)? / ohm(R1)?)).flatten()
}

/// A gain so low that A1 swings with the common mode.
pub(super) fn low_gain(case: &Case<'_>) -> Result<Vec<Warning>, BuildFault> {
    let Some(first) = first_gain(case).filter(|&first| above(first, FIRST_OP_AMP_GAIN)) else { return Ok(Vec::new()) };
    Ok(one(
        "two-op-amp-low-gain",
        format!(
            "at a gain of {} A1 has to amplify the common mode by {}: it uses up its swing on what A2 takes away again",
            rounded(case.design.gain.nominal, Unit::Plain, 3),
            rounded(first, Unit::Plain, 3)
        ),
        "take three op amps for a gain this low, or keep the common mode close to the reference",
    ))
}

/// A common mode that A1 can't follow.
pub(super) fn common_mode(case: &Case<'_>) -> Result<Vec<Warning>, BuildFault> {
    let (Some(first), Some(headroom)) = (first_gain(case), &case.design.headroom) else { return Ok(Vec::new()) };
    let Some(output) = headroom.points.iter().find(|point| point.name == "A1 output" && point.margin_v < 0.0) else {
        return Ok(Vec::new());
    };
    Ok(one(
        "two-op-amp-common-mode",
        format!(
            "A1 can't follow the common mode: its output moves by {} for each volt of it and would reach {} to {}, beyond \
             its limits of {} and {}",
            rounded(first, Unit::Plain, 3),
            rounded(output.lowest_v, Unit::Volt, 3),
            rounded(output.highest_v, Unit::Volt, 3),
            rounded(output.low_limit_v, Unit::Volt, 3),
            rounded(output.high_limit_v, Unit::Volt, 3)
        ),
        "bring the reference to the middle of the common mode, take a wider supply, or take three op amps, whose first \
         stage passes the common mode with a gain of 1",
    ))
}
