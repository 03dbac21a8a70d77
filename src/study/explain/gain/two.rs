use super::super::explanation::Board;
use super::super::ground::Ground;
use super::super::law;
use crate::designator::Amp;
use crate::designator::Designator::{R1, R2, R3, R4, RG};
use crate::equation::{Equation, Expr};
use crate::quantity::Unit;
use crate::topology::BuildFault;

pub(super) fn derive(ground: &Ground<'_>, board: &mut Board) -> Result<Expr, BuildFault> {
    let at = ground.state()?;
    let (positive, negative) = super::inputs(ground, board);
    let volt = |name: &'static str, law: Expr| Equation::new(name, Unit::Volt, law);
    let ampere = |name: &'static str, law: Expr| Equation::new(name, Unit::Ampere, law);
    let [r1, r2, r3, r4] = [R1, R2, R3, R4].map(|name| ground.needed(name));
    board.say(
        "Two rules carry the rest: no current flows into an op amp's inputs, and with feedback the op amp moves its \
         output until its two inputs are level. So A1's inverting node stands at v_n and A2's at v_p.",
        Some(law::LEVEL),
    );
    let to_reference = board.write(
        "From A1's node a current flows to the reference through R1:",
        ampere("i_1", (negative.clone() - ground.reference()) / r1),
        None,
        law::FIRST_OF_TWO,
    );
    let across = ground.ohm(RG).map(|rg| {
        board.write(
            "The whole difference stands across RG and drives a current from A2's node into A1's:",
            ampere("i_G", (positive.clone() - negative.clone()) / rg),
            None,
            law::FIRST_OF_TWO,
        )
    });
    let supplied = match &across {
        Some(across) => to_reference - across.clone(),
        None => to_reference,
    };
    let first = board.write(
        "What R1 takes and RG does not bring, A1 sends through R2:",
        volt("v_A1", negative + r2 * supplied),
        at.output(Amp::A1),
        law::FIRST_OF_TWO,
    );
    let back = board.write(
        "At A2's node R3 takes a current to A1's output:",
        ampere("i_3", (positive.clone() - first) / r3),
        None,
        law::SECOND_OF_TWO,
    );
    let supplied = match across {
        Some(across) => back + across,
        None => back,
    };
    board.write(
        "A2 sends what leaves its node through R4:",
        volt("v_out", positive + r4 * supplied),
        at.output(Amp::A2),
        law::SECOND_OF_TWO,
    );
    Ok(board.write(
        "With R1 = R4 and R2 = R3 the common mode drops out, and each volt of difference gives",
        Equation::new("G", Unit::Plain, law_of(ground)),
        ground.bench.nominal.differential,
        law::TWO_GAIN,
    ))
}

/// `1 + R4/R3 + 2·R4/RG`.
pub(in super::super) fn law_of(ground: &Ground<'_>) -> Expr {
    let r4 = || ground.needed(R4);
    let open = 1.0 + r4() / ground.needed(R3);
    match ground.ohm(RG) {
        Some(rg) => open + 2.0 * r4() / rg,
        None => open,
    }
}
