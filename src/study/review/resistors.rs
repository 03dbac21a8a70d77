use super::threshold::{AT_EASE_RATIO, DOMINANT_SHARE, UNDRAWN_OHM, WIRING_SHARE, above};
use super::{Case, one, percent};
use crate::designator::Designator;
use crate::designator::Designator::RG;
use crate::quantity::{Unit, rounded};
use crate::study::Warning;
use crate::topology::BuildFault;

/// RG so low that its wiring is a part of it.
pub(super) fn wiring(case: &Case<'_>) -> Result<Vec<Warning>, BuildFault> {
    let Some(ohm) = case.stage.circuit.ohms.get(RG) else { return Ok(Vec::new()) };
    let bound = case.lot.grades.get(&RG).map_or(0.0, |grade| grade.bound(case.lot.reach_k));
    let stated = case.question.strays.rg_resistance_ohm;
    let wire = if stated > 0.0 { stated } else { UNDRAWN_OHM };
    let change = wire / ohm;
    if bound == 0.0 || !above(change, WIRING_SHARE * bound) {
        return Ok(Vec::new());
    }
    let told = |share| rounded(share, Unit::Fraction, 2);
    let (whose, unstated) = if stated > 0.0 { ("the", "") } else { ("a mere", " of trace and joints") };
    Ok(one(
        "rg-wiring",
        format!(
            "RG is {}: {whose} {}{unstated} in series change it by {}, against the {} it may be off by itself",
            rounded(ohm, Unit::Ohm, 3),
            rounded(wire, Unit::Ohm, 2),
            told(change),
            told(bound)
        ),
        "sense RG at its own pads with short, wide, equal traces, or make RF1 and RF2 larger so that RG may be larger",
    ))
}

/// Resistors of the circuit that make more noise than everything else.
pub(super) fn noise(case: &Case<'_>) -> Result<Vec<Warning>, BuildFault> {
    let Some(noise) = &case.design.noise else { return Ok(Vec::new()) };
    let eased = match (case.question.limits.noise_v, noise.rms_v) {
        (Some(limit), Some(rms)) => rms * AT_EASE_RATIO <= limit,
        _ => false,
    };
    let power = |density: f64| density * density;
    let whole = power(noise.density_v_per_rthz);
    let of_circuit = noise.causes.iter().filter(|one| one.cause.parse::<Designator>().is_ok());
    let own: f64 = of_circuit.clone().map(|one| power(one.density_v_per_rthz)).sum();
    let has_op_amps = noise.causes.iter().any(|one| one.cause.contains("voltage"));
    let share = own / whole;
    if eased || !has_op_amps || !above(share, DOMINANT_SHARE) {
        return Ok(Vec::new());
    }
    let loudest = of_circuit.max_by(|a, b| a.density_v_per_rthz.total_cmp(&b.density_v_per_rthz));
    let loudest = loudest.map_or_else(String::new, |one| {
        format!(", {} alone {}", one.cause, rounded(one.density_v_per_rthz, Unit::VoltPerRootHertz, 3))
    });
    Ok(one(
        "resistor-noise",
        format!(
            "the circuit's own resistors make {} of the noise power at 1 kHz ({} of {}{loudest}): better op amps would not \
             be heard",
            percent(share),
            rounded(own.sqrt(), Unit::VoltPerRootHertz, 3),
            rounded(noise.density_v_per_rthz, Unit::VoltPerRootHertz, 3)
        ),
        "make all of them smaller by the same factor, as far as the op amps can drive them: a quarter of the resistance \
         halves their noise",
    ))
}
