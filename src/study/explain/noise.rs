//! Noise density at 1 kHz, source by source.
use super::explanation::{Board, Explanation, Outcome, Topic};
use super::ground::Ground;
use super::law;
use super::stage_two::{first, front, last, leg_ohm, noise_gain, whole};
use crate::designator::Designator::{R1, R2, R3, R4, R5, R6, RF1, RF2, RG};
use crate::designator::{Amp, Topology};
use crate::equation::{Equation, Expr};
use crate::predict::Noise;
use crate::quantity::Unit;
use crate::study::noise;
use crate::topology::BuildFault;

/// J/K, exact since 2019.
const BOLTZMANN: f64 = 1.380_649e-23;
const FREEZING_K: f64 = 273.15;

/// `None` inside where inputs are missing, with the keys.
pub(super) fn explain(ground: &Ground<'_>) -> Result<Result<Explanation, String>, BuildFault> {
    let told = noise::figure(ground.question, ground.stage(), ground.aim.reference_v)?;
    let Some(figure) = told.figure else {
        return Ok(Err(told.not_predicted.into_iter().next().map_or_else(String::new, |missing| missing.needs)));
    };
    let mut board = Board::default();
    let whole = by_hand(ground, &figure, &mut board);
    if let (Some(whole), Some(high), Some(rms)) = (&whole, ground.question.signal.bandwidth_hz, figure.rms_v) {
        let low = ground.question.signal.noise_from_hz.unwrap_or(0.1);
        let band = Expr::symbol("f_h", high, Unit::Hertz) - Expr::symbol("f_l", low, Unit::Hertz);
        let law = Equation::new("V_rms", Unit::Volt, rms_law(whole.clone(), band));
        board.write(
            "As if that density held over the whole band, from f_l to f_h, the noise would be (the network integrates every \
             source over the band, 1/f noise included)",
            law,
            rms,
            law::NOISE_BAND,
        );
    }
    Ok(Ok(Explanation {
        topic: Topic::Noise,
        meaning: "Noise is told at the input: what the output shows, divided by the gain. Independent sources add by their \
                  squares, so the loudest decide."
            .to_owned(),
        steps: board.steps,
        outcome: Some(Outcome {
            what: "noise density at 1 kHz",
            unit: Unit::VoltPerRootHertz,
            by_hand: whole.map(|one| one.value()),
            exact: Some(figure.density_v_per_rthz),
            why: vec![
                "By hand everything is flat: without the 1/f part that is left at 1 kHz, without what the filter and the \
                 op amps' bandwidth take away there, and without the bias-return resistors."
                    .to_owned(),
            ],
        }),
        measured: None,
    }))
}

/// `density * √band`: the root of hertz is in the density's unit.
fn rms_law(density: Expr, band: Expr) -> Expr {
    density * band.root()
}

fn density(name: &'static str, law: Expr) -> Equation {
    Equation::new(name, Unit::VoltPerRootHertz, law)
}

fn by_hand(ground: &Ground<'_>, figure: &Noise, board: &mut Board) -> Option<Expr> {
    let kelvin = ground.question.environment.calibrated_at_c + FREEZING_K;
    let thermal = || Expr::symbol("4kT", 4.0 * BOLTZMANN * kelvin, Unit::Plain);
    let together = |names: &[&str]| {
        let power = |one: &&crate::predict::NoiseLine| one.density_v_per_rthz * one.density_v_per_rthz;
        let chosen = figure.causes.iter().filter(|one| names.contains(&one.cause.as_str()));
        let sum: f64 = chosen.map(|one| power(&one)).sum();
        (sum > 0.0).then(|| sum.sqrt())
    };
    let mut terms = Vec::new();
    let leg = leg_ohm(ground);
    if leg > 0.0 {
        let law = (2.0 * thermal() * Expr::symbol("R_s", leg, Unit::Ohm)).root();
        terms.push(board.write(
            "The source itself: a resistance R has a thermal noise of √(4kT·R), and there are two legs of R_s (source and \
             filter):",
            density("e_S", law),
            together(&["source", "input filter"]),
            law::THERMAL,
        ));
    }
    if ground.question.topology == Topology::SingleChip {
        chip(ground, &thermal, board, &mut terms, &together);
    } else {
        op_amps(ground, board, &mut terms, &together);
        currents(ground, board, &mut terms, &together);
        resistors(ground, &thermal, board, &mut terms, &together);
    }
    if terms.is_empty() {
        return None;
    }
    let law = density("e_n", Expr::sum(terms.into_iter().map(Expr::squared)).root());
    Some(board.write("All of it, added by squares:", law, figure.density_v_per_rthz, law::NOISE_SUM))
}

