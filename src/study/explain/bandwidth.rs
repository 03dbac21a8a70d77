//! Bandwidth: each op amp's own, the filter's, and what they leave together.
use super::explanation::{Board, Explanation, Outcome, Topic};
use super::gain::stage_one_law;
use super::ground::Ground;
use super::law;
use super::stage_two::{noise_gain, whole};
use crate::designator::Designator::{R1, R2, RG};
use crate::designator::{Amp, Topology};
use crate::equation::{Equation, Expr};
use crate::quantity::Unit;
use crate::study::Span;
use crate::study::bandwidth::{self, BandwidthFigure};
use crate::topology::BuildFault;

/// `None` inside where inputs are missing, with the keys.
pub(super) fn explain(ground: &Ground<'_>) -> Result<Result<Explanation, String>, BuildFault> {
    let told = bandwidth::figure(ground.question, ground.stage())?;
    let Some(figure) = told.figure else {
        return Ok(Err(told.not_predicted.into_iter().next().map_or_else(String::new, |missing| missing.needs)));
    };
    let mut board = Board::default();
    let mut poles = Vec::new();
    for (amp, gain, text) in closed_gains(ground) {
        let Some(gbw) = ground.stage().circuit.opamp(amp).gain_bandwidth_hz else { continue };
        let gbw = Expr::symbol(format!("GBW_{amp}"), gbw, Unit::Hertz);
        let gain = board.write(text, gain, None, law::CLOSED_LOOP);
        let own = Equation::new(format!("f_{amp}"), Unit::Hertz, gbw / gain);
        poles.push(board.write("which leaves it", own, None, law::CLOSED_LOOP));
    }
    poles.extend(pair(ground, &mut board));
    poles.extend(chip(ground, &mut board));
    if let Some(cable) = ground.question.source.cable_capacitance_f {
        let r = Expr::symbol("R_s", ground.question.source.resistance_ohm, Unit::Ohm);
        if r.value() > 0.0 && cable > 0.0 {
            let law = 1.0 / (2.0 * Expr::Pi * r * Expr::symbol("C", cable, Unit::Farad));
            let text = "Each leg of the source works into its half of the cable:";
            poles.push(board.write(text, Equation::new("f_c", Unit::Hertz, law), None, law::FILTER));
        }
    }
    if let Some(filter) = ground.question.filter {
        let [r, cd, cc] = [
            Expr::symbol("R", filter.resistor_ohm + ground.question.source.resistance_ohm, Unit::Ohm),
            Expr::symbol("C_D", filter.differential_capacitor_f, Unit::Farad),
            Expr::symbol("C_C", filter.common_capacitor_f, Unit::Farad),
        ];
        let law = 1.0 / (2.0 * Expr::Pi * r * (2.0 * cd + cc));
        let exact = crate::predict::filter_in_circuit(ground.stage())?.differential_hz;
        poles.push(board.write(
            "The input filter, with R in each leg (source and filter), C_C from each wire to ground and C_D across, of which \
             a difference sees twice as much:",
            Equation::new("f_f", Unit::Hertz, law),
            exact,
            law::FILTER,
        ));
    }
    let by_hand = match poles.as_slice() {
        [] => None,
        [only] => Some(only.value()),
        _ => {
            let sum = Expr::sum(poles.into_iter().map(|one| (1.0 / one).squared()));
            let together = Equation::new("f_3dB", Unit::Hertz, 1.0 / sum.root());
            let text =
                "Stages one behind the other droop together; a rule of thumb adds the squares of their time constants:";
            Some(board.write(text, together, figure.small_signal_hz, law::POLES_TOGETHER).value())
        }
    };
    full_power(ground, &figure, &mut board);
    Ok(Ok(Explanation {
        topic: Topic::Bandwidth,
        meaning: "The bandwidth is the lowest frequency at which the gain is 3 dB below its dc value. An op amp's own gain \
                  falls in proportion to the frequency from GBW on down, so the more gain is asked of it the less bandwidth \
                  is left."
            .to_owned(),
        steps: board.steps,
        outcome: Some(Outcome {
            what: "small-signal bandwidth",
            unit: Unit::Hertz,
            by_hand,
            exact: figure.small_signal_hz,
            why: vec![
                "The rule of thumb does not know the true shape of several poles (it is good to some ten per cent), the two \
                 op amps of a first stage work side by side rather than one after the other, and capacitances at the inputs \
                 and at the source are left out."
                    .to_owned(),
            ],
        }),
        measured: None,
    }))
}

