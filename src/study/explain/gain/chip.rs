use super::super::explanation::Board;
use super::super::ground::Ground;
use super::super::law;
use crate::designator::Designator::RG;
use crate::equation::{Equation, Expr};
use crate::quantity::Unit;

pub(super) fn derive(ground: &Ground<'_>, board: &mut Board) -> Expr {
    board.write(
        "What is inside the chip is not on the drawing; its data sheet gives the gain without RG, G_0, and the \
         constant K that RG divides:",
        Equation::new("G", Unit::Plain, law_of(ground)),
        ground.bench.nominal.differential,
        law::CHIP_GAIN,
    )
}

/// `G_0 + K/RG`.
pub(in super::super) fn law_of(ground: &Ground<'_>) -> Expr {
    let (base, constant) =
        ground.question.chip.as_ref().map_or((1.0, 0.0), |chip| (chip.base_gain, chip.gain_constant_ohm));
    let base = Expr::symbol("G_0", base, Unit::Plain);
    match ground.ohm(RG) {
        Some(rg) => base + Expr::symbol("K", constant, Unit::Ohm) / rg,
        None => base,
    }
}
