use super::{Case, one};
use crate::corners;
use crate::designator::{Designator, Topology};
use crate::quantity::{Unit, rounded};
use crate::stage::Stage;
use crate::study::rejection::decibels;
use crate::study::{Warning, noise, offset};
use crate::topology::{BuildFault, build};
use Designator::{R1, R2, R5, R6};

/// R5 and R6 that were chosen: what they are for, and what they cost.
pub(super) fn costs(case: &Case<'_>) -> Result<Vec<Warning>, BuildFault> {
    let ohm = |name| case.stage.circuit.ohms.get(name);
    let chosen = case.design.resistors.iter().any(|line| line.name == R5 && line.chosen);
    let (true, Some(r1), Some(r2), Some(r5)) = (chosen && case.is(Topology::Difference), ohm(R1), ohm(R2), ohm(R5))
    else {
        return Ok(Vec::new());
    };
    let mut circuit = case.stage.circuit.clone();
    for name in [R5, R6] {
        circuit.ohms.set(name, None);
    }
    let lost = losses(case, &build(&circuit)?)?;
    let (plain, divided) = (1.0 + r2 / r1, 1.0 + r2 / r1 + r2 / r5);
    let factor = |x: f64| rounded(x, Unit::Plain, 3);
    Ok(one(
        "common-mode-divided",
        format!(
            "no resistors without R5 and R6 keep the common mode inside the limits of the op amp's inputs; with them its inputs \
             see 1/{} of it, where R1 to R4 alone leave 1/{}",
            factor(divided / (r2 / r1)),
            factor(plain / (r2 / r1))
        ),
        format!(
            "they raise the noise gain from {} to {}{lost}; an op amp whose inputs reach farther, or a higher supply, needs \
             less of it",
            factor(plain),
            factor(divided)
        ),
    ))
}

/// What is lost against the same resistors without R5 and R6.
fn losses(case: &Case<'_>, plain: &Stage) -> Result<String, BuildFault> {
    let volt = |x: f64| rounded(x, Unit::Volt, 3);
    let mut words = Vec::new();
    let mut lost = |what: &str, from: String, to: String| words.push(format!("{what} from {from} to {to}"));
    if let (Some(now), Some(before)) = (&case.offset, offset::figure(case.question, plain)?.figure) {
        lost("the worst offset", volt(before.rti_worst_v), volt(now.rti_worst_v));
    }
    let before = noise::figure(case.question, plain, case.design.reference_v)?.figure;
    if let (Some(now), Some(before)) = (&case.design.noise, before) {
        let density = |x: f64| rounded(x, Unit::VoltPerRootHertz, 3);
        lost("the noise density", density(before.density_v_per_rthz), density(now.density_v_per_rthz));
    }
    let before = decibels(corners::at_dc(plain, &plain.quantities(case.lot, 0.0))?.rejection);
    if let (Some(now), Some(before)) = (case.design.rejection.worst_db, before) {
        lost("the worst rejection", rounded(before, Unit::Decibel, 3), rounded(now, Unit::Decibel, 3));
    }
    Ok(words.into_iter().map(|one| format!(", {one}")).collect())
}
