//! Causes the estimate has no term for, each with its own closed form beside the network's figure.
use super::super::explanation::Board;
use super::super::ground::Ground;
use super::super::law;
use super::{Alone, stage_gains};
use crate::corners;
use crate::designator::Designator::{R1, R2, R4, R5, RF1};
use crate::designator::{Amp, Topology};
use crate::equation::{Equation, Expr};
use crate::quantity::{Unit, from_decibels, rounded};
use crate::stage::Cause;
use crate::study::rejection::causes;
use crate::topology::BuildFault;

/// After the estimate, whose sum is `estimate`.
pub(super) fn write(
    ground: &Ground<'_>,
    alone: &Alone,
    estimate: Option<Expr>,
    board: &mut Board,
) -> Result<(), BuildFault> {
    open_loop(ground, alone, board);
    reference(ground, alone, board);
    bias_return(ground, alone, board);
    imbalance(ground, alone, board);
    added(ground, alone, estimate, board);
    if let Some(interference) = ground.question.interference {
        let circuit = &ground.stage().circuit;
        let found = causes(circuit, ground.lot(), interference.frequency_hz, corners::ENUMERATED_AT_FREQUENCY)?;
        at_frequency(ground, interference.frequency_hz, &Alone(found), board);
    }
    Ok(())
}

fn db(name: &'static str, ratio: Expr) -> Equation {
    Equation::new(name, Unit::Decibel, ratio.in_decibels())
}

fn open_loop(ground: &Ground<'_>, alone: &Alone, board: &mut Board) {
    let circuit = &ground.stage().circuit;
    let Some(exact) = alone.db(Cause::OpenLoopGain) else { return };
    let Some(gain) = circuit.opamp(Amp::A1).open_loop_gain else { return };
    let gain_of = Expr::symbol("A_1", gain, Unit::Plain);
    let stated = format!("A_1 = {} = {}", rounded(gain, Unit::Rejection, 4), rounded(gain, Unit::Plain, 6));
    match circuit.topology {
        Topology::ThreeOpAmp | Topology::BufferedDifference => {
            board.write(
                format!(
                    "Beyond the estimate. Finite open-loop gain makes A1 and A2 fall short of their inputs by 1/A; only \
                     a difference of the two matters, and at the worst one is as low as stated ({stated}) and the other \
                     perfect:"
                ),
                db("CMRR_A0", gain_of),
                exact,
                law::LOOP_GAIN_THREE,
            );
        }
        Topology::TwoOpAmp => {
            let below = 1.0 + ground.needed(R2) / ground.needed(R1);
            board.write(
                format!(
                    "Beyond the estimate. A1 amplifies the common mode by 1 + R2/R1 before A2 takes it away again; what \
                     its finite open-loop gain ({stated}) loses of it is not taken away:"
                ),
                db("CMRR_A0", gain_of / below),
                exact,
                law::LOOP_GAIN_TWO,
            );
        }
        Topology::Difference | Topology::SingleChip => {}
    }
}

fn reference(ground: &Ground<'_>, alone: &Alone, board: &mut Board) {
    let ohm = ground.stage().circuit.surroundings.reference_resistance_ohm;
    let Some(exact) = alone.db(Cause::ReferenceResistance) else { return };
    let r = Expr::symbol("r", ohm, Unit::Ohm);
    let gains = stage_gains(ground);
    let (ratio, law, end) = match (gains.first, gains.second) {
        (Some(whole), None) => (whole * ground.needed(R1) / r, law::REFERENCE_TWO, "R1"),
        (Some(first), Some(second)) => {
            (first * (1.0 + second) * ground.needed(R4) / r, law::REFERENCE_DIFFERENCE, "R4")
        }
        (None, Some(second)) if ground.ohm(R5).is_none() => {
            ((1.0 + second) * ground.needed(R4) / r, law::REFERENCE_DIFFERENCE, "R4")
        }
        _ => return,
    };
    board.write(
        format!("Beyond the estimate. Whatever drives the reference adds r to {end} and tilts the balance by r/{end}:"),
        db("CMRR_r", ratio),
        exact,
        law,
    );
}

fn bias_return(ground: &Ground<'_>, alone: &Alone, board: &mut Board) {
    let source = &ground.stage().circuit.surroundings.source;
    let (Some(exact), Some(ohm)) = (alone.db(Cause::BiasReturn), source.bias_return_ohm) else { return };
    let filter = ground.question.filter.map_or(0.0, |filter| filter.resistor_ohm);
    let series = source.resistance_ohm + filter;
    if series == 0.0 || !has_buffers(ground) {
        return;
    }
    let t = Expr::symbol("t_b", ground.lot().bias_return_tolerance, Unit::Fraction);
    let ratio = Expr::symbol("R_b", ohm, Unit::Ohm) / (2.0 * t * Expr::symbol("R_s", series, Unit::Ohm));
    board.write(
        "Beyond the estimate. The bias-return resistors divide the common mode together with the resistance in front \
         of them, R_s a leg; two that are off by t_b in opposite directions divide it differently:",
        db("CMRR_b", ratio),
        exact,
        law::BIAS_RETURN,
    );
}

/// What a leg's voltage is divided over: bias return and input resistance.
fn load(ground: &Ground<'_>) -> Option<Expr> {
    let back = ground.question.source.bias_return_ohm.map(|ohm| Expr::symbol("R_b", ohm, Unit::Ohm));
    let input = ground.stage().circuit.opamp(Amp::A1).input_resistance_ohm;
    let input = input.map(|ohm| Expr::symbol("r_in", ohm, Unit::Ohm));
    match (back, input) {
        (Some(back), Some(input)) => Some(back.parallel(input)),
        (one, other) => one.or(other),
    }
}