/// The op amps in the way of the signal, each with the gain its loop has to make.
fn closed_gains(ground: &Ground<'_>) -> Vec<(Amp, Equation, &'static str)> {
    let plain = |name: &'static str, law: Expr| Equation::new(name, Unit::Plain, law);
    match ground.question.topology {
        Topology::Difference => vec![(Amp::A1, noise_gain(ground), "A1's loop has to make the noise gain")],
        Topology::BufferedDifference => vec![
            (Amp::A2, plain("N1", Expr::from(1.0)), "A1 and A2 have to make a gain of"),
            (Amp::A3, noise_gain(ground), "A3's loop has to make the noise gain"),
        ],
        Topology::ThreeOpAmp => vec![
            (
                Amp::A2,
                plain("G1", stage_one_law(ground)),
                "For a difference the middle of RG stands still, so A1 and A2, side by side, each have to make the gain",
            ),
            (Amp::A3, noise_gain(ground), "A3's loop has to make the noise gain of its stage,"),
        ],
        Topology::TwoOpAmp | Topology::SingleChip => Vec::new(),
    }
}

/// A chip's own bandwidth at its gain.
fn chip(ground: &Ground<'_>, board: &mut Board) -> Option<Expr> {
    let circuit = &ground.stage().circuit;
    let (chip, gain) = (circuit.chip.as_ref()?, circuit.chip_gain()?);
    let listed = chip.bandwidth_at(gain)?.value;
    Some(board.write(
        "The data sheet lists the bandwidth at some gains; at this one, interpolated over the logarithm of the gain, it is",
        Equation::new("f_A1", Unit::Hertz, Expr::symbol("B", listed, Unit::Hertz)),
        None,
        law::CHIP_GAIN,
    ))
}

/// The two op amps of a two-op-amp circuit, whose errors add.
fn pair(ground: &Ground<'_>, board: &mut Board) -> Option<Expr> {
    let circuit = &ground.stage().circuit;
    let speed = |amp: Amp| {
        let hz = circuit.opamp(amp).gain_bandwidth_hz?;
        Some(Expr::symbol(format!("GBW_{amp}"), hz, Unit::Hertz))
    };
    let (first, second) = (speed(Amp::A1)?, speed(Amp::A2)?);
    if ground.question.topology != Topology::TwoOpAmp {
        return None;
    }
    let [r1, r2] = [R1, R2].map(|name| ground.needed(name));
    let through = r2.clone() / (2.0 * r1);
    let law = match ground.ohm(RG) {
        Some(rg) => r2 / rg + through,
        None => through,
    };
    let swing = board.write(
        "For each volt of difference A2's output moves by G, and A1's the other way by",
        Equation::new("k_1", Unit::Plain, law),
        None,
        law::CLOSED_LOOP,
    );
    let law = 1.0 / (whole(ground).told() / second + swing / first);
    Some(board.write(
        "An op amp misses its input by its output over its open-loop gain, which is GBW/f. Both errors take away from the \
         difference, so they add:",
        Equation::new("f_A", Unit::Hertz, law),
        None,
        law::CLOSED_LOOP,
    ))
}

fn full_power(ground: &Ground<'_>, figure: &BandwidthFigure, board: &mut Board) {
    let Some(limit) = figure.full_power.and_then(|line| line.limited) else { return };
    let (Some(slew), Some(width)) = (
        ground.stage().circuit.opamp(limit.amp).slew_rate_v_per_s,
        ground.question.signal.differential.map(Span::width),
    ) else {
        return;
    };
    let last = ground.question.topology.amps().last() == Some(&limit.amp);
    if !last || ground.question.topology == Topology::SingleChip {
        return;
    }
    let swing = Expr::symbol("v_span", width, Unit::Volt);
    let peak = Equation::new("V_peak", Unit::Volt, whole(ground).told() * swing / Expr::from(2.0));
    let peak = board.write("Slewing. At full swing the output goes up and down by", peak, None, law::FULL_POWER);
    let law = Expr::symbol("SR", slew, Unit::VoltPerSecond) / (2.0 * Expr::Pi * peak);
    board.write(
        format!("and a sine of that peak is as steep as {} can follow at", limit.amp),
        Equation::new("f_p", Unit::Hertz, law),
        limit.hz,
        law::FULL_POWER,
    );
}