type Exact<'a> = &'a dyn Fn(&[&str]) -> Option<f64>;

fn op_amps(ground: &Ground<'_>, board: &mut Board, terms: &mut Vec<Expr>, exact: Exact<'_>) {
    let stated = |amp: Amp| {
        let value = ground.stage().circuit.opamp(amp).voltage_noise_v_per_rthz?;
        Some(Expr::symbol(format!("e_{amp}"), value, Unit::VoltPerRootHertz))
    };
    let wires: Vec<Expr> = front(ground).iter().filter_map(|&amp| stated(amp)).collect();
    if !wires.is_empty() {
        let law = Expr::sum(wires.into_iter().map(Expr::squared)).root();
        terms.push(board.write(
            "The voltage noise of A1 and of A2 lies in series with the wires:",
            density("e_1", law),
            exact(&["A1 voltage", "A2 voltage"]),
            law::NOISE_SUM,
        ));
    }
    if let Some((amp, own)) = last(ground).and_then(|amp| Some((amp, stated(amp)?))) {
        let noise = noise_gain(ground).told();
        let law = own * noise / whole(ground).told();
        let cause = format!("{amp} voltage");
        terms.push(board.write(
            format!(
                "{amp}'s reaches the output with the noise gain N of its stage (1 + R2/R1, and R2/R5 more with a divider), \
                 and is divided by the whole gain:"
            ),
            density("e_2", law),
            exact(&[cause.as_str()]),
            law::NOISE_SUM,
        ));
    }
}

fn currents(ground: &Ground<'_>, board: &mut Board, terms: &mut Vec<Expr>, exact: Exact<'_>) {
    let stated = |amp: Amp| ground.stage().circuit.opamp(amp).current_noise_a_per_rthz;
    if let Some((amp, current)) = last(ground).and_then(|amp| Some((amp, stated(amp)?))) {
        let mut law =
            Expr::from(2.0).root() * Expr::symbol("i_n", current, Unit::AmperePerRootHertz) * ground.needed(R1);
        if let Some(gain) = first(ground) {
            law = law / gain.told();
        }
        let causes = [format!("{amp} + current"), format!("{amp} - current")];
        terms.push(board.write(
            format!("{amp}'s current noise flows through R2 at either input, which is R1 at the input of the stage:"),
            density("e_i2", law),
            exact(&[causes[0].as_str(), causes[1].as_str()]),
            law::NOISE_SUM,
        ));
    }
    let Some(current) = front(ground).iter().find_map(|&amp| stated(amp)) else { return };
    if front(ground).iter().any(|&amp| stated(amp) != Some(current)) {
        return;
    }
    let current = Expr::symbol("i_n", current, Unit::AmperePerRootHertz);
    let leg = Expr::symbol("R_s", leg_ohm(ground), Unit::Ohm);
    let back = match ground.question.topology {
        Topology::ThreeOpAmp => first(ground).map(|gain| ground.needed(RF1) / gain.told()),
        Topology::TwoOpAmp => Some(ground.needed(R4) / whole(ground).told()),
        _ => None,
    };
    let sum = match back {
        Some(back) => 2.0 * leg.squared() + 2.0 * back.squared(),
        None => 2.0 * leg.squared(),
    };
    if sum.value() == 0.0 {
        return;
    }
    terms.push(board.write(
        "Current noise of A1 and A2 works on the legs, and at the inverting nodes on the feedback resistor as it is seen \
         from the input:",
        density("e_i", current * sum.root()),
        exact(&["A1 + current", "A2 + current", "A1 - current", "A2 - current"]),
        law::NOISE_SUM,
    ));
}

