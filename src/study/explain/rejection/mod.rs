//! Rejection: every cause term by term, each beside the network's own figure, at dc and at the
//! interference.
mod interference;
mod opamps;
mod resistors;
mod still;

pub(super) use opamps::own as own_rejection;
pub(super) use resistors::off_together;
pub(super) use still::legs_against;

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

/// One cause and its error at the input, as a share of the common mode.
pub(super) struct Term {
    pub(super) cause: Cause,
    pub(super) error: Expr,
}

pub(super) fn explain(ground: &Ground<'_>) -> Result<Explanation, BuildFault> {
    let alone = Alone(causes(&ground.stage().circuit, ground.lot(), 0.0, corners::ENUMERATED_AT_DC)?);
    let mut board = Board::default();
    opening(ground, &mut board)?;
    let mut terms: Vec<Term> = resistors::write(ground, &alone, &mut board).into_iter().collect();
    terms.extend(opamps::write(ground, &alone, &mut board));
    let estimate = estimate(&terms, &mut board);
    terms.extend(still::write(ground, &alone, &mut board));
    let worst_db = decibels(ground.bench.worst.rejection);
    let all = together(&terms, worst_db, &mut board);
    let by_hand = all.as_ref().map(|sum| decibels_of(1.0 / sum.value()));
    let further = interference::write(ground, &terms, all, &mut board)?;
    let outcome = Outcome {
        what: "worst rejection at dc",
        unit: Unit::Decibel,
        by_hand,
        exact: worst_db,
        why: why(ground, by_hand, worst_db, estimate)?,
    };
    Ok(Explanation {
        meaning: "Common-mode rejection tells how much more the circuit makes of the difference between the wires \
                  than of what both have in common: CMRR = |A_d/A_cm|. A common mode of 1 V is taken for a difference \
                  of 1 V / CMRR. What is told is the least over every corner of what may be off. Each cause is told as \
                  the share c of the common mode that it makes appear as a difference at the input."
            .to_owned(),
        steps: board.steps,
        outcome: Some(outcome),
        further: further.into_iter().collect(),
        ..Explanation::new(Topic::Rejection)
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

/// The handbook's part of it, dB: resistors and the op amps' own rejection.
fn estimate(terms: &[Term], board: &mut Board) -> Option<f64> {
    if terms.is_empty() {
        return None;
    }
    let sum = Equation::new("c_est", Unit::Fraction, Expr::sum(terms.iter().map(|term| term.error.clone())));
    let added = if terms.len() > 1 {
        "At the worst every one of these has the same sign, and the errors add up (not the decibels). "
    } else {
        ""
    };
    let sum = board.write(
        format!(
            "{added}So far that is what handbooks estimate, and what `design` prints beside the exact figure as a check by \
             hand:"
        ),
        sum,
        None,
        law::ADDED,
    );
    let told = Equation::new("CMRR_est", Unit::Decibel, (Expr::from(1.0) / sum).in_decibels());
    let db = told.value();
    board.write("It can't be counted on yet if there are more causes. It comes to", told, None, law::REJECTION);
    Some(db)
}

/// Every cause added, and that in decibels.
fn together(terms: &[Term], worst_db: Option<f64>, board: &mut Board) -> Option<Expr> {
    if terms.is_empty() {
        board.say(
            "Nothing was given that could spoil the balance: by hand the rejection is unbounded.",
            Some(law::ADDED),
        );
        return None;
    }
    let sum = Equation::new("c_all", Unit::Fraction, Expr::sum(terms.iter().map(|term| term.error.clone())));
    let text = match terms {
        [_] => "Nothing else that the spec gives counts at dc:",
        _ => "All causes together, each at its worst and with the same sign:",
    };
    let sum = board.write(text, sum, None, law::ADDED);
    let told = Equation::new("CMRR_all", Unit::Decibel, (Expr::from(1.0) / sum.clone()).in_decibels());
    board.write("One over that is the rejection that can be counted on at dc:", told, worst_db, law::REJECTION);
    Some(sum)
}

fn why(
    ground: &Ground<'_>,
    by_hand: Option<f64>,
    exact: Option<f64>,
    estimate: Option<f64>,
) -> Result<Vec<String>, BuildFault> {
    let mut lines: Vec<String> = Vec::new();
    if by_hand.is_some() && exact.is_some() {
        lines.push(
            "By hand every cause counts to first order. The network also has what two deviations make together, and the \
             gain for the difference as it is at the worst corner."
                .to_owned(),
        );
        lines.extend(gain_there(ground)?);
    }
    if let (Some(all), Some(estimate)) = (by_hand, estimate)
        && estimate - all > 0.05
    {
        lines.push(format!(
            "The handbook estimate of {} leaves out the causes that were added after it, which take {} of it away.",
            rounded(estimate, Unit::Decibel, 5),
            rounded(estimate - all, Unit::Decibel, 3)
        ));
    }
    lines.extend(corner(ground));
    Ok(lines)
}

/// What the gain for the difference is at the worst corner, where that counts.
fn gain_there(ground: &Ground<'_>) -> Result<Option<String>, BuildFault> {
    let quantities = ground.stage().quantities(ground.lot(), 0.0);
    let at = &ground.bench.worst.at;
    if quantities.len() != at.len() {
        return Ok(None);
    }
    let gains = corners::gains_at(ground.stage(), &quantities, std::slice::from_ref(at))?;
    let change = gains.first().map_or(0.0, |&(gain, _)| gain / ground.bench.nominal.differential - 1.0);
    Ok((change.abs() >= 1e-4).then(|| {
        format!(
            "At the worst corner the gain is {} {} than nominal; what comes behind the gain counts by so much {}, up to {}.",
            rounded(change.abs(), Unit::Fraction, 3),
            if change < 0.0 { "less" } else { "more" },
            if change < 0.0 { "more" } else { "less" },
            rounded(decibels_of(1.0 + change.abs()), Unit::Decibel, 5)
        )
    }))
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
