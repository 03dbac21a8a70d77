//! What tolerances do to the gain, to first order.
use super::super::bounds::{self, Bound, weighted};
use super::super::explanation::Board;
use super::super::ground::Ground;
use super::super::law;
use super::weights::{Weight, of_bridge, of_chip, of_stage_one, of_two};
use crate::corners::{self, WorstCase};
use crate::designator::Topology;
use crate::equation::{Equation, Expr, GIVEN_DIGITS};
use crate::quantity::{Unit, rounded};
use crate::stage::Lot;
use crate::topology::BuildFault;

/// One part of the spread: a weight times a bound.
struct Part {
    weight: Expr,
    bounds: Vec<Bound>,
}

pub(super) fn write(ground: &Ground<'_>, gain: &Expr, board: &mut Board) -> Result<(), BuildFault> {
    let mut written = Board::default();
    let weights = match ground.question.topology {
        Topology::TwoOpAmp => of_two(ground, gain, &mut written),
        Topology::SingleChip => of_chip(ground, gain, &mut written),
        Topology::ThreeOpAmp => {
            let mut all = of_stage_one(ground, &mut written);
            all.extend(of_bridge(ground, &mut written));
            all
        }
        _ => of_bridge(ground, &mut written),
    };
    let mut parts = own(ground, &weights, &mut written);
    parts.extend(shared(ground, &weights, &mut written));
    let chip = chip_terms(ground, &mut written);
    if parts.is_empty() && chip.is_none() {
        return Ok(());
    }
    board.steps.extend(written.steps);
    let sum = |of: fn(&Bound) -> &Expr| {
        let terms = parts
            .iter()
            .map(|part| weighted(Some(&part.weight), part.bounds.iter().map(|bound| of(bound).clone()).collect()));
        terms.collect::<Vec<_>>()
    };
    let mut warm = sum(|bound| &bound.warm);
    let mut cold = sum(|bound| &bound.cold);
    if let Some((still, drift)) = chip {
        cold.extend(still.clone());
        warm.extend(still);
        warm.extend(drift);
    }
    let worst = &ground.bench.worst;
    board.write(
        "What tolerances do to the gain: each resistor counts with its weight, and at the worst all of them pull the same \
         way (members of one network by half their match). To either side the gain may then go, for the parts that set it \
         alone (the network's figure is half of the whole spread, of open-loop gain and source too), by",
        Equation::new("s_T", Unit::Fraction, Expr::sum(warm.clone())),
        half_spread(ground, worst),
        law::GAIN_SPREAD,
    );
    if warm != cold && !cold.is_empty() {
        let still = Lot { reach_k: 0.0, ..ground.lot().clone() };
        let stage = ground.stage();
        let worst = corners::at_dc(stage, &stage.quantities(&still, 0.0))?;
        board.write(
            "and at the calibration temperature, without what temperature adds,",
            Equation::new("s_0", Unit::Fraction, Expr::sum(cold)),
            half_spread(ground, &worst),
            law::GAIN_SPREAD,
        );
    }
    Ok(())
}

fn half_spread(ground: &Ground<'_>, worst: &WorstCase) -> f64 {
    (worst.gain_high - worst.gain_low) / 2.0 / ground.bench.nominal.differential.abs()
}

/// What each resistor does by itself; resistors of the same weight in one part.
fn own(ground: &Ground<'_>, weights: &[Weight], board: &mut Board) -> Vec<Part> {
    let mut parts: Vec<Part> = Vec::new();
    for one in weights {
        let Some(bound) = bounds::own(ground, one.name, board) else { continue };
        match parts.iter_mut().find(|part| part.weight == one.weight) {
            Some(part) => part.bounds.push(bound),
            None => parts.push(Part { weight: one.weight.clone(), bounds: vec![bound] }),
        }
    }
    parts
}

/// What the members of a network share: it drops out among them, but not against a resistor outside.
fn shared(ground: &Ground<'_>, weights: &[Weight], board: &mut Board) -> Vec<Part> {
    let mut parts = Vec::new();
    for (index, network) in ground.lot().networks.iter().enumerate() {
        let members = weights.iter().filter(|one| network.members.contains(&one.name));
        let sum = Expr::sum(members.map(|one| if one.sign < 0.0 { -one.weight.clone() } else { one.weight.clone() }));
        if sum.value().abs() < 1e-9 {
            continue;
        }
        let Some(bound) = bounds::shared(ground, index, board) else { continue };
        let weight = board.write(
            format!(
                "What all members of network {} share drops out among them, but not against the resistors outside it; \
                 what remains of their weights is",
                index + 1
            ),
            Equation::new(format!("w_N{}", index + 1), Unit::Plain, sum.magnitude()),
            None,
            law::GAIN_SPREAD,
        );
        parts.push(Part { weight, bounds: vec![bound] });
    }
    parts
}

/// What a chip's data sheet states: at calibration, and over temperature.
fn chip_terms(ground: &Ground<'_>, board: &mut Board) -> Option<(Vec<Expr>, Vec<Expr>)> {
    let circuit = &ground.stage().circuit;
    let (chip, gain) = (circuit.chip.as_ref()?, circuit.chip_gain()?);
    let listed = chip.gain_error_at(gain);
    if let Some(listed) = listed {
        board.say(
            format!(
                "What the chip itself may be off by stands in its data sheet, by gain. Of that list the row at this gain or \
                 the next one above holds, since the error grows with the gain; {} that of a gain of {}: t_chip = {}.",
                if listed.beyond { "this gain lies beyond the list, whose end is taken," } else { "here" },
                rounded(listed.at_gain, Unit::Plain, 5),
                rounded(listed.value, Unit::Fraction, GIVEN_DIGITS)
            ),
            Some(law::CHIP_GAIN),
        );
    }
    let still = listed.map(|listed| Expr::symbol("t_chip", listed.value, Unit::Fraction));
    let drift = chip.gain_drift_per_k.filter(|_| ground.lot().reach_k > 0.0);
    let drift = drift.map(|value| Expr::symbol("TC_chip", value, Unit::PerKelvin) * ground.reach());
    (still.is_some() || drift.is_some()).then(|| (still.into_iter().collect(), drift.into_iter().collect()))
}
