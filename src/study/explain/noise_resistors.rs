//! Thermal noise of resistors, as it is seen at the input.
use super::explanation::Board;
use super::ground::Ground;
use super::law;
use super::noise::{Source, density};
use super::stage_two::whole;
use crate::designator::Designator::{R1, R2, R3, R4, R5, R6, RF1, RF2, RG};
use crate::designator::Topology;
use crate::equation::{Equation, Expr};
use crate::quantity::Unit;

/// J/K, exact since 2019.
const BOLTZMANN: f64 = 1.380_649e-23;

/// What the network makes of causes together, V/√Hz.
pub(super) type Exact<'a> = &'a dyn Fn(&[&str]) -> Option<f64>;

/// `4·k·T`, with its line.
fn thermal(ground: &Ground<'_>, board: &mut Board) -> Expr {
    let kelvin = ground.question.environment.calibrated_at_k();
    let law = 4.0 * Expr::symbol("k_B", BOLTZMANN, Unit::JoulePerKelvin) * Expr::symbol("T", kelvin, Unit::Kelvin);
    board.once(
        "A resistance R at the temperature T has a thermal noise of √(4·k_B·T·R). Of it all resistors share",
        Equation::new("E_T", Unit::Joule, law),
        law::THERMAL,
    )
}

const fn steady(density: Expr) -> Source {
    Source { density, corner: None }
}

pub(super) fn source(ground: &Ground<'_>, board: &mut Board, exact: Exact<'_>) -> Option<Source> {
    let leg = ground.leg(board)?;
    let law = (2.0 * thermal(ground, board) * leg).root();
    Some(steady(board.write(
        "What stands in the two legs in front of the inputs makes",
        density("e_S", law),
        exact(&["source", "input filter"]),
        law::THERMAL,
    )))
}

pub(super) fn chip_resistor(ground: &Ground<'_>, board: &mut Board, exact: Exact<'_>) -> Option<Source> {
    let (chip, rg) = (ground.question.chip.as_ref()?, ground.ohm(RG)?);
    let share = 1.0 - Expr::symbol("G_0", chip.base_gain, Unit::Plain) / whole(ground).told();
    let law = (thermal(ground, board) * rg).root() * share;
    Some(steady(board.write(
        "RG's own noise counts with the part of the gain that RG makes:",
        density("e_RG", law),
        exact(&["RG"]),
        law::THERMAL,
    )))
}

pub(super) fn resistors(ground: &Ground<'_>, board: &mut Board, exact: Exact<'_>) -> Vec<Source> {
    let [r1, r2, r3, r4] = [R1, R2, R3, R4].map(|name| ground.needed(name));
    let gain = whole(ground).told();
    let shared = thermal(ground, board);
    if ground.question.topology == Topology::TwoOpAmp {
        let inner = (r2 + r3.clone()) * (r4.clone() / r3).squared();
        let ratio = (r1 + r4.clone() + inner) / gain.clone().squared();
        let sum = match ground.ohm(RG) {
            Some(rg) => rg.clone() * (2.0 * r4 / (rg * gain)).squared() + ratio,
            None => ratio,
        };
        return vec![steady(board.write(
            "The circuit's resistors: RG's noise drives a current that both halves amplify, the others count once at the \
             output (R2 and R3 times R4/R3):",
            density("e_R", (shared * sum).root()),
            exact(&["RG", "R1", "R2", "R3", "R4"]),
            law::THERMAL,
        ))];
    }
    let mut all = Vec::new();
    if let (Topology::ThreeOpAmp, Some(rg)) = (ground.question.topology, ground.ohm(RG)) {
        let law = (shared.clone() * rg.parallel(ground.needed(RF1) + ground.needed(RF2))).root();
        all.push(steady(board.write(
            "RG, RF1 and RF2 act at the input like one resistor, RG beside RF1 + RF2:",
            density("e_RG", law),
            exact(&["RG", "RF1", "RF2"]),
            law::THERMAL,
        )));
    }
    let ratio = Equation::new("G2", Unit::Plain, r2.clone() / r1.clone()).told();
    let mut sum = (r1 + r3) * ratio.squared() + r2.clone() + r4;
    let mut divider = "";
    if let (Some(r5), Some(r6)) = (ground.ohm(R5), ground.ohm(R6)) {
        sum = sum + r2.squared() * (1.0 / r5 + 1.0 / r6);
        divider = ", R5 by R2/R5 and R6 by R2/R6 (which squared and times R5 or R6 is R2²/R5 or R2²/R6)";
    }
    all.push(steady(board.write(
        format!(
            "The resistors of the difference stage: at its output R1 and R3 count with its gain, R2 and R4 once{divider}, and \
             all of it is divided by the whole gain:"
        ),
        density("e_R", (shared * sum).root() / gain),
        exact(&["R1", "R2", "R3", "R4", "R5", "R6"]),
        law::THERMAL,
    )));
    all
}
