use super::super::explanation::Board;
use super::super::ground::{Ground, Voltages};
use super::super::law;
use crate::designator::Amp;
use crate::designator::Designator::{R1, R2, R3, R4, R5, R6};
use crate::equation::{Equation, Expr};
use crate::quantity::Unit;
use crate::topology::BuildFault;

/// One op amp and its resistors.
pub(super) fn plain(ground: &Ground<'_>, board: &mut Board) -> Result<Expr, BuildFault> {
    let at = ground.state()?;
    let (positive, negative) = super::inputs(ground, board);
    board.say(
        "Two rules carry the rest: no current flows into an op amp's inputs, and with feedback the op amp moves its \
         output until its two inputs are level.",
        Some(law::LEVEL),
    );
    stage(ground, board, &at, Amp::A1, &positive, &negative);
    Ok(gain(ground, board))
}

/// Two followers in front.
pub(super) fn buffered(ground: &Ground<'_>, board: &mut Board) -> Result<Expr, BuildFault> {
    let at = ground.state()?;
    let (positive, negative) = super::inputs(ground, board);
    board.say(
        "Two rules carry the rest: no current flows into an op amp's inputs, and with feedback the op amp moves its \
         output until its two inputs are level. A1 and A2 feed their outputs straight back, so each output stands \
         where its input stands, and the source is asked for no current:",
        Some(law::LEVEL),
    );
    let follow = |name: &'static str, of: Expr| Equation::new(name, Unit::Volt, of);
    let low = board.write("", follow("v_A1", negative), at.output(Amp::A1), law::LEVEL);
    let high = board.write("", follow("v_A2", positive), at.output(Amp::A2), law::LEVEL);
    stage(ground, board, &at, Amp::A3, &high, &low);
    Ok(gain(ground, board))
}

/// The difference stage behind two voltages, to its output.
pub(super) fn stage(
    ground: &Ground<'_>,
    board: &mut Board,
    at: &Voltages<'_>,
    amp: Amp,
    high: &Expr,
    low: &Expr,
) -> Expr {
    let volt = |name: &'static str, law: Expr| Equation::new(name, Unit::Volt, law);
    let [r1, r2, r3, r4] = [R1, R2, R3, R4].map(|name| ground.needed(name));
    let one = || Expr::from(1.0);
    let share = match ground.ohm(R6) {
        None => (high.clone() * r4.clone() + ground.reference() * r3.clone()) / (r3 + r4),
        Some(r6) => {
            (high.clone() / r3.clone() + ground.reference() / r4.clone()) / (one() / r3 + one() / r4 + one() / r6)
        }
    };
    let text = if ground.ohm(R6).is_some() {
        format!("Nothing flows into {amp}, so R3, R4 and R6 alone decide its non-inverting input:")
    } else {
        format!("Nothing flows into {amp}, so R3 and R4 alone divide between the positive side and the reference:")
    };
    let node = board.write(text, volt("v_x", share), at.plus(amp), law::DIVIDER);
    let current = (low.clone() - node.clone()) / r1;
    let current = board.write(
        format!(
            "{amp} brings its inverting input to the same v_x. Between the negative side and v_x stands R1; its \
             current is"
        ),
        Equation::new("i_1", Unit::Ampere, current),
        None,
        law::STAGE_OUTPUT,
    );
    let text = "That current can't go into the op amp; it goes on through R2 to the output:";
    match ground.ohm(R5) {
        None => {
            let output = volt("v_out", node - current * r2);
            board.write(text, output, at.output(amp), law::STAGE_OUTPUT)
        }
        Some(r5) => {
            let through = Equation::new("i_5", Unit::Ampere, node.clone() / r5);
            let through = board.write("R5 takes a part of it to ground:", through, None, law::STAGE_OUTPUT);
            let output = volt("v_out", node - (current - through) * r2);
            let text = "What is left can't go into the op amp; it goes on through R2 to the output:";
            board.write(text, output, at.output(amp), law::STAGE_OUTPUT)
        }
    }
}

/// `R2/R1`.
fn gain(ground: &Ground<'_>, board: &mut Board) -> Expr {
    let text = if ground.ohm(R5).is_some() {
        "With R4/R3 = R2/R1 and R6 = R5 both sides weigh the same: the common mode drops out and the difference \
         stays. R5 and R6 lower the op amp's inputs and leave the gain alone."
    } else {
        "With R4/R3 = R2/R1 both sides weigh the same: the common mode drops out and the difference stays, times"
    };
    let law_of = Equation::new("G2", Unit::Plain, ground.needed(R2) / ground.needed(R1));
    let stage = board.write(text, law_of, None, law::DIFFERENCE_GAIN);
    board.write(
        "No other stage has a gain, so that is the whole:",
        Equation::new("G", Unit::Plain, stage),
        ground.bench.nominal.differential,
        law::WHOLE_GAIN,
    )
}
