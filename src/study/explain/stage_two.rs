//! What the difference stage does to errors at its op amp's input, as laws.
use super::explanation::Board;
use super::gain::{chip_law, stage_one_law, two_op_amp_law};
use super::ground::Ground;
use super::law;
use crate::designator::Designator::{R1, R2, R5};
use crate::designator::{Amp, Topology};
use crate::equation::{Equation, Expr};
use crate::quantity::Unit;

fn plain(name: &'static str, law: Expr) -> Equation {
    Equation::new(name, Unit::Plain, law)
}

/// Gain of stage one, where there is one with a gain.
pub(super) fn first(ground: &Ground<'_>) -> Option<Equation> {
    (ground.question.topology == Topology::ThreeOpAmp).then(|| plain("G1", stage_one_law(ground)))
}

/// The gain of the whole, of the discrete circuits.
pub(super) fn whole(ground: &Ground<'_>) -> Equation {
    let second = || ground.needed(R2) / ground.needed(R1);
    match ground.question.topology {
        Topology::ThreeOpAmp => plain("G", stage_one_law(ground) * second()),
        Topology::TwoOpAmp => plain("G", two_op_amp_law(ground)),
        Topology::SingleChip => plain("G", chip_law(ground)),
        _ => plain("G", second()),
    }
}

/// How an error at its op amp's input gets out of the difference stage, as a line.
pub(super) fn noise_gain_line(ground: &Ground<'_>, amp: Amp, board: &mut Board) -> Expr {
    board.once(
        format!(
            "An error at {amp}'s own input reaches the output multiplied by the noise gain of its stage{}:",
            if ground.ohm(R5).is_some() { ", which R5 raises" } else { "" }
        ),
        noise_gain(ground),
        law::NOISE_GAIN,
    )
}

/// The noise gain of the difference stage: what an error at its op amp's input is multiplied by.
pub(super) fn noise_gain(ground: &Ground<'_>) -> Equation {
    let law = 1.0 + ground.needed(R2) / ground.needed(R1);
    plain(
        "N",
        match ground.ohm(R5) {
            Some(r5) => law + ground.needed(R2) / r5,
            None => law,
        },
    )
}

/// The op amp of the difference stage, where there is one.
pub(super) fn last(ground: &Ground<'_>) -> Option<Amp> {
    match ground.question.topology {
        Topology::Difference => Some(Amp::A1),
        Topology::BufferedDifference | Topology::ThreeOpAmp => Some(Amp::A3),
        Topology::TwoOpAmp | Topology::SingleChip => None,
    }
}

/// The op amps at the wires.
pub(super) fn front(ground: &Ground<'_>) -> &'static [Amp] {
    match ground.question.topology {
        Topology::Difference | Topology::SingleChip => &[],
        _ => &[Amp::A1, Amp::A2],
    }
}