fn imbalance(ground: &Ground<'_>, alone: &Alone, board: &mut Board) {
    let ohm = ground.question.source.imbalance_ohm;
    let (Some(exact), Some(load), true) = (alone.db(Cause::SourceImbalance), load(ground), has_buffers(ground)) else {
        return;
    };
    let d = Expr::symbol("dR", ohm, Unit::Ohm);
    board.write(
        "Beyond the estimate. A difference dR between the legs of the source divides the common mode differently, over \
         what lies from each input to the reference:",
        db("CMRR_s", load / d),
        exact,
        law::IMBALANCE_AT_DC,
    );
}

/// The estimate and what goes beyond it, added likewise.
fn added(ground: &Ground<'_>, alone: &Alone, estimate: Option<Expr>, board: &mut Board) {
    let causes = [
        (Cause::OpenLoopGain, "e_A0"),
        (Cause::SourceImbalance, "e_s"),
        (Cause::ReferenceResistance, "e_r"),
        (Cause::BiasReturn, "e_b"),
        (Cause::InputFilter, "e_f"),
    ];
    let mut terms: Vec<Expr> = estimate.into_iter().collect();
    let before = terms.len();
    for (cause, name) in causes {
        if let Some(db) = alone.db(cause) {
            terms.push(Expr::symbol(name, 1.0 / from_decibels(db), Unit::Fraction));
        }
    }
    if terms.len() == before {
        return;
    }
    let sum = Equation::new("e_all", Unit::Fraction, Expr::sum(terms));
    let sum = board.write(
        "Added to the estimate, each as large as the network tells it alone (open-loop gain e_A0, source imbalance e_s, \
         reference e_r, bias return e_b, the filter's resistors e_f, as far as they are there):",
        sum,
        None,
        law::ADDED,
    );
    board.write(
        "which leaves",
        db("CMRR_all", 1.0 / sum),
        crate::study::rejection::decibels(ground.bench.worst.rejection),
        law::REJECTION,
    );
}

fn has_buffers(ground: &Ground<'_>) -> bool {
    ground.question.topology != Topology::Difference
}

fn at_frequency(ground: &Ground<'_>, hz: f64, alone: &Alone, board: &mut Board) {
    if !has_buffers(ground) {
        return;
    }
    let circuit = &ground.stage().circuit;
    let around = &circuit.surroundings;
    let f = || Expr::symbol("f", hz, Unit::Hertz);
    let turn = || 2.0 * Expr::Pi * f();
    let filter = around.filter;
    let input = circuit.opamp(Amp::A1).input_capacitance_f.unwrap_or(0.0);
    let behind = filter.map_or(0.0, |filter| filter.common_capacitor_f) + input;
    let farad = around.source.cable_capacitance_f.unwrap_or(0.0) + behind;
    if let (Some(exact), true) = (alone.db(Cause::SourceImbalance), farad > 0.0) {
        let c = Expr::symbol("C", farad, Unit::Farad);
        let d = Expr::symbol("dR", around.source.imbalance_ohm, Unit::Ohm);
        let susceptance = turn() * c;
        let (what, admittance) = match load(ground) {
            Some(load) => ("beside what was there at dc", ((1.0 / load).squared() + susceptance.squared()).root()),
            None => ("and nothing else", susceptance),
        };
        board.write(
            format!(
                "At {} the interference also has the capacitances, C from each wire to ground (cable, filter and inputs), \
                 {what}; with dR between the legs the wires lag differently:",
                rounded(hz, Unit::Hertz, 4)
            ),
            db("CMRR_s", 1.0 / (d * admittance)),
            exact,
            law::SOURCE_IMBALANCE,
        );
    }
    if let (Some(exact), Some(c)) = (alone.db(Cause::Cable), around.source.cable_capacitance_f)
        && around.source.cable_tolerance > 0.0
    {
        let rs = Expr::symbol("R_s", around.source.resistance_ohm, Unit::Ohm);
        let dc = Expr::symbol("dC", 2.0 * around.source.cable_tolerance * c, Unit::Farad);
        board.write(
            "The two halves of the cable may differ by dC, behind R_s:",
            db("CMRR_c", Expr::from(1.0) / (turn() * rs * dc)),
            exact,
            law::CABLE,
        );
    }
    if let (Some(exact), Some(filter)) = (alone.db(Cause::InputFilter), filter)
        && filter.common_capacitor_f > 0.0
    {
        let r = Expr::symbol("R", around.source.resistance_ohm + filter.resistor_ohm, Unit::Ohm);
        let c = Expr::symbol("C", behind, Unit::Farad);
        let dc = Expr::symbol("dC", 2.0 * filter.capacitor_tolerance * filter.common_capacitor_f, Unit::Farad);
        let d = Expr::symbol("dR", 2.0 * filter.resistor_tolerance * filter.resistor_ohm, Unit::Ohm);
        board.write(
            "The filter's own parts differ too, by dR between the legs and by dC between the capacitors to ground:",
            db("CMRR_f", Expr::from(1.0) / (turn() * (r * dc + c * d))),
            exact,
            law::CABLE,
        );
    }
    let stray = around.strays.rg_capacitance_f;
    if let (Some(exact), Some(first), true) =
        (alone.db(Cause::Strays), stage_gains(ground).first, circuit.topology == Topology::ThreeOpAmp)
    {
        let dc = Expr::symbol("dC", stray, Unit::Farad);
        board.write(
            "One end of RG has dC more to ground than the other, and its op amp makes more of the common mode:",
            db("CMRR_G", first / (turn() * ground.needed(RF1) * dc)),
            exact,
            law::STRAY,
        );
    }
}
