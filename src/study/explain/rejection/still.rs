//! Causes at dc that the handbook estimate has no term for, each with its own closed form beside the
//! network's figure.
use super::super::explanation::Board;
use super::super::given::index;
use super::super::ground::Ground;
use super::super::law::{self, Law};
use super::{Alone, Term, stage_gains};
use crate::designator::Designator::{R1, R2, R3, R4, R5, R6};
use crate::designator::{Amp, Topology};
use crate::equation::{Equation, Expr, GIVEN_DIGITS};
use crate::quantity::{Unit, rounded};
use crate::stage::Cause;

/// All that are there.
pub(super) fn write(ground: &Ground<'_>, alone: &Alone, board: &mut Board) -> Vec<Term> {
    let mut all = Vec::new();
    all.extend(open_loop(ground, alone, board));
    all.extend(reference(ground, alone, board));
    all.extend(bias_return(ground, alone, board));
    all.extend(imbalance(ground, alone, board));
    all.extend(filter(ground, alone, board));
    all
}

/// A cause: its error at the input, and that as a rejection.
struct Line {
    cause: Cause,
    error: &'static str,
    decibels: &'static str,
    law: Law,
}

impl Line {
    fn write(&self, text: impl Into<String>, of: Expr, alone: &Alone, board: &mut Board) -> Term {
        let error = board.write(text, Equation::new(self.error, Unit::Fraction, of), None, self.law);
        let db = Equation::new(self.decibels, Unit::Decibel, (Expr::from(1.0) / error.clone()).in_decibels());
        board.write("which alone is a rejection of", db, alone.db(self.cause), law::REJECTION);
        Term { cause: self.cause, error }
    }
}

fn open_loop(ground: &Ground<'_>, alone: &Alone, board: &mut Board) -> Option<Term> {
    alone.db(Cause::OpenLoopGain)?;
    let circuit = &ground.stage().circuit;
    let stated = |amp: Amp| circuit.opamp(amp).open_loop_gain.map(|gain| (amp, gain));
    let line = |law| Line { cause: Cause::OpenLoopGain, error: "c_OL", decibels: "CMRR_OL", law };
    let words = |amp: Amp, gain: f64| {
        let ratio = rounded(gain, Unit::Plain, GIVEN_DIGITS);
        format!("A_OL{} = {} = {ratio}", index(amp), rounded(gain, Unit::Rejection, 4))
    };
    let symbol = |amp: Amp, gain: f64| Expr::symbol(format!("A_OL{}", index(amp)), gain, Unit::Plain);
    match circuit.topology {
        Topology::ThreeOpAmp | Topology::BufferedDifference => {
            let both = [Amp::A1, Amp::A2].into_iter().filter_map(stated);
            let (amp, gain) = both.min_by(|a, b| a.1.total_cmp(&b.1))?;
            let text = format!(
                "Finite open-loop gain makes A1 and A2 fall short of their inputs by 1/A_OL each; only a difference of the \
                 two matters, and at the worst one is as low as stated ({}) and the other perfect:",
                words(amp, gain)
            );
            Some(line(law::LOOP_GAIN_THREE).write(text, 1.0 / symbol(amp, gain), alone, board))
        }
        Topology::TwoOpAmp => {
            let (amp, gain) = stated(Amp::A1)?;
            let ratio = 1.0 + ground.needed(R2) / ground.needed(R1);
            let text = format!(
                "A1 amplifies the common mode by 1 + R2/R1 before A2 takes it away again; what its finite open-loop gain \
                 ({}) loses of it is not taken away:",
                words(amp, gain)
            );
            Some(line(law::LOOP_GAIN_TWO).write(text, ratio / symbol(amp, gain), alone, board))
        }
        Topology::Difference | Topology::SingleChip => None,
    }
}

