use super::super::bounds::{self, added, weighted};
use super::super::explanation::Board;
use super::super::ground::Ground;
use super::super::law;
use super::{Alone, Term, stage_gains};
use crate::designator::Designator::{self, R1, R2, R3, R4, R5, R6};
use crate::designator::Topology;
use crate::equation::{Equation, Expr};
use crate::quantity::Unit;
use crate::stage::Cause;

/// What the ratio resistors spoil, as a fraction of the common mode at the input.
pub(super) fn write(ground: &Ground<'_>, alone: &Alone, board: &mut Board) -> Option<Term> {
    if ground.question.topology == Topology::SingleChip {
        return None;
    }
    let spoilt = if ground.ohm(R5).is_some() { divided(ground, board)? } else { plain(ground, board)? };
    let error = spoilt.value;
    let told = board.write(spoilt.text, Equation::new("c_R", Unit::Fraction, error), None, spoilt.law);
    let db = Equation::new("CMRR_R", Unit::Decibel, (Expr::from(1.0) / told.clone()).in_decibels());
    board.write("which is, for the resistors alone,", db, alone.db(Cause::RatioResistors), law::REJECTION);
    Some(Term { cause: Cause::RatioResistors, error: told })
}

struct Spoilt {
    text: &'static str,
    value: Expr,
    law: law::Law,
}

/// How far R1 to R4 may be off together, with signs at their worst.
pub(in super::super) fn off_together(ground: &Ground<'_>, board: &mut Board) -> Option<Expr> {
    let members = [(R1, 1.0), (R2, -1.0), (R3, -1.0), (R4, 1.0)];
    let mut terms: Vec<Expr> =
        members.iter().filter_map(|&(name, _)| Some(bounds::own(ground, name, board)?.warm)).collect();
    for (index, network) in ground.lot().networks.iter().enumerate() {
        let sign: f64 = members.iter().filter(|(name, _)| network.members.contains(name)).map(|(_, sign)| sign).sum();
        if sign != 0.0
            && let Some(bound) = bounds::shared(ground, index, board)
        {
            terms.extend(std::iter::repeat_n(bound.warm, sign.abs() as usize));
        }
    }
    if terms.is_empty() {
        return None;
    }
    let text = if ground.question.topology == Topology::TwoOpAmp {
        "At the worst R1 and R3 are off one way, R2 and R4 the other, and the balance is off by the sum of the four:"
    } else {
        "At the worst R1 and R4 are off one way, R2 and R3 the other, and the balance is off by the sum of the four:"
    };
    Some(board.once(text, Equation::new("t_sum", Unit::Fraction, added(terms)), law::RATIO_RESISTORS))
}

fn plain(ground: &Ground<'_>, board: &mut Board) -> Option<Spoilt> {
    let sum = off_together(ground, board)?;
    let gains = stage_gains(ground);
    let Some(second) = gains.second else {
        return Some(Spoilt {
            text: "In this circuit the common mode reaches the output by two ways that cancel; by how much they fail to is \
                   t_sum. Referred to the input it is divided by the whole gain:",
            value: sum / gains.first?,
            law: law::RATIO_RESISTORS_TWO,
        });
    };
    let passed = Equation::new("A_cm2", Unit::Plain, second.clone() / (1.0 + second.clone()) * sum.clone());
    board.write(
        "The common-mode gain of the stage is (R1·R4 - R2·R3)/(R1·(R3 + R4)): 0 in balance, and to first order",
        passed,
        None,
        law::COMMON_GAIN,
    );
    let below = match gains.first {
        Some(first) => first * (1.0 + second),
        None => 1.0 + second,
    };
    Some(Spoilt {
        text: "Divided by the gain for a difference, that is an error at the input of",
        value: sum / below,
        law: law::RATIO_RESISTORS,
    })
}

/// With R5 and R6 every resistor counts by its share in the conductance at the op amp's inputs.
fn divided(ground: &Ground<'_>, board: &mut Board) -> Option<Spoilt> {
    let pairs = [("p_1", R1, R3), ("p_2", R2, R4), ("p_5", R5, R6)];
    let mut bounds_of = |one: Designator| bounds::own(ground, one, board).map(|bound| bound.warm);
    let bounds: Vec<Vec<Expr>> =
        pairs.iter().map(|&(_, a, b)| [a, b].into_iter().filter_map(&mut bounds_of).collect()).collect();
    if bounds.iter().all(Vec::is_empty) {
        return None;
    }
    let [r1, r2, r5] = [R1, R2, R5].map(|name| ground.needed(name));
    let node = board.once(
        "From the op amp's inverting input lie R1, R2 and R5 to what does not move, and R3, R4 and R6 likewise from the \
         other; in parallel they are",
        Equation::new("R_y", Unit::Ohm, r1.clone().parallel(r2.clone()).parallel(r5.clone())),
        law::AHEAD,
    );
    let shares = [1.0 - node.clone() / r1, node.clone() / r2, node / r5];
    let mut terms = Vec::new();
    for (((name, ..), share), bounds) in pairs.into_iter().zip(shares).zip(bounds) {
        if bounds.is_empty() {
            continue;
        }
        let text = match name {
            "p_1" => "Per cent of error at the input for a per cent that R1 or R3 is off,",
            "p_2" => "R2 or R4,",
            _ => "and R5 or R6:",
        };
        let share = board.write(text, Equation::new(name, Unit::Plain, share), None, law::RATIO_RESISTORS);
        terms.push(weighted(Some(&share), bounds));
    }
    Some(Spoilt {
        text: "At the worst they all pull the same way; as an error at the input that is",
        value: Expr::sum(terms),
        law: law::RATIO_RESISTORS,
    })
}
