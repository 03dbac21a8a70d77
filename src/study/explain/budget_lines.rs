//! The lines of the budget by hand.
use super::budget_gain::{gain, gain_drift};
use super::currents::at_its_worst;
use super::explanation::{Board, Explanation};
use super::given::index;
use super::ground::Ground;
use super::law::{self, Law};
use super::stage_two::{front, last, noise_gain_line, whole};
use crate::designator::{Amp, Topology};
use crate::equation::{Equation, Expr};
use crate::quantity::Unit;

/// Workings that the budget takes from.
pub(super) struct Worked<'a>(pub(super) Vec<&'a Explanation>);

impl Worked<'_> {
    pub(super) fn get(&self, name: &str) -> Option<Expr> {
        self.0.iter().find_map(|one| one.worked(name))
    }

    fn all(&self, names: &[&str]) -> Option<Expr> {
        let found: Vec<Expr> = names.iter().filter_map(|name| self.get(name)).collect();
        (!found.is_empty()).then(|| Expr::sum(found))
    }
}

/// One line by hand.
pub(super) struct Line {
    pub(super) name: &'static str,
    pub(super) text: String,
    pub(super) law_of: Expr,
    pub(super) law: Law,
}

/// `None` where there is no closed form.
pub(super) fn line(
    ground: &Ground<'_>,
    worked: &Worked<'_>,
    cause: &str,
    scale: &Expr,
    board: &mut Board,
) -> Option<Line> {
    let told = |text: &str, law_of: Expr, law: Law| {
        Some(Line { name: super::budget::budget_symbols(cause).0, text: text.to_owned(), law_of, law })
    };
    let over = |volt: Expr| volt / scale.clone();
    let volt = |name: &'static str, value: f64| Expr::symbol(name, value, Unit::Volt);
    match cause {
        "gain" => {
            let (text, off) = gain(ground, worked, board)?;
            told(&text, off, law::BUDGET_GAIN)
        }
        "gain drift" => {
            told("and what temperature adds to the spread:", gain_drift(ground, worked, board)?, law::BUDGET_GAIN)
        }
        "offset" => told(
            "The offset voltages as they count at the input, all at their worst:",
            over(worked.all(&["V_12", "V_1", "V_3"])?),
            law::BUDGET,
        ),
        "bias current" => {
            let sum = currents(ground, worked, board)?;
            told(&current_words(ground), over(sum), law::BUDGET)
        }
        "offset drift" => told(
            "The drift of the offset voltages over the distance from calibration:",
            over(worked.get("TC_V")? * ground.reach()),
            law::BUDGET,
        ),
        "thermal EMF" => told("Thermal EMFs of the joints:", over(worked.get("V_th")?), law::BUDGET),
        "common mode" => {
            let away = away(ground, board)?;
            let text =
                "The common mode, as far as it stands away from the reference, by what of it appears at the input:";
            told(text, over(away * worked.get("c_all")?), law::BUDGET)
        }
        "interference" => {
            let amplitude = volt("V_i", ground.question.interference?.amplitude_v);
            let text = "The interference, by what of it appears at the input at its frequency; it counts by the output it makes, \
                        which is greatest on the board with the greatest gain:";
            let mut share = worked.get("c_i")?;
            if let Some(spread) = worked.get("s_T") {
                share = share * (1.0 + spread);
            }
            told(text, over(amplitude * share), law::BUDGET)
        }
        "ripple" => {
            let amplitude = volt("V_r", ground.question.supply?.ripple_v);
            let share = ripple(ground, board)?;
            told("The supply's ripple, by what of it appears at the input:", over(amplitude * share), law::RIPPLE)
        }
        "nonlinearity" => {
            let stated = ground.question.chip.as_ref()?.nonlinearity?;
            let alone = ground.question.resistors.thermal_resistance_k_per_w.is_none();
            let text = "The chip's departure from a straight line, as its data sheet states it:";
            alone.then(|| told(text, Expr::symbol("NL", stated, Unit::Fraction), law::BUDGET))?
        }
        "noise" => told("Noise, from peak to peak:", over(worked.get("V_pp")?), law::BUDGET),
        _ => None,
    }
}

/// How far the common mode gets from the reference.
fn away(ground: &Ground<'_>, board: &mut Board) -> Option<Expr> {
    let span = ground.question.signal.common_mode?;
    let (low, high) = (span.low - ground.aim.reference_v, span.high - ground.aim.reference_v);
    let (name, value) = if high.abs() >= low.abs() { ("v_cmax", span.high) } else { ("v_cmin", span.low) };
    let law = (Expr::symbol(name, value, Unit::Volt) - ground.reference()).magnitude();
    Some(board.once(
        "The common mode of the spec gets away from the reference by as much as",
        Equation::new("v_away", Unit::Volt, law),
        law::BUDGET,
    ))
}