fn reference(ground: &Ground<'_>, alone: &Alone, board: &mut Board) -> Option<Term> {
    alone.db(Cause::ReferenceResistance)?;
    let r = Expr::symbol("r_ref", ground.stage().circuit.surroundings.reference_resistance_ohm, Unit::Ohm);
    let gains = stage_gains(ground);
    let two = ground.question.topology == Topology::TwoOpAmp;
    let line = |law| Line { cause: Cause::ReferenceResistance, error: "c_ref", decibels: "CMRR_ref", law };
    let text = |end: &str| {
        format!(
            "Whatever drives the reference adds r_ref to {end} and tilts the balance by r_ref/{end}; at the input that is"
        )
    };
    if two {
        let of = r / (gains.first? * ground.needed(R1));
        return Some(line(law::REFERENCE_TWO).write(text("R1"), of, alone, board));
    }
    let second = gains.second?;
    let r4 = ground.needed(R4);
    let of = match (ground.ohm(R6), gains.first) {
        (Some(r6), _) => r * r4.clone().parallel(ground.needed(R3)).parallel(r6) / r4.squared(),
        (None, Some(first)) => r / (first * (1.0 + second) * r4),
        (None, None) => r / ((1.0 + second) * r4),
    };
    Some(line(law::REFERENCE_DIFFERENCE).write(text("R4"), of, alone, board))
}

fn bias_return(ground: &Ground<'_>, alone: &Alone, board: &mut Board) -> Option<Term> {
    alone.db(Cause::BiasReturn)?;
    let back = ground.question.source.bias_return_ohm?;
    let leg = ground.leg(board)?;
    let t = Expr::symbol("t_Rb", ground.lot().bias_return_tolerance, Unit::Fraction);
    let of = 2.0 * t * leg / Expr::symbol("R_b", back, Unit::Ohm);
    let line = Line { cause: Cause::BiasReturn, error: "c_b", decibels: "CMRR_b", law: law::BIAS_RETURN };
    let text = "The bias-return resistors R_b divide the common mode together with what lies in front of them; two that are \
                off by t_Rb in opposite directions divide it differently:";
    Some(line.write(text, of, alone, board))
}

/// What a difference of the legs is divided by: the load of a wire, or, where the wires end at R1 and R3,
/// what R1 counts for there, beside it.
pub(in super::super) fn legs_against(ground: &Ground<'_>, board: &mut Board) -> Option<Expr> {
    if ground.question.topology != Topology::Difference {
        return ground.load(Amp::A1);
    }
    let second = stage_gains(ground).second?;
    let r1 = ground.needed(R1);
    // what stands in front of R1 makes the ratio that the balance counts by less
    let bridge = match ground.leg(board) {
        Some(leg) => leg + r1 * (1.0 + second),
        None => r1 * (1.0 + second),
    };
    Some(match ground.load(Amp::A1) {
        Some(load) => bridge.parallel(load),
        None => bridge,
    })
}

/// The balance of a bridge with R5 beside R2 is told by `G2'`: a line for it where it is not `G2`.
fn balance(ground: &Ground<'_>, board: &mut Board) {
    if let (Topology::Difference, Some(r5)) = (ground.question.topology, ground.ohm(R5)) {
        board.once(
            "R5 lies beside R2 as seen from the inverting node, so a deviation in R1's leg counts by 1/(1 + G2') with",
            Equation::new("G2'", Unit::Plain, ground.needed(R2).parallel(r5) / ground.needed(R1)),
            law::RATIO_RESISTORS,
        );
    }
}

fn imbalance(ground: &Ground<'_>, alone: &Alone, board: &mut Board) -> Option<Term> {
    alone.db(Cause::SourceImbalance)?;
    let d = ground.imbalance()?;
    balance(ground, board);
    let below = legs_against(ground, board)?;
    let (text, law) = if ground.question.topology == Topology::Difference {
        (
            "A difference dR_s between the legs of the source lies in series with R1 and R3 and unbalances them, however \
             well these match:",
            law::RATIO_RESISTORS,
        )
    } else {
        (
            "A difference dR_s between the legs of the source divides the common mode differently, over what lies from each \
             input to the reference or to ground:",
            law::IMBALANCE_AT_DC,
        )
    };
    let line = Line { cause: Cause::SourceImbalance, error: "c_s", decibels: "CMRR_s", law };
    Some(line.write(text, d / below, alone, board))
}

fn filter(ground: &Ground<'_>, alone: &Alone, board: &mut Board) -> Option<Term> {
    alone.db(Cause::InputFilter)?;
    let d = ground.filter_ohm_difference(board)?;
    balance(ground, board);
    let below = legs_against(ground, board)?;
    let law =
        if ground.question.topology == Topology::Difference { law::RATIO_RESISTORS } else { law::IMBALANCE_AT_DC };
    let line = Line { cause: Cause::InputFilter, error: "c_fil", decibels: "CMRR_fil", law };
    let text =
        "At dc the filter's capacitors carry nothing, but its resistors do the same as an imbalance of the source:";
    Some(line.write(text, d / below, alone, board))
}
