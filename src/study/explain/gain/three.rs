use super::super::explanation::Board;
use super::super::ground::{Ground, Voltages};
use super::super::law;
use super::difference;
use crate::designator::Amp;
use crate::designator::Designator::{R1, R2, RF1, RF2, RG};
use crate::equation::{Equation, Expr};
use crate::quantity::Unit;
use crate::topology::BuildFault;

pub(super) fn derive(ground: &Ground<'_>, board: &mut Board) -> Result<Expr, BuildFault> {
    let at = ground.state()?;
    let (positive, negative) = super::inputs(ground, board);
    let (low, high) = stage_one(ground, board, &at, &positive, &negative);
    let first = stage_one_gain(ground, board, &at);
    difference::stage(ground, board, &at, Amp::A3, &high, &low);
    let second = Equation::new("G2", Unit::Plain, ground.needed(R2) / ground.needed(R1));
    let second = board.write(
        "With R4/R3 = R2/R1 stage two takes the difference of v_A2 and v_A1 and drops what they have in common:",
        second,
        None,
        law::DIFFERENCE_GAIN,
    );
    let whole = Equation::new("G", Unit::Plain, first * second);
    Ok(board.write("Together:", whole, ground.bench.nominal.differential, law::WHOLE_GAIN))
}

/// From the wires to the outputs of A1 and A2.
fn stage_one(
    ground: &Ground<'_>,
    board: &mut Board,
    at: &Voltages<'_>,
    positive: &Expr,
    negative: &Expr,
) -> (Expr, Expr) {
    let volt = |name: &'static str, law: Expr| Equation::new(name, Unit::Volt, law);
    let rules = "Two rules carry the rest: no current flows into an op amp's inputs, and with feedback the op amp \
                 moves its output until its two inputs are level.";
    let Some(rg) = ground.ohm(RG) else {
        board.say(
            format!("{rules} RG is left out: no current flows in RF1 and RF2, and A1 and A2 follow."),
            Some(law::LEVEL),
        );
        let low = board.write("", volt("v_A1", negative.clone()), at.output(Amp::A1), law::STAGE_ONE_OUTPUTS);
        let high = board.write("", volt("v_A2", positive.clone()), at.output(Amp::A2), law::STAGE_ONE_OUTPUTS);
        return (low, high);
    };
    board.say(
        format!("{rules} So A1's inverting node, one end of RG, stands at v_n, and A2's, the other end, at v_p."),
        Some(law::LEVEL),
    );
    let ohm = ground.stage().circuit.ohms.get(RG).unwrap_or(f64::INFINITY)
        + ground.stage().circuit.surroundings.strays.rg_resistance_ohm;
    let exact = at.minus(Amp::A2).zip(at.minus(Amp::A1)).map(|(high, low)| (high - low) / ohm);
    let current = board.write(
        "The whole difference stands across RG:",
        Equation::new("i_G", Unit::Ampere, (positive.clone() - negative.clone()) / rg),
        exact,
        law::GAIN_CURRENT,
    );
    let low = board.write(
        "That current can't come out of an op amp's input: it comes from A2's output through RF2, and it goes to \
         A1's output through RF1. One output is driven down, the other up:",
        volt("v_A1", negative.clone() - current.clone() * ground.needed(RF1)),
        at.output(Amp::A1),
        law::STAGE_ONE_OUTPUTS,
    );
    let high = board.write(
        "",
        volt("v_A2", positive.clone() + current * ground.needed(RF2)),
        at.output(Amp::A2),
        law::STAGE_ONE_OUTPUTS,
    );
    (low, high)
}

/// `1 + (RF1 + RF2)/RG`.
pub(in super::super) fn stage_one_gain(ground: &Ground<'_>, board: &mut Board, at: &Voltages<'_>) -> Expr {
    let law_of = stage_one_law(ground);
    let exact = at.output(Amp::A2).zip(at.output(Amp::A1)).map(|(high, low)| (high - low) / ground.differential_v);
    board.write(
        "The same current flows in all three resistors, so stage one turns v_d into",
        Equation::new("G1", Unit::Plain, law_of),
        exact,
        law::STAGE_ONE_GAIN,
    )
}

pub(in super::super) fn stage_one_law(ground: &Ground<'_>) -> Expr {
    match ground.ohm(RG) {
        Some(rg) => 1.0 + (ground.needed(RF1) + ground.needed(RF2)) / rg,
        None => Expr::from(1.0),
    }
}
