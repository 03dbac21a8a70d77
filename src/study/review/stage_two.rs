use super::threshold::{STAGE_TWO_GAIN, above};
use super::{Case, one};
use crate::designator::Designator::{R1, R2, R3, R4, RF1, RF2, RG};
use crate::designator::Topology;
use crate::quantity::{Unit, decibels, rounded};
use crate::stage::Circuit;
use crate::study::{Warning, headroom};
use crate::topology::{BuildFault, build};

/// Gain in stage two that stage one could have.
pub(super) fn gain(case: &Case<'_>) -> Result<Vec<Warning>, BuildFault> {
    let ohms = &case.stage.circuit.ohms;
    let of = |name| ohms.get(name).unwrap_or(f64::NAN);
    let second = of(R2) / of(R1);
    if !case.is(Topology::ThreeOpAmp) || !above(second, STAGE_TWO_GAIN) {
        return Ok(Vec::new());
    }
    let first = ohms.get(RG).map_or(1.0, |rg| 1.0 + (of(RF1) + of(RF2)) / rg);
    let whole = first * second;
    let moved = moved(&case.stage.circuit, whole);
    let fits = headroom::margin(case.question, &build(&moved)?, case.design.reference_v)?;
    if fits.is_some_and(|margin| margin < 0.0) {
        return Ok(Vec::new());
    }
    let show = |value| rounded(value, Unit::Plain, 3);
    let gained = decibels(whole * 2.0 / (first * (1.0 + second)));
    let room =
        if fits.is_some() { "and stage one has the room for it" } else { "unless stage one lacks the room for it" };
    Ok(one(
        "stage-two-gain",
        format!(
            "stage two has a gain of {} and stage one only {}, {room}: all the gain in stage one would reject {} more of \
             what the ratio resistors spoil, and make A3's errors {} times smaller",
            show(second),
            show(first),
            rounded(gained, Unit::Decibel, 3),
            show(second)
        ),
        "set circuit.stage_two_gain = 1, and leave RG to set the gain",
    ))
}

/// The same gain, all of it in stage one.
fn moved(circuit: &Circuit, whole: f64) -> Circuit {
    let mut moved = circuit.clone();
    let of = |name| circuit.ohms.get(name).unwrap_or(f64::NAN);
    moved.ohms.set(R2, circuit.ohms.get(R1));
    moved.ohms.set(R4, circuit.ohms.get(R3));
    moved.ohms.set(RG, Some((of(RF1) + of(RF2)) / (whole - 1.0)));
    moved
}
