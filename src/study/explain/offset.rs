//! Offset, cause by cause.
use super::currents;
use super::explanation::{Board, Explanation, Outcome, Topic};
use super::given::index;
use super::ground::Ground;
use super::law;
use super::stage_two::{front, last, noise_gain_line, whole};
use crate::designator::Designator::RG;
use crate::designator::{Amp, Topology};
use crate::equation::{Equation, Expr};
use crate::predict::{OffsetFigure, OffsetSource};
use crate::quantity::Unit;
use crate::stage::Leg;
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
    let mut terms = voltages(ground, &figure, &mut board);
    terms.extend(currents::write(ground, &figure, &mut board));
    terms.extend(thermal(ground, &figure, &mut board));
    let by_hand = (!terms.is_empty()).then(|| {
        let sum = Equation::new("V_worst", Unit::Volt, Expr::sum(terms));
        let value = sum.value();
        board.write("Together, at the worst:", sum, figure.rti_worst_v, law::OFFSET);
        value
    });
    drift(ground, &figure, &mut board);
    Ok(Ok(Explanation {
        meaning:
            "The offset is how far the output is from v_ref with both wires at v_ref, divided by the gain. It is told \
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
                 resistance beside it, what amplifies is perfect apart from its offsets, and the gain that the output is divided by \
                 is the drawing's; the network divides by the gain that source and open-loop gain leave."
                    .to_owned(),
            ],
        }),
        ..Explanation::new(Topic::Offset)
    }))
}

pub(super) fn exact(figure: &OffsetFigure, source: OffsetSource) -> Option<f64> {
    figure.causes.iter().find(|one| one.source == source).map(|one| one.rti_v)
}

pub(super) fn volt(name: impl Into<std::borrow::Cow<'static, str>>, law: Expr) -> Equation {
    Equation::new(name, Unit::Volt, law)
}

fn voltages(ground: &Ground<'_>, figure: &OffsetFigure, board: &mut Board) -> Vec<Expr> {
    let stated = |amp: Amp| {
        let value = ground.stage().circuit.opamp(amp).offset_v?;
        Some(Expr::symbol(format!("V_os{}", index(amp)), value, Unit::Volt))
    };
    if ground.question.topology == Topology::SingleChip {
        return chip(ground, figure, board).into_iter().collect();
    }
    let mut terms = Vec::new();
    let at_the_wires: Vec<(Amp, Expr)> = front(ground).iter().filter_map(|&amp| Some((amp, stated(amp)?))).collect();
    if !at_the_wires.is_empty() {
        let exact = at_the_wires.iter().filter_map(|&(amp, _)| exact(figure, OffsetSource::Voltage(amp))).sum::<f64>();
        terms.push(board.write(
            "The offsets of A1 and A2 lie in series with the wires and count in full:",
            volt("V_12", Expr::sum(at_the_wires.into_iter().map(|(_, one)| one))),
            exact,
            law::OFFSET_VOLTAGE,
        ));
    }
    let Some((amp, own)) = last(ground).and_then(|amp| Some((amp, stated(amp)?))) else { return terms };
    let noise = noise_gain_line(ground, amp, board);
    terms.push(board.write(
        format!("So {amp}'s offset, told at the input, is"),
        volt(format!("V_{}", index(amp)), own * noise / whole(ground).told()),
        exact(figure, OffsetSource::Voltage(amp)),
        law::OFFSET_VOLTAGE,
    ));
    terms
}

fn chip(ground: &Ground<'_>, figure: &OffsetFigure, board: &mut Board) -> Option<Expr> {
    let chip = ground.question.chip.as_ref()?;
    let input = chip.offset_in_v.map(|value| Expr::symbol("V_osi", value, Unit::Volt));
    let output = chip.offset_out_v.map(|value| Expr::symbol("V_oso", value, Unit::Volt) / whole(ground).told());
    let both: Vec<Expr> = input.into_iter().chain(output).collect();
    (!both.is_empty()).then(|| {
        board.write(
            "The data sheet tells the offset of its first stage, which counts in full, and of its last one, which is divided \
             by the gain:",
            volt("V_1", Expr::sum(both)),
            exact(figure, OffsetSource::Voltage(Amp::A1)),
            law::OFFSET_VOLTAGE,
        )
    })
}