fn currents(ground: &Ground<'_>, worked: &Worked<'_>, board: &mut Board) -> Option<Expr> {
    let mut terms: Vec<Expr> = worked.all(&["V_b1", "V_b2", "V_c1", "V_c2", "V_c3"]).into_iter().collect();
    if let Some(imbalance) = ground.imbalance() {
        let at_inputs: &[Amp] = match ground.question.topology {
            Topology::Difference | Topology::SingleChip => &[Amp::A1],
            _ => front(ground),
        };
        let stated: Vec<(Amp, f64)> = at_inputs
            .iter()
            .filter_map(|&amp| Some((amp, ground.stage().circuit.opamp(amp).bias_current_a?)))
            .collect();
        let all: Vec<Expr> =
            stated.into_iter().map(|(amp, ampere)| at_its_worst(ground, amp, "I_b", ampere, board)).collect();
        if !all.is_empty() {
            let mean = if at_inputs.len() == 1 { Expr::sum(all) } else { Expr::sum(all) / Expr::from(2.0) };
            terms.push(mean * imbalance);
        }
    }
    (!terms.is_empty()).then(|| Expr::sum(terms))
}

/// Why the budget has a term more than the offset.
fn current_words(ground: &Ground<'_>) -> String {
    if ground.imbalance().is_none() {
        return "Bias and offset currents, as the working of the offset has them:".to_owned();
    }
    let safe = if front(ground).is_empty() {
        ""
    } else {
        " In the offset A1's and A2's bias currents already work against each other at their worst, and the same two currents \
         can't be alike at the same time: the sum is on the safe side, by at most that last term."
    };
    format!(
        "Bias and offset currents. The working of the offset takes the legs of the source as alike; the budget adds what a \
         bias current that both wires have in common makes of their difference dR_s.{safe}"
    )
}

/// What the common mode leaves after a calibration, beside the network's: no part of the sum.
pub(super) fn after_calibration(ground: &Ground<'_>, worked: &Worked<'_>, scale: &Expr, exact: f64, board: &mut Board) {
    let (Some(span), Some(share)) = (ground.question.signal.common_mode, worked.get("c_all")) else { return };
    let volt = |name: &'static str, value: f64| Expr::symbol(name, value, Unit::Volt);
    let law_of = (volt("v_cmax", span.high) - volt("v_cmin", span.low)) * share / scale.clone();
    board.write(
        "A calibration does not take that away: it is made at some common mode of the range, nobody says which, and sets the \
         error to zero there instead of at the reference. What is left counts from that common mode to where the signal gets \
         later, at the worst from one end of the range to the other. Where the reference lies within the range that is more than \
         before, up to twice as much:",
        Equation::new("b_cmcal", Unit::Fraction, law_of),
        exact,
        law::BUDGET,
    );
}

/// What of a ripple of the supply appears at the input.
fn ripple(ground: &Ground<'_>, board: &mut Board) -> Option<Expr> {
    let circuit = &ground.stage().circuit;
    let hz = ground.question.supply?.ripple_frequency_hz?;
    let one = |amp: Amp| {
        let data = circuit.opamp(amp);
        let ratio = Expr::symbol(format!("PSR_{}", index(amp)), data.supply_rejection?, Unit::Plain);
        let at_dc = 1.0 / ratio.clone();
        Some(match data.supply_rejection_corner_hz {
            None => at_dc,
            Some(corner) => {
                let corner = Expr::symbol(format!("f_s{}", index(amp)), corner, Unit::Hertz);
                let fall = 1.0 + (Expr::symbol("f_r", hz, Unit::Hertz) / corner).squared();
                fall.root() / ratio
            }
        })
    };
    let mut terms: Vec<Expr> = match circuit.topology {
        Topology::SingleChip => vec![one(Amp::A1)?],
        _ => front(ground).iter().filter_map(|&amp| one(amp)).collect(),
    };
    if let Some((amp, own)) = last(ground).and_then(|amp| Some((amp, one(amp)?))) {
        terms.push(own * noise_gain_line(ground, amp, board) / whole(ground).told());
    }
    (!terms.is_empty()).then(|| {
        board.write(
            match circuit.topology {
                Topology::SingleChip => {
                    "Ripple of the supply acts in the chip like an offset voltage, 1/PSR of it, which grows above a corner:"
                }
                Topology::Difference => {
                    "Ripple of the supply acts in the op amp like an offset voltage, 1/PSR of it, which grows above a corner, \
                     and gets out of the stage as that does:"
                }
                _ => {
                    "Ripple of the supply acts in an op amp like an offset voltage, 1/PSR of it, which grows above a corner; op \
                     amps at the wires count in full:"
                }
            },
            Equation::new("c_psr", Unit::Fraction, Expr::sum(terms)),
            None,
            law::RIPPLE,
        )
    })
}
