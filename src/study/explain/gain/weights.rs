//! How the gain hangs on each resistor: relative change of the one for relative change of the other.
use super::super::explanation::Board;
use super::super::ground::Ground;
use super::super::law;
use super::three::stage_one_law;
use crate::designator::Designator;
use crate::designator::Designator::{R1, R2, R3, R4, R5, R6, RF1, RF2, RG};
use crate::equation::{Equation, Expr};
use crate::quantity::Unit;

/// How the gain hangs on one resistor, and to which side.
pub(super) struct Weight {
    pub(super) name: Designator,
    pub(super) weight: Expr,
    pub(super) sign: f64,
}

fn weight(name: Designator, sign: f64, weight: Expr) -> Weight {
    Weight { name, weight, sign }
}

fn plain(name: &'static str, law: Expr) -> Equation {
    Equation::new(name, Unit::Plain, law)
}

/// The part of the gain that RG makes.
pub(super) fn of_chip(ground: &Ground<'_>, gain: &Expr, board: &mut Board) -> Vec<Weight> {
    let (Some(chip), true) = (&ground.question.chip, ground.ohm(RG).is_some()) else { return Vec::new() };
    let base = Expr::symbol("G_0", chip.base_gain, Unit::Plain);
    let share = board.write(
        "Of the gain only what exceeds G_0 hangs on RG, and goes down as RG goes up. A change of RG by 1 % changes the gain \
         by so many per cent:",
        plain("w_G", 1.0 - base / gain.clone()),
        None,
        law::GAIN_SPREAD,
    );
    vec![weight(RG, -1.0, share)]
}

pub(super) fn of_stage_one(ground: &Ground<'_>, board: &mut Board) -> Vec<Weight> {
    if ground.ohm(RG).is_none() {
        return Vec::new();
    }
    let first = plain("G1", stage_one_law(ground)).told();
    let share = board.write(
        "How much the gain hangs on each resistor, as a weight: per cent of gain for a per cent of the resistor. Of stage \
         one's gain only what exceeds 1 hangs on resistors, and all of that goes with 1/RG,",
        plain("w_G", 1.0 - 1.0 / first),
        None,
        law::GAIN_SPREAD,
    );
    let half = plain("w_F", share.clone() / Expr::from(2.0));
    let half = board.write("and with the sum of RF1 and RF2, so half of it with each:", half, None, law::GAIN_SPREAD);
    vec![weight(RG, -1.0, share), weight(RF1, 1.0, half.clone()), weight(RF2, 1.0, half)]
}

