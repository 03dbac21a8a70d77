//! How far each resistor may be off: the lines from the spec's tolerance and temperature coefficient to
//! the bound that the working puts in.
use super::explanation::Board;
use super::ground::Ground;
use super::law;
use crate::designator::Designator;
use crate::equation::{Equation, Expr};
use crate::part::Grade;
use crate::quantity::Unit;

/// A bound over temperature, and at the calibration temperature.
#[derive(Clone)]
pub(super) struct Bound {
    pub(super) warm: Expr,
    pub(super) cold: Expr,
}

/// A resistor's own bound, written down when it is first asked for; `None` where it is exact.
pub(super) fn own(ground: &Ground<'_>, name: Designator, board: &mut Board) -> Option<Bound> {
    let lot = ground.lot();
    match lot.networks.iter().position(|network| network.members.contains(&name)) {
        Some(at) => matched(ground, at, board),
        None => graded(ground, name, board),
    }
}

/// What the members of a network share; `None` where that is nothing.
pub(super) fn shared(ground: &Ground<'_>, network: usize, board: &mut Board) -> Option<Bound> {
    let lot = ground.lot();
    let members = &lot.networks.get(network)?.members;
    let loosest = |name: &Designator| lot.grades.get(name).map(|grade| (*name, grade.bound(lot.reach_k)));
    let (name, _) = members.iter().filter_map(loosest).max_by(|a, b| a.1.total_cmp(&b.1))?;
    graded(ground, name, board)
}

/// `R` for what is bought like most resistors, else the first resistor of that grade.
fn label(ground: &Ground<'_>, grade: Grade) -> String {
    if grade == ground.question.resistors.grade {
        return "R".to_owned();
    }
    let same = ground.lot().grades.iter().find(|(_, other)| **other == grade);
    same.map_or_else(|| "R".to_owned(), |(name, _)| name.to_string())
}

fn graded(ground: &Ground<'_>, name: Designator, board: &mut Board) -> Option<Bound> {
    let grade = *ground.lot().grades.get(&name)?;
    let label = label(ground, grade);
    let reach = ground.lot().reach_k;
    if grade.bound(reach) == 0.0 {
        return None;
    }
    if grade.tempco_per_k * reach == 0.0 {
        let t = Expr::symbol(format!("t_{label}"), grade.tolerance, Unit::Fraction);
        return Some(Bound { warm: t.clone(), cold: t });
    }
    let cold = Expr::symbol(format!("tol_{label}"), grade.tolerance, Unit::Fraction);
    let drift = Expr::symbol(format!("TC_{label}"), grade.tempco_per_k, Unit::PerKelvin) * ground.reach();
    let of = if label == "R" { "a resistor".to_owned() } else { label.clone() };
    let warm = board.once(
        format!("How far {of} may be off: its tolerance, and its temperature coefficient over the distance from calibration,"),
        Equation::new(format!("t_{label}"), Unit::Fraction, cold.clone() + drift),
        law::BOUNDS,
    );
    Some(Bound { warm, cold })
}

fn matched(ground: &Ground<'_>, at: usize, board: &mut Board) -> Option<Bound> {
    let network = ground.lot().networks.get(at)?;
    let (reach, number) = (ground.lot().reach_k, at + 1);
    if network.own_bound(reach) == 0.0 {
        return None;
    }
    let still = Expr::symbol(format!("match_{number}"), network.match_fraction, Unit::Fraction);
    let two = || Expr::from(2.0);
    let drift = network.match_tempco_per_k * reach;
    let whole = if drift == 0.0 {
        still.clone()
    } else {
        let tempco = Expr::symbol(format!("TCm_{number}"), network.match_tempco_per_k, Unit::PerKelvin);
        still.clone() + tempco * ground.reach()
    };
    let warm = board.once(
        format!(
            "Members of network {number} keep their ratios within its match{}; each one's own share of that is half:",
            if drift == 0.0 { "" } else { ", which drifts over the distance from calibration" }
        ),
        Equation::new(format!("t_m{number}"), Unit::Fraction, whole / two()),
        law::BOUNDS,
    );
    let cold = if drift == 0.0 { warm.clone() } else { still / two() };
    Some(Bound { warm, cold })
}

/// Equal bounds in a row as a product: `4·t_m1`.
pub(super) fn added(bounds: Vec<Expr>) -> Expr {
    weighted(None, bounds)
}

/// A weight times such bounds: `2·w_F·t_R`.
pub(super) fn weighted(weight: Option<&Expr>, bounds: Vec<Expr>) -> Expr {
    let mut groups: Vec<(Expr, f64)> = Vec::new();
    for bound in bounds {
        match groups.iter_mut().find(|(one, _)| *one == bound) {
            Some((_, count)) => *count += 1.0,
            None => groups.push((bound, 1.0)),
        }
    }
    let counted = |(bound, count): (Expr, f64)| if count == 1.0 { bound } else { count * bound };
    match (weight, groups.as_slice()) {
        (None, _) => Expr::sum(groups.into_iter().map(counted)),
        (Some(weight), [(bound, count)]) if *count > 1.0 => *count * weight.clone() * bound.clone(),
        (Some(weight), _) => weight.clone() * Expr::sum(groups.into_iter().map(counted)),
    }
}
