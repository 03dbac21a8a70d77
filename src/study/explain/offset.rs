//! Offset, cause by cause.
use super::explanation::{Board, Explanation, Outcome, Topic};
use super::ground::Ground;
use super::law;
use super::stage_two::{first, front, last, leg_ohm, noise_gain, whole};
use crate::designator::Designator::{R1, R4, RF1};
use crate::designator::{Amp, Topology};
use crate::equation::{Equation, Expr};
use crate::predict::{OffsetFigure, OffsetSource};
use crate::quantity::Unit;
use crate::study::offset;
use crate::topology::BuildFault;

/// `None` inside where inputs are missing, with the keys.
pub(super) fn explain(ground: &Ground<'_>) -> Result<Result<Explanation, String>, BuildFault> {
    let told = offset::figure(ground.question, ground.stage())?;
    let Some(figure) = told.figure else {
        return Ok(Err(told.not_predicted.into_iter().next().map_or_else(String::new, |missing| missing.needs)));
    };
    let mut board = Board::default();
    board.say(
        "Every offset is told as the difference at the input that would make the same error at the output, so what comes \
         after gain counts less. The causes are independent; at the worst all magnitudes add up.",
        Some(law::OFFSET),
    );
    let mut terms = Vec::new();
    if ground.question.topology == Topology::SingleChip {
        chip(ground, &figure, &mut board, &mut terms);
    } else {
        voltages(ground, &figure, &mut board, &mut terms);
        currents(ground, &figure, &mut board, &mut terms);
    }
    let by_hand = (!terms.is_empty()).then(|| {
        let sum = Equation::new("V_worst", Unit::Volt, Expr::sum(terms));
        let value = sum.value();
        board.write("Together, at the worst:", sum, figure.rti_worst_v, law::OFFSET);
        value
    });
    Ok(Ok(Explanation {
        topic: Topic::Offset,
        meaning:
            "The offset is what the output shows with both wires at the same voltage, divided by the gain. It is told \
                  at the calibration temperature, as the sum of all causes at their worst."
                .to_owned(),
        steps: board.steps,
        outcome: Some(Outcome {
            what: "worst offset",
            unit: Unit::Volt,
            by_hand,
            exact: Some(figure.rti_worst_v),
            why: vec![
                "By hand the resistance in front of the inputs is taken without the bias return and the input \
                 resistance beside it, and the op amps are perfect apart from their offsets; thermal EMFs are left out."
                    .to_owned(),
            ],
        }),
        measured: None,
    }))
}

fn exact(figure: &OffsetFigure, source: OffsetSource) -> Option<f64> {
    figure.causes.iter().find(|one| one.source == source).map(|one| one.rti_v)
}

fn volt(name: impl Into<std::borrow::Cow<'static, str>>, law: Expr) -> Equation {
    Equation::new(name, Unit::Volt, law)
}

fn voltages(ground: &Ground<'_>, figure: &OffsetFigure, board: &mut Board, terms: &mut Vec<Expr>) {
    let stated = |amp: Amp| {
        let value = ground.stage().circuit.opamp(amp).offset_v?;
        Some(Expr::symbol(format!("V_os{}", &amp.name()[1..]), value, Unit::Volt))
    };
    let at_the_wires: Vec<(Amp, Expr)> = front(ground).iter().filter_map(|&amp| Some((amp, stated(amp)?))).collect();
    if !at_the_wires.is_empty() {
        let exact = at_the_wires.iter().filter_map(|&(amp, _)| exact(figure, OffsetSource::Voltage(amp))).sum::<f64>();
        let told = board.write(
            "The offsets of A1 and A2 lie in series with the wires and count in full:",
            volt("V_1", Expr::sum(at_the_wires.into_iter().map(|(_, one)| one))),
            exact,
            law::OFFSET_VOLTAGE,
        );
        terms.push(told);
    }
    let Some((amp, own)) = last(ground).and_then(|amp| Some((amp, stated(amp)?))) else { return };
    let noise = board.write(
        format!(
            "{amp}'s offset lies at its own input, from where it reaches the output with the noise gain of its stage,"
        ),
        noise_gain(ground),
        None,
        law::OFFSET_VOLTAGE,
    );
    let told = board.write(
        "and is divided by the whole gain to be told at the input:",
        volt("V_2", own * noise / whole(ground).told()),
        exact(figure, OffsetSource::Voltage(amp)),
        law::OFFSET_VOLTAGE,
    );
    terms.push(told);
}

