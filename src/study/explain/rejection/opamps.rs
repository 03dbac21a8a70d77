use super::super::explanation::Board;
use super::super::given::index;
use super::super::ground::Ground;
use super::super::law;
use super::{Alone, Term, stage_gains};
use crate::designator::Designator::R6;
use crate::designator::{Amp, Topology};
use crate::equation::{Equation, Expr, GIVEN_DIGITS};
use crate::quantity::{Unit, rounded};
use crate::stage::Cause;

/// What the op amps' own rejection spoils: the first stage, the output op amp.
pub(super) fn write(ground: &Ground<'_>, alone: &Alone, board: &mut Board) -> Vec<Term> {
    let two = ground.question.topology == Topology::TwoOpAmp;
    let first = ground.stage().circuit.first_stage();
    let last = ground.question.topology.amps().iter().copied().rfind(|amp| !first.contains(amp));
    let mut terms = Vec::new();
    let in_front: Vec<Expr> = first.iter().filter_map(|&amp| rejection(ground, amp)).collect();
    let law_number = if two { law::OP_AMPS_TWO } else { law::OP_AMPS_THREE };
    if !in_front.is_empty() {
        let names: Vec<&str> = first.iter().map(|amp| amp.name()).collect();
        let text = format!(
            "An op amp whose own rejection is M, as a ratio, errs by v_cm/M at its own input, with either sign. {} the whole \
             common mode at the circuit's inputs ({}):",
            match names.as_slice() {
                [one] => format!("{one} sees"),
                all => format!("{} see", all.join(" and ")),
            },
            stated(ground, first)
        );
        let error = Equation::new("c_1", Unit::Fraction, Expr::sum(in_front.into_iter().map(inverse)));
        let told = board.write(text, error, None, law_number);
        in_decibels(board, "CMRR_1", &told, alone.db(Cause::FirstStageOpAmps));
        terms.push(Term { cause: Cause::FirstStageOpAmps, error: told });
    }
    if let Some((amp, own)) = last.and_then(|amp| Some((amp, rejection(ground, amp)?))) {
        let gain = stage_gains(ground).first.filter(|_| !two);
        let text = match (&gain, two) {
            (Some(_), _) => format!(
                "{amp} sees the common mode behind stage one; at the input its error counts G1 times less ({}):",
                stated(ground, &[amp])
            ),
            (None, true) => format!("{amp} sees the common mode at its own input, v_p ({}):", stated(ground, &[amp])),
            (None, false) if ground.question.topology == Topology::SingleChip => {
                format!(
                    "The data sheet states the rejection of the whole chip; of a list by gain, the last row at or below this gain \
                     holds ({}):",
                    stated(ground, &[amp])
                )
            }
            (None, false) => format!(
                "An op amp whose own rejection is M, as a ratio, errs by its inputs' common mode over M. {amp}'s inputs stand at \
                 a share of the circuit's common mode, what {} leave of it, and {amp} multiplies its error by the noise gain; \
                 over the gain for the difference both together are 1, so it counts in full at the circuit's input ({}):",
                if ground.ohm(R6).is_some() { "R3, R4 and R6" } else { "R3 and R4" },
                stated(ground, &[amp])
            ),
        };
        let below = match gain {
            Some(gain) => gain * own,
            None => own,
        };
        let (name, decibels) = if first.is_empty() { ("c_1", "CMRR_1") } else { ("c_2", "CMRR_2") };
        let told = board.write(text, Equation::new(name, Unit::Fraction, inverse(below)), None, law_number);
        in_decibels(board, decibels, &told, alone.db(Cause::OutputOpAmp));
        terms.push(Term { cause: Cause::OutputOpAmp, error: told });
    }
    terms
}

fn in_decibels(board: &mut Board, name: &'static str, error: &Expr, exact: Option<f64>) {
    let db = Equation::new(name, Unit::Decibel, inverse(error.clone()).in_decibels());
    board.write("which alone is a rejection of", db, exact, law::REJECTION);
}

fn inverse(of: Expr) -> Expr {
    Expr::from(1.0) / of
}

fn rejection(ground: &Ground<'_>, amp: Amp) -> Option<Expr> {
    let ratio = ground.stage().circuit.opamp(amp).rejection?;
    Some(own(amp, ratio))
}

/// An op amp's own rejection, as a ratio.
pub(in super::super) fn own(amp: Amp, ratio: f64) -> Expr {
    Expr::symbol(format!("M_{}", index(amp)), ratio, Unit::Plain)
}

/// The data as the spec has it: `110 dB, a ratio of 316228`.
fn stated(ground: &Ground<'_>, amps: &[Amp]) -> String {
    let mut told: Vec<String> = Vec::new();
    for &amp in amps {
        if let Some(ratio) = ground.stage().circuit.opamp(amp).rejection {
            let one = format!(
                "M_{} = {} = {}",
                index(amp),
                rounded(ratio, Unit::Rejection, 4),
                rounded(ratio, Unit::Plain, GIVEN_DIGITS)
            );
            told.push(one);
        }
    }
    told.join(", ")
}