fn resistors(
    ground: &Ground<'_>,
    thermal: &dyn Fn() -> Expr,
    board: &mut Board,
    terms: &mut Vec<Expr>,
    exact: Exact<'_>,
) {
    let [r1, r2, r3, r4] = [R1, R2, R3, R4].map(|name| ground.needed(name));
    let gain = whole(ground).told();
    if ground.question.topology == Topology::TwoOpAmp {
        let inner = (r2 + r3.clone()) * (r4.clone() / r3).squared();
        let ratio = (r1 + r4.clone() + inner) / gain.clone().squared();
        let sum = match ground.ohm(RG) {
            Some(rg) => rg.clone() * (2.0 * r4 / (rg * gain)).squared() + ratio,
            None => ratio,
        };
        terms.push(board.write(
            "The circuit's resistors: RG's noise drives a current that both halves amplify, the others count once at the \
             output (R2 and R3 times R4/R3):",
            density("e_R", (thermal() * sum).root()),
            exact(&["RG", "R1", "R2", "R3", "R4"]),
            law::THERMAL,
        ));
        return;
    }
    if let (Topology::ThreeOpAmp, Some(rg)) = (ground.question.topology, ground.ohm(RG)) {
        let law = (thermal() * rg.parallel(ground.needed(RF1) + ground.needed(RF2))).root();
        terms.push(board.write(
            "RG, RF1 and RF2 act at the input like one resistor, RG beside RF1 + RF2:",
            density("e_G", law),
            exact(&["RG", "RF1", "RF2"]),
            law::THERMAL,
        ));
    }
    let ratio = Equation::new("G2", Unit::Plain, r2.clone() / r1.clone()).told();
    let mut sum = (r1 + r3) * ratio.squared() + r2.clone() + r4;
    if let (Some(r5), Some(r6)) = (ground.ohm(R5), ground.ohm(R6)) {
        sum = sum + r2.squared() * (1.0 / r5 + 1.0 / r6);
    }
    terms.push(board.write(
        "The resistors of the difference stage, R1 and R3 times its gain at the output, R2 and R4 once, and all divided by \
         the whole gain:",
        density("e_R", (thermal() * sum).root() / gain),
        exact(&["R1", "R2", "R3", "R4", "R5", "R6"]),
        law::THERMAL,
    ));
}

fn chip(ground: &Ground<'_>, thermal: &dyn Fn() -> Expr, board: &mut Board, terms: &mut Vec<Expr>, exact: Exact<'_>) {
    let Some(chip) = &ground.question.chip else { return };
    if let Some(rg) = ground.ohm(RG) {
        let share = 1.0 - Expr::symbol("N", chip.base_gain, Unit::Plain) / whole(ground).told();
        terms.push(board.write(
            "RG's own noise counts with the part of the gain that RG makes:",
            density("e_G", (thermal() * rg).root() * share),
            exact(&["RG"]),
            law::THERMAL,
        ));
    }
    let gain = Expr::symbol("G", ground.bench.nominal.differential, Unit::Plain);
    let symbol = |name: &'static str, value: f64| Expr::symbol(name, value, Unit::VoltPerRootHertz);
    let input = chip.noise_in_v_per_rthz.map(|value| symbol("e_in", value).squared());
    let output = chip.noise_out_v_per_rthz.map(|value| (symbol("e_out", value) / gain).squared());
    let both: Vec<Expr> = input.into_iter().chain(output).collect();
    if !both.is_empty() {
        terms.push(board.write(
            "The data sheet tells the noise of the first stage, which counts in full, and of the last one, which is divided \
             by the gain:",
            density("e_1", Expr::sum(both).root()),
            None,
            law::NOISE_SUM,
        ));
    }
}
