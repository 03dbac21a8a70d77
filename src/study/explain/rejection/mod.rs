//! Rejection: the handbook estimate term by term, each beside the network's own figure.
mod beyond;
mod opamps;
mod resistors;

use super::explanation::{Board, Explanation, Outcome, Topic};
use super::gain::{stage_one_law, two_op_amp_law};
use super::ground::Ground;
use super::law;
use crate::corners;
use crate::designator::Designator::{R1, R2, R5};
use crate::designator::Topology;
use crate::equation::{Equation, Expr};
use crate::quantity::{Unit, decibels as decibels_of, rounded};
use crate::stage::Cause;
use crate::study::CauseLine;
use crate::study::rejection::{causes, decibels};
use crate::topology::BuildFault;

pub(super) fn explain(ground: &Ground<'_>) -> Result<Explanation, BuildFault> {
    let alone = Alone(causes(&ground.stage().circuit, ground.lot(), 0.0, corners::ENUMERATED_AT_DC)?);
    let mut board = Board::default();
    opening(ground, &mut board)?;
    let terms: Vec<Expr> = [resistors::write(ground, &alone, &mut board)]
        .into_iter()
        .flatten()
        .chain(opamps::write(ground, &alone, &mut board))
        .collect();
    let worst_db = decibels(ground.bench.worst.rejection);
    let estimate = together(terms, worst_db, &mut board);
    let by_hand = estimate.as_ref().map(|sum| decibels_of(1.0 / sum.value()));
    beyond::write(ground, &alone, estimate, &mut board)?;
    let outcome = Outcome {
        what: "worst rejection",
        unit: Unit::Decibel,
        by_hand,
        exact: worst_db,
        why: why(ground, by_hand, worst_db),
    };
    Ok(Explanation {
        topic: Topic::Rejection,
        meaning: "Common-mode rejection tells how much more the circuit makes of the difference between the wires \
                  than of what both have in common: CMRR = |A_d/A_cm|. A common mode of 1 V is taken for a difference \
                  of 1 V / CMRR. What is told is the least over every corner of what may be off."
            .to_owned(),
        steps: board.steps,
        outcome: Some(outcome),
        measured: None,
    })
}

/// What each cause does alone, as the network gives it.
pub(super) struct Alone(Vec<CauseLine>);

impl Alone {
    /// dB; `None` where the cause is not there or does nothing.
    pub(super) fn db(&self, cause: Cause) -> Option<f64> {
        self.0.iter().find(|line| line.cause == cause.name()).and_then(|line| line.alone_db)
    }
}

/// Gains of the two stages as the handbook counts them.
pub(super) struct Gains {
    pub(super) first: Option<Expr>,
    pub(super) second: Option<Expr>,
}

pub(super) fn stage_gains(ground: &Ground<'_>) -> Gains {
    let plain = |name: &'static str, law: Expr| Equation::new(name, Unit::Plain, law).told();
    match ground.question.topology {
        Topology::ThreeOpAmp => Gains {
            first: Some(plain("G1", stage_one_law(ground))),
            second: Some(plain("G2", ground.needed(R2) / ground.needed(R1))),
        },
        Topology::Difference | Topology::BufferedDifference => {
            let feedback = match ground.ohm(R5) {
                Some(r5) => ground.needed(R2).parallel(r5),
                None => ground.needed(R2),
            };
            let name = if ground.ohm(R5).is_some() { "G2'" } else { "G2" };
            Gains { first: None, second: Some(plain(name, feedback / ground.needed(R1))) }
        }
        Topology::TwoOpAmp => Gains { first: Some(plain("G", two_op_amp_law(ground))), second: None },
        Topology::SingleChip => Gains { first: None, second: None },
    }
}

/// The definition, and what stage one does to a common mode.
fn opening(ground: &Ground<'_>, board: &mut Board) -> Result<(), BuildFault> {
    if ground.question.topology == Topology::ThreeOpAmp {
        let common_v = if ground.common_mode_v == 0.0 { 1.0 } else { ground.common_mode_v };
        let at = ground.state_at(common_v, 0.0)?;
        let volt = |amp| at.output(amp).map_or_else(String::new, |v| rounded(v, Unit::Volt, 5));
        board.say(
            format!(
                "Put {} on both wires and no difference. Both ends of RG stand at the same voltage, no current flows in \
                 RG, none in RF1 and RF2, and both outputs follow the common mode (the network: A1 {}, A2 {}). So stage \
                 one passes a common mode with a gain of 1 whatever its resistors are, while it multiplies the \
                 difference by G1: all that stage two spoils counts G1 times less at the input.",
                rounded(common_v, Unit::Volt, 4),
                volt(crate::designator::Amp::A1),
                volt(crate::designator::Amp::A2),
            ),
            Some(law::STAGE_ONE_GAIN),
        );
    }
    Ok(())
}

/// All terms added, and that in decibels.
fn together(terms: Vec<Expr>, worst_db: Option<f64>, board: &mut Board) -> Option<Expr> {
    if terms.is_empty() {
        board.say(
            "No resistor and no op amp was given anything that could spoil the balance: by hand the rejection is \
             unbounded.",
            Some(law::ADDED),
        );
        return None;
    }
    let sum = Equation::new("e", Unit::Fraction, Expr::sum(terms));
    let sum = board.write(
        "At the worst every one of these has the same sign, and the errors add up (not the decibels):",
        sum,
        None,
        law::ADDED,
    );
    let told = Equation::new("CMRR", Unit::Decibel, (Expr::from(1.0) / sum.clone()).in_decibels());
    board.write("One over that is the rejection that can be counted on:", told, worst_db, law::REJECTION);
    Some(sum)
}

fn why(ground: &Ground<'_>, by_hand: Option<f64>, exact: Option<f64>) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    if let Some(note) = crate::study::closed_form::note(exact, by_hand) {
        lines.push(note);
    } else if by_hand.is_some() && exact.is_some() {
        lines.push(
            "Both agree to what a first-order estimate can give: it leaves out products of tolerances and the gain \
             lost at the worst corner."
                .to_owned(),
        );
    }
    lines.extend(corner(ground));
    lines
}

/// Where the network's worst lies.
fn corner(ground: &Ground<'_>) -> Option<String> {
    let quantities = ground.stage().quantities(ground.lot(), 0.0);
    let at = &ground.bench.worst.at;
    if quantities.len() != at.len() || !ground.bench.worst.rejection.is_finite() {
        return None;
    }
    let side = |value: f64, low: f64, high: f64| {
        if value == high {
            "high"
        } else if value == low {
            "low"
        } else {
            "between"
        }
    };
    let told: Vec<String> = quantities
        .iter()
        .zip(at)
        .map(|(quantity, &value)| format!("{} {}", quantity.name, side(value, quantity.low, quantity.high)))
        .collect();
    Some(format!("The network's worst corner: {}.", told.join(", ")))
}
