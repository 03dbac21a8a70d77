//! The error budget: every line from the spec's own numbers, beside the network's.
use super::budget_lines::{Line, Worked, after_calibration, line};
use super::explanation::{Board, Explanation, Outcome, Topic, signed};
use super::ground::Ground;
use super::law;
use crate::corners::{self, ENUMERATED_AT_FREQUENCY};
use crate::equation::{Equation, Expr};
use crate::quantity::Unit;
use crate::study::budget::{self, Basis};
use crate::study::{BudgetFigure, noise, offset};
use crate::topology::BuildFault;

/// A line by hand that is this far from the network's is worth a word, as a share of the sum.
const WORTH_A_WORD: f64 = 0.002;

/// `None` inside where inputs are missing, with the keys. `worked` holds the workings it takes from.
pub(super) fn explain(ground: &Ground<'_>, worked: &Worked<'_>) -> Result<Result<Explanation, String>, BuildFault> {
    let figure = match figure(ground)? {
        Ok(figure) => figure,
        Err(needs) => return Ok(Err(needs)),
    };
    let mut board = Board::default();
    let Some(scale) = ground.full_scale(&mut board) else { return Ok(Err("signal.differential".to_owned())) };
    board.say(
        "Conventions: what is a voltage at the input is told over this whole span, not over its half; the gain's error is \
         told as it is, of the whole span too (at one end of a range around 0 V it makes half as much); common mode and \
         interference count to one side, by their peak; noise counts from peak to peak, which is twice of what it makes to \
         one side.",
        Some(law::BUDGET),
    );
    let mut terms = Vec::new();
    let mut taken = Vec::new();
    let mut off = Vec::new();
    for one in &figure.lines {
        let exact = one.ppm * 1e-6;
        let mut beside = Some(exact);
        let Line { name, text, law_of, law } = match line(ground, worked, one.cause, &scale, &mut board) {
            Some(line) => line,
            None => {
                // no witness of its own
                beside = None;
                let (name, symbol) = budget_symbols(one.cause);
                taken.push(one.cause);
                Line {
                    name,
                    text: format!("The {} has no closed form here and is taken from the network:", one.cause),
                    law_of: Expr::symbol(symbol, exact, Unit::Fraction),
                    law: law::BUDGET,
                }
            }
        };
        let told = board.write(text, Equation::new(name, Unit::Fraction, law_of), beside, law);
        let gap = exact - told.value();
        if gap.abs() > WORTH_A_WORD * figure.sum_ppm * 1e-6 {
            off.push(format!("{}: {}", one.cause, signed(gap)));
        }
        terms.push(told);
        if one.cause == "common mode" {
            after_calibration(ground, worked, &scale, one.ppm_after_calibration * 1e-6, &mut board);
        }
    }
    let sum = Equation::new("b_sum", Unit::Fraction, Expr::sum(terms.iter().cloned()));
    let by_hand = sum.value();
    board.write("All added, as if everything were at its worst on one board:", sum, figure.sum_ppm * 1e-6, law::BUDGET);
    board.write(
        "and by squares, as independent causes would add on most boards:",
        Equation::new("b_rss", Unit::Fraction, Expr::sum(terms.into_iter().map(Expr::squared)).root()),
        figure.rss_ppm * 1e-6,
        law::BUDGET,
    );
    Ok(Ok(Explanation {
        meaning: "The budget puts every error on one scale: what it is at the input, as a share of the whole span of the \
                  signal. What is told here is before calibration; a calibration at two points takes away offset and gain \
                  at its temperature, and leaves drift, interference and noise. Quantities that other workings end in stand \
                  in the list of what is given."
            .to_owned(),
        steps: board.steps,
        outcome: Some(Outcome {
            what: "sum before calibration",
            unit: Unit::Fraction,
            by_hand: Some(by_hand),
            exact: Some(figure.sum_ppm * 1e-6),
            why: why(&off, &taken),
        }),
        ..Explanation::new(Topic::Budget)
    }))
}

fn why(off: &[String], taken: &[&str]) -> Vec<String> {
    let mut lines = vec![
        "The lines by hand are first order and start from the nominal values of the drawing; the network has every corner in \
         full."
            .to_owned(),
    ];
    if !off.is_empty() {
        lines.push(format!("The lines that make the difference: {}.", off.join(", ")));
    }
    if !taken.is_empty() {
        lines.push(format!("Taken from the network, so that they can't differ: {}.", taken.join(", ")));
    }
    lines
}

/// Names of a line that is only taken over, and of what stands in it.
pub(super) const fn budget_symbols(cause: &str) -> (&'static str, &'static str) {
    match cause.as_bytes() {
        b"gain" => ("b_G", "net_G"),
        b"gain drift" => ("b_GT", "net_GT"),
        b"offset" => ("b_os", "net_os"),
        b"bias current" => ("b_Ib", "net_Ib"),
        b"offset drift" => ("b_TC", "net_TC"),
        b"thermal EMF" => ("b_th", "net_th"),
        b"common mode" => ("b_cm", "net_cm"),
        b"interference" => ("b_i", "net_i"),
        b"ripple" => ("b_psr", "net_psr"),
        b"nonlinearity" => ("b_nl", "net_nl"),
        b"noise" => ("b_n", "net_n"),
        _ => ("b_x", "net_x"),
    }
}

fn figure(ground: &Ground<'_>) -> Result<Result<BudgetFigure, String>, BuildFault> {
    let question = ground.question;
    let (stage, lot) = (ground.stage(), ground.lot());
    let at_interference = question
        .interference
        .map(|one| {
            let quantities = stage.quantities(lot, one.frequency_hz);
            corners::at_frequency(stage, &quantities, one.frequency_hz, ENUMERATED_AT_FREQUENCY)
        })
        .transpose()?;
    let offset = offset::figure(question, stage)?.figure;
    let noise_v = noise::figure(question, stage, ground.aim.reference_v)?.figure.and_then(|one| one.peak_to_peak_v);
    let basis = Basis {
        stage,
        lot,
        target_gain: ground.aim.gain,
        reference_v: ground.aim.reference_v,
        dc: &ground.bench.worst,
        at_interference: at_interference.as_ref(),
        offset: offset.as_ref(),
        noise_peak_to_peak_v: noise_v,
    };
    let told = budget::figure(question, &basis)?;
    Ok(told
        .figure
        .ok_or_else(|| told.not_predicted.into_iter().next().map_or_else(String::new, |missing| missing.needs)))
}
