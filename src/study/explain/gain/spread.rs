//! What tolerances do to the gain, to first order.
use super::super::explanation::Board;
use super::super::ground::Ground;
use super::super::law;
use super::three::stage_one_law;
use crate::designator::Designator::{R1, R2, R3, R4, RF1, RF2, RG};
use crate::designator::{Designator, Topology};
use crate::equation::{Equation, Expr};
use crate::quantity::Unit;

pub(super) fn write(ground: &Ground<'_>, gain: &Expr, board: &mut Board) {
    let t = |name: Designator| ground.bound(name);
    let worst = &ground.bench.worst;
    let all_exact = ground
        .stage()
        .circuit
        .topology
        .resistors()
        .iter()
        .all(|&name| super::super::ground::bound(ground.lot(), name) == 0.0);
    if all_exact {
        return;
    }
    let exact = (worst.gain_high - worst.gain_low) / 2.0 / ground.bench.nominal.differential.abs();
    let spread = |law: Expr| Equation::new("e_G", Unit::Fraction, law);
    match ground.question.topology {
        Topology::Difference | Topology::BufferedDifference => {
            let (outer, inner) = ratio_weights(ground, board);
            let law = outer * (t(R1) + t(R2)) + inner * (t(R3) + t(R4));
            board.write(
                worst_text("a resistor's share of the gain is its weight"),
                spread(law),
                exact,
                law::GAIN_SPREAD,
            );
        }
        Topology::ThreeOpAmp => {
            let (outer, inner) = ratio_weights(ground, board);
            let ratio = outer * (t(R1) + t(R2)) + inner * (t(R3) + t(R4));
            let law = if ground.ohm(RG).is_some() {
                let first = Equation::new("G1", Unit::Plain, stage_one_law(ground)).told();
                let weight = Equation::new("w_1", Unit::Plain, 1.0 - Expr::from(1.0) / first);
                let weight = board.write(
                    "Of stage one only what exceeds 1 hangs on resistors, RG with all of it, RF1 and RF2 with half \
                     of it each:",
                    weight,
                    None,
                    law::GAIN_SPREAD,
                );
                weight * (t(RG) + (t(RF1) + t(RF2)) / Expr::from(2.0)) + ratio
            } else {
                ratio
            };
            board.write(worst_text("each resistor counts with its weight"), spread(law), exact, law::GAIN_SPREAD);
        }
        Topology::TwoOpAmp => {
            let r4 = || ground.needed(R4);
            let k = Equation::new("k", Unit::Plain, r4() / ground.needed(R3));
            let k = board.write("Two ratios make the gain:", k, None, law::GAIN_SPREAD);
            let half = || Expr::from(0.5);
            let law = match ground.ohm(RG) {
                Some(rg) => {
                    let m = board.write("", Equation::new("m", Unit::Plain, r4() / rg), None, law::GAIN_SPREAD);
                    let (k2, m2) = (k.clone(), m.clone());
                    let terms = [
                        (k + half() + 2.0 * m.clone()) * t(R4),
                        (k2 + half() + m.clone()) * t(R3),
                        (half() + m.clone()) * t(R2),
                        half() * t(R1),
                        2.0 * m2 * t(RG),
                    ];
                    Expr::sum(terms) / gain.clone()
                }
                None => {
                    (Expr::sum([(k.clone() + half()) * t(R4), (k + half()) * t(R3), half() * t(R2), half() * t(R1)]))
                        / gain.clone()
                }
            };
            board.write(
                worst_text("each resistor counts with its part of the gain"),
                spread(law),
                exact,
                law::GAIN_SPREAD,
            );
        }
        Topology::SingleChip => {}
    }
}

fn worst_text(how: &str) -> String {
    format!(
        "What tolerances do to it: {how}, and at the worst all of them pull the same way (members of one network \
         by half their match, since what they share drops out). Half of the whole spread is then"
    )
}

/// How the gain of a difference stage hangs on R1 and R2, and on R3 and R4.
fn ratio_weights(ground: &Ground<'_>, board: &mut Board) -> (Expr, Expr) {
    let second = || ground.needed(R2) / ground.needed(R1);
    let second = || Equation::new("G2", Unit::Plain, second()).told();
    let inner = Equation::new("w_34", Unit::Plain, Expr::from(0.5) / (1.0 + second()));
    let inner = board.write(
        "In stage two R3 and R4 only make the divider of one side; a change of their ratio counts with the weight",
        inner,
        None,
        law::GAIN_SPREAD,
    );
    let outer = Equation::new("w_12", Unit::Plain, 1.0 - inner.clone());
    let outer = board.write("and one of R1 and R2 with the rest:", outer, None, law::GAIN_SPREAD);
    (outer, inner)
}