fn currents(ground: &Ground<'_>, figure: &OffsetFigure, board: &mut Board, terms: &mut Vec<Expr>) {
    let circuit = &ground.stage().circuit;
    let leg = Expr::symbol("R_s", leg_ohm(ground), Unit::Ohm);
    let feedback = match ground.question.topology {
        Topology::ThreeOpAmp => first(ground).map(|gain| ground.needed(RF1) / gain.told()),
        Topology::TwoOpAmp => Some(ground.needed(R4) / whole(ground).told()),
        _ => None,
    };
    let back = feedback.map(|law| {
        board.write(
            "Bias current into the inverting node can only come through the feedback resistor; told at the input that \
             resistor acts like",
            Equation::new("R_x", Unit::Ohm, law),
            None,
            law::OFFSET_CURRENTS,
        )
    });
    let mut introduced = false;
    for &amp in front(ground) {
        let data = circuit.opamp(amp);
        let index = &amp.name()[1..];
        let against = match &back {
            Some(back) => (leg.clone() - back.clone()).magnitude(),
            None => leg.clone(),
        };
        let beside = match &back {
            Some(back) => (leg.clone() + back.clone()) / Expr::from(2.0),
            None => leg.clone() / Expr::from(2.0),
        };
        if let Some(current) = data.bias_current_a {
            let text = if introduced {
                String::new()
            } else {
                "Bias current into the other input flows through the leg, R_s of source and filter, and lowers the wire the \
                 other way; the two work against each other:"
                    .to_owned()
            };
            introduced = true;
            let current = Expr::symbol(format!("I_b{index}"), current, Unit::Ampere);
            let law = volt(format!("V_b{index}"), current * against);
            terms.push(board.write(text, law, exact(figure, OffsetSource::BiasCurrent(amp)), law::OFFSET_CURRENTS));
        }
        if let Some(current) = data.offset_current_a {
            let current = Expr::symbol(format!("I_os{index}"), current, Unit::Ampere);
            let law = volt(format!("V_c{index}"), current * beside);
            let text = if amp == Amp::A1 {
                "The difference of the two currents, half into one input and half out of the other, works both ways at once:"
            } else {
                ""
            };
            terms.push(board.write(text, law, exact(figure, OffsetSource::OffsetCurrent(amp)), law::OFFSET_CURRENTS));
        }
    }
    let Some((amp, current)) = last(ground).and_then(|amp| Some((amp, circuit.opamp(amp).offset_current_a?))) else {
        return;
    };
    let current = Expr::symbol(format!("I_os{}", &amp.name()[1..]), current, Unit::Ampere);
    let mut law = current * ground.needed(R1);
    if let Some(gain) = first(ground) {
        law = law / gain.told();
    }
    terms.push(board.write(
        format!(
            "At {amp} the two inputs see the same resistance, R1 beside R2 and R3 beside R4: the bias current drops out, \
             and of the offset current all flows through R2, which is R1 at the input of the stage:"
        ),
        volt(format!("V_c{}", &amp.name()[1..]), law),
        exact(figure, OffsetSource::OffsetCurrent(amp)),
        law::OFFSET_CURRENTS,
    ));
}

fn chip(ground: &Ground<'_>, figure: &OffsetFigure, board: &mut Board, terms: &mut Vec<Expr>) {
    let Some(chip) = &ground.question.chip else { return };
    let gain = Expr::symbol("G", ground.bench.nominal.differential, Unit::Plain);
    let input = chip.offset_in_v.map(|value| Expr::symbol("V_in", value, Unit::Volt));
    let output = chip.offset_out_v.map(|value| Expr::symbol("V_out", value, Unit::Volt) / gain);
    let both: Vec<Expr> = input.into_iter().chain(output).collect();
    if !both.is_empty() {
        terms.push(board.write(
            "The data sheet tells the offset of its first stage, which counts in full, and of its last one, which is divided \
             by the gain:",
            volt("V_1", Expr::sum(both)),
            exact(figure, OffsetSource::Voltage(Amp::A1)),
            law::OFFSET_VOLTAGE,
        ));
    }
    let data = ground.stage().circuit.opamp(Amp::A1);
    if let Some(current) = data.offset_current_a.filter(|_| leg_ohm(ground) > 0.0) {
        let law = Expr::symbol("I_os", current, Unit::Ampere) * Expr::symbol("R_s", leg_ohm(ground), Unit::Ohm);
        terms.push(board.write(
            "The bias current flows through both legs alike and drops out; the offset current, half of it each way through \
             R_s of a leg, does not:",
            volt("V_c1", law),
            exact(figure, OffsetSource::OffsetCurrent(Amp::A1)),
            law::OFFSET_CURRENTS,
        ));
    }
}
