//! The error budget: every figure as a share of full scale.
use super::explanation::{Board, Explanation, Outcome, Topic};
use super::ground::Ground;
use super::law;
use crate::corners::{self, ENUMERATED_AT_FREQUENCY};
use crate::equation::{Equation, Expr};
use crate::predict::OffsetSource;
use crate::quantity::Unit;
use crate::study::budget::{self, Basis};
use crate::study::{noise, offset};
use crate::topology::BuildFault;

/// `None` inside where inputs are missing, with the keys.
pub(super) fn explain(ground: &Ground<'_>) -> Result<Result<Explanation, String>, BuildFault> {
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
    let Some(figure) = told.figure else {
        return Ok(Err(told.not_predicted.into_iter().next().map_or_else(String::new, |missing| missing.needs)));
    };
    let mut board = Board::default();
    let span = question.signal.differential.map_or((0.0, 0.0), |span| (span.low, span.high));
    let (high, low) = (Expr::symbol("v_dmax", span.1, Unit::Volt), Expr::symbol("v_dmin", span.0, Unit::Volt));
    let scale = board.write(
        "Full scale is the whole span of the difference:",
        Equation::new("FS", Unit::Volt, high - low),
        figure.full_scale_v,
        law::BUDGET,
    );
    let share = |law: Expr| Equation::new("e", Unit::Fraction, law);
    let volt = |name: &'static str, value: f64| Expr::symbol(name, value, Unit::Volt);
    let mut terms = Vec::new();
    let common = question.signal.common_mode;
    let away = common
        .map_or(0.0, |span| (span.low - ground.aim.reference_v).abs().max((span.high - ground.aim.reference_v).abs()));
    for line in &figure.lines {
        let exact = line.ppm * 1e-6;
        let summed = |pick: fn(&OffsetSource) -> bool| {
            offset.iter().flat_map(|one| &one.causes).filter(|one| pick(&one.source)).map(|one| one.rti_v).sum::<f64>()
        };
        let (text, name, law) = match line.cause {
            "offset" => {
                let value = summed(|source| matches!(source, OffsetSource::Voltage(_)));
                ("The offset voltages, all at their worst:", "e_os", volt("V_os", value) / scale.clone())
            }
            "offset drift" => {
                let drift = offset.as_ref().map_or(0.0, |one| one.drift_v_per_k);
                let law = Expr::symbol("TC", drift, Unit::VoltPerKelvin)
                    * Expr::symbol("dT", lot.reach_k, Unit::Kelvin)
                    / scale.clone();
                ("Their drift over the distance from calibration:", "e_TC", law)
            }
            "common mode" if ground.bench.worst.rejection.is_finite() => {
                let law = volt("v_away", away)
                    / (Expr::symbol("CMRR", ground.bench.worst.rejection, Unit::Plain) * scale.clone());
                ("The common mode, as far as it stands away from the reference, over the worst rejection:", "e_cm", law)
            }
            "interference" => {
                let (Some(stated), Some(worst)) = (question.interference, at_interference.as_ref()) else { continue };
                let gain = ground.bench.nominal.differential.abs();
                let law = volt("V_i", stated.amplitude_v) * Expr::symbol("A_cm", worst.common, Unit::Plain)
                    / (Expr::symbol("A_d", gain, Unit::Plain) * scale.clone());
                ("The interference, with the greatest common-mode gain at its frequency over the gain:", "e_i", law)
            }
            "noise" => {
                let law = volt("V_pp", noise_v.unwrap_or(0.0)) / scale.clone();
                ("Noise, peak to peak (6.6 times its rms value):", "e_n", law)
            }
            "gain" => {
                ("The gain's error at the calibration temperature is a share already:", "e_G", share_of("gain", exact))
            }
            "gain drift" => ("and what temperature adds to it:", "e_GT", share_of("gain drift", exact)),
            cause => ("", "", share_of(cause, exact)),
        };
        if name.is_empty() {
            terms.push(Expr::symbol(format!("e_{}", short(line.cause)), exact, Unit::Fraction));
            continue;
        }
        terms.push(board.write(text, Equation { name: name.into(), ..share(law) }, exact, law::BUDGET));
    }
    let sum = Equation::new("e_sum", Unit::Fraction, Expr::sum(terms.iter().cloned()));
    let by_hand = sum.value();
    board.write(
        format!("All added, as if everything were at its worst on one board{}:", others(&figure.lines)),
        sum,
        figure.sum_ppm * 1e-6,
        law::BUDGET,
    );
    board.write(
        "and by squares, as independent causes would add on most boards:",
        Equation::new("e_rss", Unit::Fraction, Expr::sum(terms.into_iter().map(Expr::squared)).root()),
        figure.rss_ppm * 1e-6,
        law::BUDGET,
    );
    Ok(Ok(Explanation {
        topic: Topic::Budget,
        meaning: "The budget puts every error on one scale: what it is at the input, as a share of the whole span of the \
                  signal. What is told here is before calibration; a calibration at two points takes away offset and gain \
                  at its temperature, and leaves drift, interference and noise."
            .to_owned(),
        steps: board.steps,
        outcome: Some(Outcome {
            what: "sum before calibration",
            unit: Unit::Fraction,
            by_hand: Some(by_hand),
            exact: Some(figure.sum_ppm * 1e-6),
            why: vec!["The lines are the network's own figures; the budget only divides and adds.".to_owned()],
        }),
        measured: None,
    }))
}

fn share_of(cause: &'static str, exact: f64) -> Expr {
    Expr::symbol(short(cause), exact, Unit::Fraction)
}

fn short(cause: &'static str) -> &'static str {
    match cause {
        "gain" => "dG",
        "gain drift" => "dG_T",
        "bias current" => "Ib",
        "thermal EMF" => "th",
        "ripple" => "psr",
        "nonlinearity" => "nl",
        other => other,
    }
}

/// Lines that are told elsewhere and only added here.
fn others(lines: &[crate::study::BudgetLine]) -> String {
    let told: Vec<String> = lines
        .iter()
        .filter(|line| matches!(line.cause, "bias current" | "thermal EMF" | "ripple" | "nonlinearity"))
        .map(|line| format!("e_{} of the {}", short(line.cause), line.cause))
        .collect();
    if told.is_empty() { String::new() } else { format!(" ({} among them)", told.join(", ")) }
}
