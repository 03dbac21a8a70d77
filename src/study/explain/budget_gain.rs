//! How far the gain of the worst board is from the one wanted, by hand.
use super::budget_lines::Worked;
use super::explanation::Board;
use super::given::index;
use super::ground::Ground;
use super::law;
use super::stage_two::{first, noise_gain, whole};
use crate::designator::Designator::{R1, R2, RG};
use crate::designator::{Amp, Topology};
use crate::equation::{Equation, Expr};
use crate::quantity::Unit;

/// The greatest error at the calibration temperature, on the side where it is greater, after words for that.
pub(super) fn gain(ground: &Ground<'_>, worked: &Worked<'_>, board: &mut Board) -> Option<(String, Expr)> {
    let wanted = Expr::symbol("G_w", ground.aim.gain, Unit::Plain);
    let mut nominal = whole(ground).told();
    if let Some(lost) = loading(ground, board) {
        nominal = nominal * (1.0 - lost);
    }
    let nominal = board.write(
        "By the drawing the gain is off from the one that is wanted, G_w, by",
        Equation::new("dG_nom", Unit::Fraction, nominal / wanted - Expr::from(1.0)),
        None,
        law::BUDGET_GAIN,
    );
    let spread = worked.get("s_0").or_else(|| worked.get("s_T"));
    let lost = open_loop(ground);
    let up = nominal.value() + spread.as_ref().map_or(0.0, Expr::value);
    let down = spread.as_ref().map_or(0.0, Expr::value) + lost.as_ref().map_or(0.0, Equation::value) - nominal.value();
    let (text, lost) = if down > up {
        let lost = lost.map(|lost| {
            board.write(
                "An op amp misses its input by its output over its open-loop gain; at its least that takes of the gain at \
                 most",
                lost,
                None,
                law::BUDGET_GAIN,
            )
        });
        ("farthest from the gain that is wanted is the board with the lowest", lost)
    } else if lost.is_some() {
        // a board may have more open-loop gain than is stated, never less
        (
            "farthest from the gain that is wanted is the board with the highest (finite open-loop gain only takes away \
             from that, and a board may have more of it than is stated: it is not counted on this side)",
            None,
        )
    } else {
        ("farthest from the gain that is wanted is the board with the highest", None)
    };
    let text = format!("The gain at the calibration temperature: {text}. It is off by");
    let off = nominal.clone();
    let sides: Vec<Expr> = spread.into_iter().chain(lost).collect();
    let mut sum = if up >= down { nominal } else { -nominal };
    if !sides.is_empty() {
        // shares of the drawing's gain, told of the wanted one
        sum = sum + Expr::sum(sides) * (1.0 + off);
    }
    Some((text, if up <= 0.0 && down <= 0.0 { sum.magnitude() } else { sum }))
}

/// What temperature adds to it.
pub(super) fn gain_drift(ground: &Ground<'_>, worked: &Worked<'_>, board: &Board) -> Option<Expr> {
    if ground.lot().reach_k == 0.0 {
        return Some(Expr::from(0.0));
    }
    let warm = worked.get("s_T")?;
    let cold = worked.get("s_0").unwrap_or_else(|| warm.clone());
    let off = board.told("dG_nom")?;
    Some((warm - cold) * (1.0 + off))
}

/// What the source loses in front of the inputs.
fn loading(ground: &Ground<'_>, board: &mut Board) -> Option<Expr> {
    let leg = ground.leg(board)?;
    let against = match ground.question.topology {
        Topology::Difference => ground.needed(R1),
        _ => ground.load(Amp::A1)?,
    };
    Some(board.write(
        "Of the source's voltage this share stays in the leg in front of the inputs:",
        Equation::new("l_s", Unit::Fraction, leg.clone() / (leg + against)),
        None,
        law::LOADING,
    ))
}

/// What finite open-loop gain takes away at its least.
fn open_loop(ground: &Ground<'_>) -> Option<Equation> {
    let circuit = &ground.stage().circuit;
    let of = |amp: Amp| {
        let gain = circuit.opamp(amp).open_loop_gain?;
        Some(Expr::symbol(format!("A_OL{}", index(amp)), gain, Unit::Plain))
    };
    let mut terms = Vec::new();
    match circuit.topology {
        Topology::Difference => terms.extend(of(Amp::A1).map(|a| noise_gain(ground).law / a)),
        Topology::ThreeOpAmp | Topology::BufferedDifference => {
            let half = |amp| {
                Some(match first(ground) {
                    Some(gain) => gain.told() / (2.0 * of(amp)?),
                    None => 1.0 / (2.0 * of(amp)?),
                })
            };
            terms.extend(half(Amp::A1));
            terms.extend(half(Amp::A2));
            terms.extend(of(Amp::A3).map(|a| noise_gain(ground).law / a));
        }
        Topology::TwoOpAmp => {
            terms.extend(of(Amp::A2).map(|a| whole(ground).told() / a));
            let [r1, r2] = [R1, R2].map(|name| ground.needed(name));
            let through = 0.5 + r2.clone() / (2.0 * r1);
            let swing = match ground.ohm(RG) {
                Some(rg) => through + r2 / rg,
                None => through,
            };
            terms.extend(of(Amp::A1).map(|a| swing / a));
        }
        Topology::SingleChip => {}
    }
    (!terms.is_empty()).then(|| Equation::new("l_OL", Unit::Fraction, Expr::sum(terms)))
}