/// A difference stage: R1 and R2 on one side, a divider of R3 and R4 on the other.
pub(super) fn of_bridge(ground: &Ground<'_>, board: &mut Board) -> Vec<Weight> {
    let [r1, r2] = [R1, R2].map(|name| ground.needed(name));
    let Some(r5) = ground.ohm(R5) else {
        let second = plain("G2", r2 / r1).told();
        let intro = if board.told("w_G").is_some() {
            ""
        } else {
            "How much the gain hangs on each resistor, as a weight: per cent of gain for a per cent of the resistor. "
        };
        let inner = board.write(
            format!("{intro}The gain of a difference stage is the mean of what its two sides make: R2/R1 from the negative side, and \
             R4/(R3 + R4)·(1 + R2/R1) from the positive one. R3 and R4 only stand in the second, whose divider gives way by \
             1/(1 + G2) of their change, and half of that counts in the mean:"),
            plain("w_34", Expr::from(0.5) / (1.0 + second)),
            None,
            law::GAIN_SPREAD,
        );
        let outer = board.write(
            "R1 and R2 stand in both, whole in the first and by G2/(1 + G2) in the second; the mean of these is",
            plain("w_12", 1.0 - inner.clone()),
            None,
            law::GAIN_SPREAD,
        );
        return vec![
            weight(R1, -1.0, outer.clone()),
            weight(R2, 1.0, outer),
            weight(R3, -1.0, inner.clone()),
            weight(R4, 1.0, inner),
        ];
    };
    let node = Equation::new("R_y", Unit::Ohm, r1.clone().parallel(r2.clone()).parallel(r5.clone()));
    let node = board.write(
        "How much the gain hangs on each resistor, as a weight: per cent of gain for a per cent of the resistor. The gain is \
         the mean of what its two sides make: R2/R1 from the negative side, and from the positive one the divider of R3 \
         against R4 and R6 times the noise gain 1 + R2/R1 + R2/R5. In the divider and in the noise gain a resistor counts \
         with its share of the conductance at the node, where all of them in parallel are",
        node,
        None,
        law::AHEAD,
    );
    let two = || Expr::from(2.0);
    let mut share =
        |text: &str, name: &'static str, law: Expr| board.write(text, plain(name, law), None, law::GAIN_SPREAD);
    let first = share(
        "R1 counts in full on the negative side and with its share in the noise gain; of both the mean:",
        "w_1",
        (1.0 + node.clone() / r1.clone()) / two(),
    );
    let second = share(
        "R2 in full on the negative side, and in the noise gain with what is left of its share:",
        "w_2",
        1.0 - node.clone() / (2.0 * r2.clone()),
    );
    let third = share(
        "R3, like R1 in value, stands in the divider only, with what is left of its share:",
        "w_3",
        (1.0 - node.clone() / r1) / two(),
    );
    let fourth = share("R4, like R2 in value, in the divider with its share:", "w_4", node.clone() / (2.0 * r2));
    let fifth = share("and R5 in the noise gain, R6 in the divider, each with its share:", "w_56", node / (2.0 * r5));
    vec![
        weight(R1, -1.0, first),
        weight(R2, 1.0, second),
        weight(R3, -1.0, third),
        weight(R4, 1.0, fourth),
        weight(R5, -1.0, fifth.clone()),
        weight(R6, 1.0, fifth),
    ]
}

pub(super) fn of_two(ground: &Ground<'_>, gain: &Expr, board: &mut Board) -> Vec<Weight> {
    let r4 = || ground.needed(R4);
    let (with_rg, terms) = match ground.ohm(RG) {
        Some(_) => (" + R4/RG + R2·R4/(R3·RG)", "1/2, k_3, 1/2, k_G and k_G"),
        None => ("", "1/2, k_3 and 1/2"),
    };
    let k = board.write(
        format!(
            "How much the gain hangs on each resistor, as a weight: per cent of gain for a per cent of the resistor. For that \
             the gain has to be told out of balance, as the mean of what the two wires make: 1/2 + R4/R3 + \
             R2·R4/(2·R1·R3){with_rg}. In balance the terms are {terms}, with"
        ),
        plain("k_3", r4() / ground.needed(R3)),
        None,
        law::GAIN_SPREAD,
    );
    let m = match ground.ohm(RG) {
        Some(rg) => board.write("", plain("k_G", r4() / rg), None, law::GAIN_SPREAD),
        None => Expr::from(0.0),
    };
    board.say("A resistor's weight is the sum of the terms it stands in, over the whole:", Some(law::GAIN_SPREAD));
    let half = || Expr::from(0.5);
    let mut share =
        |name: &'static str, law: Expr| board.write("", plain(name, law / gain.clone()), None, law::GAIN_SPREAD);
    let first = share("w_1", half());
    let second = share("w_2", half() + m.clone());
    let third = share("w_3", k.clone() + half() + m.clone());
    let fourth = share("w_4", k + half() + 2.0 * m.clone());
    let mut all =
        vec![weight(R4, 1.0, fourth), weight(R3, -1.0, third), weight(R2, 1.0, second), weight(R1, -1.0, first)];
    if ground.ohm(RG).is_some() {
        let last = share("w_G", 2.0 * m);
        all.push(weight(RG, -1.0, last));
    }
    all
}
