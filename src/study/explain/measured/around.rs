//! Causes in front of the circuit: the source's legs, the filter, the bias return.
use super::super::explanation::Board;
use super::super::ground::Ground;
use super::super::law;
use super::super::rejection::legs_against;
use super::Knob;
use crate::designator::Topology;
use crate::equation::{Equation, Expr};
use crate::quantity::Unit;
use crate::stage::Cause;

pub(super) fn knobs(ground: &Ground<'_>, wanted: f64) -> Vec<Knob> {
    let mut all = legs(ground, wanted);
    all.extend(filter(ground, wanted));
    all.extend(bias_return(ground, wanted));
    all
}

fn m(wanted: f64) -> Expr {
    Expr::symbol("M_meas", wanted, Unit::Plain)
}

/// What a difference of the legs counts against, and the law of that; lines that lead there stand in the working.
fn against(ground: &Ground<'_>) -> Option<(Expr, law::Law)> {
    let number =
        if ground.question.topology == Topology::Difference { law::RATIO_RESISTORS } else { law::IMBALANCE_AT_DC };
    Some((legs_against(ground, &mut Board::default())?, number))
}

/// The legs apart by as much, around their resistance; and one leg more than the other, as behind a bad contact.
fn legs(ground: &Ground<'_>, wanted: f64) -> Vec<Knob> {
    let source = &ground.stage().circuit.surroundings.source;
    let mut all = Vec::new();
    if source.resistance_ohm > 0.0 {
        all.push(Knob {
            cause: Cause::SourceImbalance,
            quantity: "difference between the legs of the source, one up and one down".to_owned(),
            unit: Unit::Ohm,
            most: 1.999 * source.resistance_ohm,
            inverse: false,
            given: Some(source.imbalance_ohm),
            by_hand: None,
            set: |circuit, _, ohm| circuit.surroundings.source.imbalance_ohm = ohm,
        });
    }
    let by_hand = against(ground).map(|(ohm, law)| (Equation::new("dR_smeas", Unit::Ohm, ohm / m(wanted)), law));
    all.push(Knob {
        cause: Cause::SourceImbalance,
        quantity: "rise of one leg of the source alone".to_owned(),
        unit: Unit::Ohm,
        most: 1e9,
        inverse: false,
        given: None,
        by_hand,
        set: |circuit, _, ohm| {
            let source = &mut circuit.surroundings.source;
            source.resistance_ohm += ohm / 2.0;
            source.imbalance_ohm = ohm;
        },
    });
    all
}

/// At dc the filter's resistors are an imbalance of the source.
fn filter(ground: &Ground<'_>, wanted: f64) -> Option<Knob> {
    let stated = ground.filter().filter(|filter| filter.resistor_ohm > 0.0)?;
    let ohm = Expr::symbol("R_fil", stated.resistor_ohm, Unit::Ohm);
    let by_hand = against(ground).map(|(against, law)| {
        let law_of = against / (2.0 * ohm * m(wanted));
        (Equation::new("t_Rfilmeas", Unit::Fraction, law_of), law)
    });
    Some(Knob {
        cause: Cause::InputFilter,
        quantity: "tolerance of the filter's resistors".to_owned(),
        unit: Unit::Fraction,
        most: 0.999,
        inverse: false,
        given: Some(stated.resistor_tolerance),
        by_hand,
        set: |circuit, _, t| {
            if let Some(filter) = &mut circuit.surroundings.filter {
                filter.resistor_tolerance = t;
            }
        },
    })
}

/// Bias-return resistors far apart: R_b·(1 + t) and R_b·(1 - t) differ as conductances by 2·t/(1 - t²).
fn bias_return(ground: &Ground<'_>, wanted: f64) -> Option<Knob> {
    let source = &ground.stage().circuit.surroundings.source;
    let back = source.bias_return_ohm.filter(|_| ground.question.topology != Topology::Difference)?;
    let by_hand = ground.leg(&mut Board::default()).map(|leg| {
        let ratio = leg * m(wanted) / Expr::symbol("R_b", back, Unit::Ohm);
        let law_of = 1.0 / (ratio.clone() + (1.0 + ratio.squared()).root());
        (Equation::new("t_Rbmeas", Unit::Fraction, law_of), law::BIAS_RETURN)
    });
    Some(Knob {
        cause: Cause::BiasReturn,
        quantity: "tolerance of the bias-return resistors".to_owned(),
        unit: Unit::Fraction,
        most: 0.999,
        inverse: false,
        given: Some(ground.lot().bias_return_tolerance),
        by_hand,
        set: |_, lot, t| lot.bias_return_tolerance = t,
    })
}