/// Thermal EMFs of the joints.
fn thermal(ground: &Ground<'_>, figure: &OffsetFigure, board: &mut Board) -> Option<Expr> {
    let strays = &ground.question.strays;
    let emf = || Some(Expr::symbol("S_th", strays.thermal_emf_v_per_k?, Unit::VoltPerKelvin));
    let mut terms = Vec::new();
    if strays.leg_gradient_k != 0.0 {
        terms.push(2.0 * emf()? * Expr::symbol("dT_leg", strays.leg_gradient_k, Unit::Kelvin));
    }
    if strays.rg_gradient_k != 0.0 && ground.ohm(RG).is_some() {
        let gain = whole(ground).told();
        let share = match ground.question.topology {
            Topology::ThreeOpAmp => 1.0 - 1.0 / super::stage_two::first(ground)?.told(),
            Topology::SingleChip => {
                let base = ground.question.chip.as_ref()?.base_gain;
                1.0 - Expr::symbol("G_0", base, Unit::Plain) / gain
            }
            Topology::TwoOpAmp => {
                let [r4, rg] = [crate::designator::Designator::R4, RG].map(|name| ground.needed(name));
                2.0 * r4 / (rg * gain)
            }
            _ => return None,
        };
        terms.push(emf()? * Expr::symbol("dT_RG", strays.rg_gradient_k, Unit::Kelvin) * share);
    }
    let sources = [
        OffsetSource::ThermalLeg(Leg::Positive),
        OffsetSource::ThermalLeg(Leg::Negative),
        OffsetSource::ThermalGainResistor,
    ];
    let exact: f64 = sources.into_iter().filter_map(|source| exact(figure, source)).sum();
    (!terms.is_empty()).then(|| {
        board.write(
            "Joints of different metals at different temperatures are small batteries, one in each leg in full and one in \
             series with RG by the share of the gain that RG makes:",
            volt("V_th", Expr::sum(terms)),
            exact,
            law::THERMAL_EMF,
        )
    })
}

/// Drift of the offset voltages, by the same ways.
fn drift(ground: &Ground<'_>, figure: &OffsetFigure, board: &mut Board) {
    let symbol = |name: String, value: f64| Expr::symbol(name, value, Unit::VoltPerKelvin);
    let circuit = &ground.stage().circuit;
    let stated = |amp: Amp| {
        let value = circuit.opamp(amp).offset_drift_v_per_k?;
        Some(symbol(format!("TC_os{}", index(amp)), value))
    };
    let mut terms: Vec<Expr> = front(ground).iter().filter_map(|&amp| stated(amp)).collect();
    if let Some((amp, own)) = last(ground).and_then(|amp| Some((amp, stated(amp)?))) {
        terms.push(own * noise_gain_line(ground, amp, board) / whole(ground).told());
    }
    if let (Topology::SingleChip, Some(chip)) = (circuit.topology, &ground.question.chip) {
        terms.extend(chip.offset_in_drift_v_per_k.map(|value| symbol("TC_osi".to_owned(), value)));
        let output = chip.offset_out_drift_v_per_k.map(|value| symbol("TC_oso".to_owned(), value));
        terms.extend(output.map(|one| one / whole(ground).told()));
    }
    if terms.is_empty() {
        return;
    }
    board.write(
        "With temperature the offset voltages drift, each by its way to the input:",
        Equation::new("TC_V", Unit::VoltPerKelvin, Expr::sum(terms)),
        figure.drift_v_per_k,
        law::OFFSET_VOLTAGE,
    );
}
