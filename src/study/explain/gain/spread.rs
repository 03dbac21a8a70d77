//! What tolerances do to the gain, to first order.
use super::super::explanation::Board;
use super::super::ground::{Ground, bound};
use super::super::law;
use super::three::stage_one_law;
use crate::designator::Designator::{R1, R2, R3, R4, R5, R6, RF1, RF2, RG};
use crate::designator::{Designator, Topology};
use crate::equation::{Equation, Expr};
use crate::quantity::Unit;

/// How the gain hangs on one resistor: relative change over relative change, and its sign.
struct Weight {
    name: Designator,
    weight: Expr,
    sign: f64,
}

fn weight(name: Designator, sign: f64, weight: Expr) -> Weight {
    Weight { name, weight, sign }
}

pub(super) fn write(ground: &Ground<'_>, gain: &Expr, board: &mut Board) {
    let names = ground.stage().circuit.ohms.present().map(|(name, _)| name);
    if ground.question.topology == Topology::SingleChip
        || names.map(|name| bound(ground.lot(), name)).sum::<f64>() == 0.0
    {
        return;
    }
    let weights = match ground.question.topology {
        Topology::TwoOpAmp => of_two(ground, gain, board),
        Topology::ThreeOpAmp => {
            let mut all = of_stage_one(ground, board);
            all.extend(of_bridge(ground, board));
            all
        }
        _ => of_bridge(ground, board),
    };
    let mut terms = own(ground, &weights);
    terms.extend(shared(ground, &weights, board));
    let worst = &ground.bench.worst;
    let exact = (worst.gain_high - worst.gain_low) / 2.0 / ground.bench.nominal.differential.abs();
    board.write(
        "What tolerances do to the gain: each resistor counts with its weight, and at the worst all of them pull the same \
         way (members of one network by half their match). Half of the whole spread is then, for the resistors alone,",
        Equation::new("e_G", Unit::Fraction, Expr::sum(terms)),
        exact,
        law::GAIN_SPREAD,
    );
    board.say(
        "The network's figure holds the spread of everything, open-loop gain and source included.",
        Some(law::GAIN_SPREAD),
    );
}

/// What each resistor does by itself; resistors of the same bound and weight in one term.
fn own(ground: &Ground<'_>, weights: &[Weight]) -> Vec<Expr> {
    let mut groups: Vec<(Expr, Vec<Expr>)> = Vec::new();
    for one in weights {
        let t = ground.bound(one.name);
        if t.value() == 0.0 {
            continue;
        }
        match groups.iter_mut().find(|(weight, _)| *weight == one.weight) {
            Some((_, bounds)) => bounds.push(t),
            None => groups.push((one.weight.clone(), vec![t])),
        }
    }
    groups.into_iter().map(|(weight, bounds)| weight * Expr::sum(bounds)).collect()
}

/// What the members of a network share: it drops out among them, but not against a resistor outside.
fn shared(ground: &Ground<'_>, weights: &[Weight], board: &mut Board) -> Vec<Expr> {
    let mut terms = Vec::new();
    for (index, network) in ground.lot().networks.iter().enumerate() {
        let members: Vec<&Weight> = weights.iter().filter(|one| network.members.contains(&one.name)).collect();
        let signed = |one: &&Weight| if one.sign < 0.0 { -one.weight.clone() } else { one.weight.clone() };
        let sum = Expr::sum(members.iter().map(signed));
        let grades = network.members.iter().filter_map(|name| ground.lot().grades.get(name));
        let common = grades.map(|grade| grade.bound(ground.lot().reach_k)).fold(0.0, f64::max);
        if sum.value().abs() < 1e-9 || common == 0.0 {
            continue;
        }
        let name = format!("w_N{}", index + 1);
        let weight = Equation::new(name, Unit::Plain, sum.magnitude());
        let weight = board.write(
            format!(
                "What all members of network {} share drops out among them, but not against the resistors outside it; \
                 what remains of their weights is",
                index + 1
            ),
            weight,
            None,
            law::GAIN_SPREAD,
        );
        terms.push(weight * Expr::symbol(format!("t_N{}", index + 1), common, Unit::Fraction));
    }
    terms
}

fn of_stage_one(ground: &Ground<'_>, board: &mut Board) -> Vec<Weight> {
    if ground.ohm(RG).is_none() {
        return Vec::new();
    }
    let first = Equation::new("G1", Unit::Plain, stage_one_law(ground)).told();
    let share = Equation::new("w_G", Unit::Plain, 1.0 - 1.0 / first);
    let share = board.write(
        "Of stage one's gain only what exceeds 1 hangs on resistors, all of it on RG,",
        share,
        None,
        law::GAIN_SPREAD,
    );
    let half = Equation::new("w_F", Unit::Plain, share.clone() / Expr::from(2.0));
    let half = board.write("and half of it on each of RF1 and RF2:", half, None, law::GAIN_SPREAD);
    vec![weight(RG, -1.0, share), weight(RF1, 1.0, half.clone()), weight(RF2, 1.0, half)]
}

/// A difference stage: R1 and R2 on one side, a divider of R3 and R4 on the other.
fn of_bridge(ground: &Ground<'_>, board: &mut Board) -> Vec<Weight> {
    let [r1, r2] = [R1, R2].map(|name| ground.needed(name));
    let plain = |name: &'static str, law: Expr| Equation::new(name, Unit::Plain, law);
    let Some(r5) = ground.ohm(R5) else {
        let second = Equation::new("G2", Unit::Plain, r2 / r1).told();
        let inner = board.write(
            "R3 and R4 only make the divider of one side; each counts with the weight",
            plain("w_34", Expr::from(0.5) / (1.0 + second)),
            None,
            law::GAIN_SPREAD,
        );
        let outer = board.write(
            "and each of R1 and R2 with the rest:",
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
        "Each resistor's weight is its share in the conductance at the op amp's inputs, where all of them in parallel are",
        node,
        None,
        law::GAIN_SPREAD,
    );
    let two = || Expr::from(2.0);
    let mut share = |name: &'static str, law: Expr| board.write("", plain(name, law), None, law::GAIN_SPREAD);
    let first = share("w_1", (1.0 + node.clone() / r1.clone()) / two());
    let second = share("w_2", 1.0 - node.clone() / (2.0 * r2.clone()));
    let third = share("w_3", (1.0 - node.clone() / r1) / two());
    let fourth = share("w_4", node.clone() / (2.0 * r2));
    let fifth = share("w_56", node / (2.0 * r5));
    vec![
        weight(R1, -1.0, first),
        weight(R2, 1.0, second),
        weight(R3, -1.0, third),
        weight(R4, 1.0, fourth),
        weight(R5, -1.0, fifth.clone()),
        weight(R6, 1.0, fifth),
    ]
}

fn of_two(ground: &Ground<'_>, gain: &Expr, board: &mut Board) -> Vec<Weight> {
    let r4 = || ground.needed(R4);
    let plain = |name: &'static str, law: Expr| Equation::new(name, Unit::Plain, law);
    let k = board.write(
        "Two ratios make the gain; each resistor's weight is its part of the gain over the whole:",
        plain("k", r4() / ground.needed(R3)),
        None,
        law::GAIN_SPREAD,
    );
    let m = match ground.ohm(RG) {
        Some(rg) => board.write("", plain("m", r4() / rg), None, law::GAIN_SPREAD),
        None => Expr::from(0.0),
    };
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
