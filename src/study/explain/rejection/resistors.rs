use super::super::explanation::Board;
use super::super::ground::Ground;
use super::super::law;
use super::{Alone, stage_gains};
use crate::designator::Designator::{R1, R2, R3, R4, R5};
use crate::designator::Topology;
use crate::equation::{Equation, Expr};
use crate::quantity::{Unit, rounded};
use crate::stage::Cause;

/// What the ratio resistors spoil, as a fraction of the common mode at the input.
pub(super) fn write(ground: &Ground<'_>, alone: &Alone, board: &mut Board) -> Option<Expr> {
    if ground.question.topology == Topology::SingleChip {
        return None;
    }
    let bounds = [R1, R2, R3, R4].map(|name| ground.bound(name));
    let sum = Expr::sum(bounds);
    if sum.value() == 0.0 {
        return None;
    }
    let sum = board.write(off(ground), Equation::new("T", Unit::Fraction, sum), None, law::RATIO_RESISTORS);
    let gains = stage_gains(ground);
    let (name, unit) = ("e_R", Unit::Fraction);
    let (text, spoilt, law) = match (gains.first, gains.second) {
        (Some(whole), None) => (
            "In this circuit the common mode reaches the output by two ways that cancel; by how much they fail to is T. \
             Referred to the input it is divided by the whole gain:"
                .to_owned(),
            Equation::new(name, unit, sum / whole),
            law::RATIO_RESISTORS_TWO,
        ),
        (first, second) => {
            let second = second?;
            if let Some(r5) = ground.ohm(R5) {
                let shunted = Equation::new("G2'", Unit::Plain, ground.needed(R2).parallel(r5) / ground.needed(R1));
                board.write(
                    "R5 lies beside R2 as seen from the inverting node, so the balance of the bridge counts with",
                    shunted,
                    None,
                    law::RATIO_RESISTORS,
                );
            }
            let passed = Equation::new(
                "A_cm2",
                Unit::Plain,
                second.clone() / (1.0 + second.clone()) * sum.clone(),
            );
            if ground.ohm(R5).is_none() {
                board.write(
                    "The common-mode gain of the stage is (R1·R4 - R2·R3)/(R1·(R3 + R4)): 0 in balance, and to first \
                     order",
                    passed,
                    None,
                    law::COMMON_GAIN,
                );
            }
            let below = match first {
                Some(first) => first * (1.0 + second),
                None => 1.0 + second,
            };
            ("Divided by the gain for a difference, that is an error at the input of".to_owned(), Equation::new(name, unit, sum / below), law::RATIO_RESISTORS)
        }
    };
    let told = board.write(text, spoilt, None, law);
    let db = Equation::new("CMRR_R", Unit::Decibel, (Expr::from(1.0) / told.clone()).in_decibels());
    board.write("which is, for the resistors alone,", db, alone.db(Cause::RatioResistors), law::REJECTION);
    Some(told)
}

fn off(ground: &Ground<'_>) -> String {
    let reach = ground.lot().reach_k;
    let warm = if reach > 0.0 {
        format!(", {} away from calibration included", rounded(reach, Unit::Kelvin, 4))
    } else {
        String::new()
    };
    format!(
        "Each ratio resistor may be off by its tolerance (a member of a network by half the match{warm}), and at the \
         worst R1 and R4 are off one way, R2 and R3 the other:"
    )
}
