//! The gain, from the rules of the op amp through every node to the output.
mod chip;
mod difference;
mod spread;
mod three;
mod two;
mod weights;
mod why;

pub(super) use chip::law_of as chip_law;
pub(super) use three::stage_one_law;
pub(super) use two::law_of as two_op_amp_law;

use super::explanation::{Board, Explanation, Outcome, Topic};
use super::ground::Ground;
use super::law;
use crate::designator::Topology;
use crate::equation::{Equation, Expr};
use crate::quantity::{Unit, rounded};
use crate::topology::BuildFault;

pub(super) fn explain(ground: &Ground<'_>) -> Result<Explanation, BuildFault> {
    let mut board = Board::default();
    let by_hand = derive(ground, &mut board)?;
    spread::write(ground, &by_hand, &mut board)?;
    let exact = ground.bench.nominal.differential;
    let outcome = Outcome {
        what: "gain",
        unit: Unit::Plain,
        by_hand: Some(by_hand.value()),
        exact: Some(exact),
        why: why::reasons(ground, by_hand.value())?,
    };
    Ok(Explanation {
        meaning: "The gain is the change of the output for a change of the difference between the two wires, with \
                  their common mode held: A_d = dv_out/dv_d. It is counted from the source's own voltage, so what \
                  the source loses on the way is part of it."
            .to_owned(),
        steps: board.steps,
        outcome: Some(outcome),
        ..Explanation::new(Topic::Gain)
    })
}

/// The working up to the gain, of which it returns the symbol.
fn derive(ground: &Ground<'_>, board: &mut Board) -> Result<Expr, BuildFault> {
    match ground.question.topology {
        Topology::Difference => difference::plain(ground, board),
        Topology::BufferedDifference => difference::buffered(ground, board),
        Topology::ThreeOpAmp => three::derive(ground, board),
        Topology::TwoOpAmp => two::derive(ground, board),
        Topology::SingleChip => Ok(chip::derive(ground, board)),
    }
}

/// The two wires, and the rules.
pub(super) fn inputs(ground: &Ground<'_>, board: &mut Board) -> (Expr, Expr) {
    let common = Expr::symbol("v_cm", ground.common_mode_v, Unit::Volt);
    let difference = Expr::symbol("v_d", ground.differential_v, Unit::Volt);
    let half = || difference.clone() / Expr::from(2.0);
    let point = format!(
        "Take the signal at v_d = {} on a common mode of v_cm = {}. Half of the difference lifts the positive wire, \
         half of it lowers the negative one:",
        rounded(ground.differential_v, Unit::Volt, 4),
        rounded(ground.common_mode_v, Unit::Volt, 4)
    );
    let positive = board.write(point, Equation::new("v_p", Unit::Volt, common.clone() + half()), None, law::INPUTS);
    let negative = board.write("", Equation::new("v_n", Unit::Volt, common - half()), None, law::INPUTS);
    (positive, negative)
}
