//! What bias and offset currents do: each through the resistances it has to pass.
use super::explanation::Board;
use super::given::index;
use super::ground::Ground;
use super::law;
use super::offset::{exact, volt};
use super::stage_two::{first, front, last, whole};
use crate::designator::Designator::{R1, R4, R5, RF1};
use crate::designator::{Amp, Topology};
use crate::equation::{Equation, Expr};
use crate::predict::{OffsetFigure, OffsetSource};
use crate::quantity::Unit;

pub(super) fn write(ground: &Ground<'_>, figure: &OffsetFigure, board: &mut Board) -> Vec<Expr> {
    let mut terms = Vec::new();
    match ground.question.topology {
        Topology::SingleChip => terms.extend(chip(ground, figure, board)),
        _ => {
            let back = through_feedback(ground, board);
            terms.extend(bias(ground, figure, back.as_ref(), board));
            terms.extend(offset(ground, figure, back.as_ref(), board));
            terms.extend(of_the_last(ground, figure, board));
        }
    }
    terms
}

/// Bias or offset current of an op amp at its worst temperature: doubled as often as the part states.
pub(super) fn at_its_worst(ground: &Ground<'_>, amp: Amp, name: &'static str, ampere: f64, board: &mut Board) -> Expr {
    let stated = Expr::symbol(format!("{name}{}", index(amp)), ampere, Unit::Ampere);
    let doubling = ground.stage().circuit.opamp(amp).bias_current_doubling_k;
    let rise = ground.question.environment.excursion().rise_k;
    let Some(doubling) = doubling.filter(|_| rise > 0.0) else { return stated };
    let k = |name: String, value: f64| Expr::symbol(name, value, Unit::Kelvin);
    let times = k("dT_up".to_owned(), rise) / k(format!("d_T{}", index(amp)), doubling);
    let law = Equation::new(format!("{name}{}hot", index(amp)), Unit::Ampere, stated * times.power_of_two());
    board.once("Its current doubles every so many kelvin; at the hot end it is", law, law::DOUBLING)
}

/// What the feedback resistor of an op amp at a wire is like at the input.
fn through_feedback(ground: &Ground<'_>, board: &mut Board) -> Option<Expr> {
    let data = |amp: &Amp| ground.stage().circuit.opamp(*amp);
    if front(ground).iter().all(|amp| data(amp).bias_current_a.is_none() && data(amp).offset_current_a.is_none()) {
        return None;
    }
    let law = match ground.question.topology {
        Topology::ThreeOpAmp => ground.needed(RF1) / first(ground)?.told(),
        Topology::TwoOpAmp => ground.needed(R4) / whole(ground).told(),
        _ => return None,
    };
    Some(board.write(
        "Bias current into the inverting node can only come through the feedback resistor; told at the input that \
         resistor acts like",
        Equation::new("R_fb", Unit::Ohm, law),
        None,
        law::OFFSET_CURRENTS,
    ))
}

fn bias(ground: &Ground<'_>, figure: &OffsetFigure, back: Option<&Expr>, board: &mut Board) -> Vec<Expr> {
    let mut terms = Vec::new();
    for &amp in front(ground) {
        let Some(ampere) = ground.stage().circuit.opamp(amp).bias_current_a else { continue };
        let against = match (ground.leg(board), back) {
            (Some(leg), Some(back)) => (leg - back.clone()).magnitude(),
            (Some(one), None) => one,
            (None, Some(back)) => back.clone(),
            (None, None) => continue,
        };
        let current = at_its_worst(ground, amp, "I_b", ampere, board);
        let text = if terms.is_empty() && back.is_some() {
            "Bias current into the other input flows through the leg and lowers the wire the other way; the two work \
             against each other:"
        } else if terms.is_empty() {
            "Bias current flows through the leg in front of the input:"
        } else {
            ""
        };
        let law = volt(format!("V_b{}", index(amp)), current * against);
        terms.push(board.write(text, law, exact(figure, OffsetSource::BiasCurrent(amp)), law::OFFSET_CURRENTS));
    }
    terms
}

fn offset(ground: &Ground<'_>, figure: &OffsetFigure, back: Option<&Expr>, board: &mut Board) -> Vec<Expr> {
    let mut terms = Vec::new();
    for &amp in front(ground) {
        let Some(ampere) = ground.stage().circuit.opamp(amp).offset_current_a else { continue };
        let beside = match (ground.leg(board), back) {
            (Some(leg), Some(back)) => leg + back.clone(),
            (Some(one), None) => one,
            (None, Some(back)) => back.clone(),
            (None, None) => continue,
        };
        let current = at_its_worst(ground, amp, "I_os", ampere, board);
        let text = if terms.is_empty() {
            "The difference of an op amp's two currents goes half into one input and half out of the other, which adds up:"
        } else {
            ""
        };
        let law = volt(format!("V_c{}", index(amp)), current * beside / Expr::from(2.0));
        terms.push(board.write(text, law, exact(figure, OffsetSource::OffsetCurrent(amp)), law::OFFSET_CURRENTS));
    }
    terms
}

/// The op amp of a difference stage.
fn of_the_last(ground: &Ground<'_>, figure: &OffsetFigure, board: &mut Board) -> Option<Expr> {
    let amp = last(ground)?;
    let ampere = ground.stage().circuit.opamp(amp).offset_current_a?;
    let current = at_its_worst(ground, amp, "I_os", ampere, board);
    let mut law = current * ground.needed(R1);
    if let Some(gain) = first(ground) {
        law = law / gain.told();
    }
    Some(board.write(
        format!(
            "At {amp} the two inputs see the same resistance, {}: the bias current drops out, and of the offset current all \
             flows through R2, which is R1 at the input of the stage:",
            if ground.ohm(R5).is_some() { "R1 beside R2 and R5, and R3 beside R4 and R6" } else { "R1 beside R2 and R3 beside R4" }
        ),
        volt(format!("V_c{}", index(amp)), law),
        exact(figure, OffsetSource::OffsetCurrent(amp)),
        law::OFFSET_CURRENTS,
    ))
}

fn chip(ground: &Ground<'_>, figure: &OffsetFigure, board: &mut Board) -> Option<Expr> {
    let ampere = ground.stage().circuit.opamp(Amp::A1).offset_current_a?;
    let leg = ground.leg(board)?;
    let current = at_its_worst(ground, Amp::A1, "I_os", ampere, board);
    Some(board.write(
        "The bias current flows through both legs alike and drops out; the offset current, half of it each way through a \
         leg, does not:",
        volt("V_c1", current * leg),
        exact(figure, OffsetSource::OffsetCurrent(Amp::A1)),
        law::OFFSET_CURRENTS,
    ))
}
