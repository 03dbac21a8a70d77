//! Noise density at 1 kHz, source by source, and what it comes to over the band.
use super::explanation::{Board, Explanation, Outcome, Topic};
use super::given::index;
use super::ground::Ground;
use super::law;
use super::noise_resistors::{Exact, chip_resistor, resistors, source};
use super::stage_two::{first, front, last, noise_gain_line, whole};
use crate::designator::Designator::{R1, R4, RF1};
use crate::designator::{Amp, Topology};
use crate::equation::{Equation, Expr};
use crate::predict::{Noise, NoiseLine};
use crate::quantity::Unit;
use crate::study::noise;
use crate::topology::BuildFault;

/// A term of the sum, with the corner below which it grows as 1/f.
pub(super) struct Source {
    pub(super) density: Expr,
    pub(super) corner: Option<Expr>,
}

/// `None` inside where inputs are missing, with the keys.
pub(super) fn explain(ground: &Ground<'_>) -> Result<Result<Explanation, String>, BuildFault> {
    let told = noise::figure(ground.question, ground.stage(), ground.aim.reference_v)?;
    let Some(figure) = told.figure else {
        return Ok(Err(told.not_predicted.into_iter().next().map_or_else(String::new, |missing| missing.needs)));
    };
    let mut board = Board::default();
    let sources = by_hand(ground, &figure, &mut board);
    let whole = (!sources.is_empty()).then(|| {
        let squares = sources.iter().map(|one| one.density.clone().squared());
        let law = density("e_n", Expr::sum(squares).root());
        board.write("All of it, added by squares:", law, figure.density_v_per_rthz, law::NOISE_SUM)
    });
    if let Some(whole) = &whole {
        over_the_band(ground, &figure, whole, &sources, &mut board);
    }
    Ok(Ok(Explanation {
        meaning: "Noise is told at the input: what the output shows, divided by the gain at dc. Independent sources add by their \
                  squares, so the loudest decide."
            .to_owned(),
        steps: board.steps,
        outcome: Some(Outcome {
            what: "noise density at 1 kHz",
            unit: Unit::VoltPerRootHertz,
            by_hand: whole.map(|one| one.value()),
            exact: Some(figure.density_v_per_rthz),
            why: vec![
                "By hand the density at 1 kHz is flat: without the 1/f part that is left there, without what the filter and \
                 the circuit's own bandwidth take away, and without the bias-return resistors and excess noise of resistors."
                    .to_owned(),
            ],
        }),
        ..Explanation::new(Topic::Noise)
    }))
}

pub(super) fn density(name: &'static str, law: Expr) -> Equation {
    Equation::new(name, Unit::VoltPerRootHertz, law)
}

fn over_the_band(ground: &Ground<'_>, figure: &Noise, whole: &Expr, sources: &[Source], board: &mut Board) {
    let (Some(high), Some(rms)) = (ground.question.signal.bandwidth_hz, figure.rms_v) else { return };
    let low = ground.question.signal.noise_from_hz.unwrap_or(noise::NOISE_FROM_HZ);
    let low = Expr::symbol("f_l", low, Unit::Hertz);
    let mut high = Expr::symbol("f_h", high, Unit::Hertz);
    if ground.question.signal.single_pole_noise {
        high = board.write(
            "The spec counts the noise behind a single pole, whose band is π/2 as wide:",
            Equation::new("f_pole", Unit::Hertz, Expr::Pi * high / Expr::from(2.0)),
            None,
            law::NOISE_BAND,
        );
    }
    let mut terms = vec![whole.clone().squared() * (high.clone() - low.clone())];
    for one in sources {
        if let Some(corner) = &one.corner {
            terms.push(one.density.clone().squared() * corner.clone() * (high.clone() / low.clone()).ln());
        }
    }
    let text = if terms.len() > 1 {
        "Over the band from f_l to f_h each flat density counts with the square root of the width. A density whose square \
         grows as f_k/f below its corner f_k adds f_k·ln(f_h/f_l) to the width:"
    } else {
        "Over the band from f_l to f_h each flat density counts with the square root of the width:"
    };
    let law = Equation::new("V_rms", Unit::Volt, Expr::sum(terms).root());
    let rms = board.write(text, law, rms, law::NOISE_BAND);
    board.write(
        "Noise of a Gaussian kind is taken to reach 6.6 times its rms value from peak to peak; one part in a thousand of \
         the time it is beyond:",
        Equation::new("V_pp", Unit::Volt, 6.6 * rms),
        figure.peak_to_peak_v,
        law::NOISE_BAND,
    );
}

fn by_hand(ground: &Ground<'_>, figure: &Noise, board: &mut Board) -> Vec<Source> {
    let together = |names: &[&str]| {
        let power = |one: &NoiseLine| one.density_v_per_rthz * one.density_v_per_rthz;
        let chosen = figure.causes.iter().filter(|one| names.contains(&one.cause.as_str()));
        let sum: f64 = chosen.map(power).sum();
        (sum > 0.0).then(|| sum.sqrt())
    };
    let mut terms: Vec<Source> = Vec::new();
    terms.extend(source(ground, board, &together));
    if ground.question.topology == Topology::SingleChip {
        terms.extend(chip_resistor(ground, board, &together));
        terms.extend(chip(ground, board));
        return terms;
    }
    terms.extend(at_the_wires(ground, board, &together));
    terms.extend(of_the_last(ground, board, &together));
    terms.extend(current_of_the_last(ground, board, &together));
    terms.extend(currents_at_the_wires(ground, board, &together));
    terms.extend(resistors(ground, board, &together));
    terms
}

fn corner(name: String, hz: Option<f64>) -> Option<Expr> {
    hz.filter(|&hz| hz > 0.0).map(|hz| Expr::symbol(name, hz, Unit::Hertz))
}

fn voltage(ground: &Ground<'_>, amp: Amp) -> Option<(Expr, Option<Expr>)> {
    let data = ground.stage().circuit.opamp(amp);
    let own = Expr::symbol(format!("e_A{}", index(amp)), data.voltage_noise_v_per_rthz?, Unit::VoltPerRootHertz);
    Some((own, corner(format!("f_k{}", index(amp)), data.voltage_noise_corner_hz)))
}

/// Those of A1 and A2, together where they are alike.
fn at_the_wires(ground: &Ground<'_>, board: &mut Board, exact: Exact<'_>) -> Vec<Source> {
    let all: Vec<(Expr, Option<Expr>)> = front(ground).iter().filter_map(|&amp| voltage(ground, amp)).collect();
    if all.is_empty() {
        return Vec::new();
    }
    let corners: Vec<Option<f64>> = all.iter().map(|(_, corner)| corner.as_ref().map(Expr::value)).collect();
    let alike = corners.iter().all(|corner| *corner == corners[0]);
    let law = Expr::sum(all.iter().map(|(own, _)| own.clone().squared())).root();
    let told = board.write(
        "The voltage noise of A1 and of A2 lies in series with the wires:",
        density("e_V12", law),
        exact(&["A1 voltage", "A2 voltage"]),
        law::NOISE_SUM,
    );
    if alike {
        return vec![Source { density: told, corner: all.into_iter().next().and_then(|(_, corner)| corner) }];
    }
    all.into_iter().map(|(own, corner)| Source { density: own, corner }).collect()
}

fn of_the_last(ground: &Ground<'_>, board: &mut Board, exact: Exact<'_>) -> Option<Source> {
    let amp = last(ground)?;
    let (own, corner) = voltage(ground, amp)?;
    let law = own * noise_gain_line(ground, amp, board) / whole(ground).told();
    let cause = format!("{amp} voltage");
    let told = board.write(
        format!("So {amp}'s voltage noise, told at the input, is"),
        density("e_VD", law),
        exact(&[cause.as_str()]),
        law::NOISE_SUM,
    );
    Some(Source { density: told, corner })
}

fn current(ground: &Ground<'_>, amp: Amp) -> Option<(Expr, Option<Expr>)> {
    let data = ground.stage().circuit.opamp(amp);
    let own = Expr::symbol(format!("i_n{}", index(amp)), data.current_noise_a_per_rthz?, Unit::AmperePerRootHertz);
    Some((own, corner(format!("f_ki{}", index(amp)), data.current_noise_corner_hz)))
}

fn current_of_the_last(ground: &Ground<'_>, board: &mut Board, exact: Exact<'_>) -> Option<Source> {
    let amp = last(ground)?;
    let (own, corner) = current(ground, amp)?;
    let mut law = Expr::from(2.0).root() * own * ground.needed(R1);
    if let Some(gain) = first(ground) {
        law = law / gain.told();
    }
    let causes = [format!("{amp} + current"), format!("{amp} - current")];
    let told = board.write(
        format!("{amp}'s current noise flows through R2 at either input, which is R1 at the input of the stage:"),
        density("e_ID", law),
        exact(&[causes[0].as_str(), causes[1].as_str()]),
        law::NOISE_SUM,
    );
    Some(Source { density: told, corner })
}

fn currents_at_the_wires(ground: &Ground<'_>, board: &mut Board, exact: Exact<'_>) -> Vec<Source> {
    let back = match ground.question.topology {
        Topology::ThreeOpAmp => first(ground).map(|gain| ground.needed(RF1) / gain.told()),
        Topology::TwoOpAmp => Some(ground.needed(R4) / whole(ground).told()),
        _ => None,
    };
    let leg = ground.leg(board);
    let squares: Vec<Expr> = leg.into_iter().chain(back).map(Expr::squared).collect();
    if squares.is_empty() {
        return Vec::new();
    }
    let mut all = Vec::new();
    for (&amp, name) in front(ground).iter().zip(["e_I1", "e_I2"]) {
        let Some((own, corner)) = current(ground, amp) else { continue };
        let causes = [format!("{amp} + current"), format!("{amp} - current")];
        let text = if all.is_empty() {
            "Current noise of the op amps at the wires works on the leg, and at the inverting node on the feedback resistor \
             as it is seen from the input:"
        } else {
            ""
        };
        let told = board.write(
            text,
            density(name, own * Expr::sum(squares.clone()).root()),
            exact(&[causes[0].as_str(), causes[1].as_str()]),
            law::NOISE_SUM,
        );
        all.push(Source { density: told, corner });
    }
    all
}

fn chip(ground: &Ground<'_>, board: &mut Board) -> Vec<Source> {
    let Some(chip) = &ground.question.chip else { return Vec::new() };
    let symbol = |name: &'static str, value: f64| Expr::symbol(name, value, Unit::VoltPerRootHertz);
    let mut all = Vec::new();
    if let Some(value) = chip.noise_in_v_per_rthz {
        let corner = corner("f_ki".to_owned(), chip.noise_in_corner_hz);
        all.push(Source { density: symbol("e_in", value), corner });
    }
    if let Some(value) = chip.noise_out_v_per_rthz {
        let told = board.write(
            "The data sheet tells the noise e_in of the first stage, which counts in full, and that of the last one, which \
             is divided by the gain:",
            density("e_last", symbol("e_out", value) / whole(ground).told()),
            None,
            law::NOISE_SUM,
        );
        all.push(Source { density: told, corner: corner("f_ko".to_owned(), chip.noise_out_corner_hz) });
    }
    let (amp, leg) = (Amp::A1, ground.leg(board));
    if let (Some((own, corner)), Some(leg)) = (current(ground, amp), leg) {
        let told = board.write(
            "Current noise of the two inputs works on the legs:",
            density("e_I1", Expr::from(2.0).root() * own * leg),
            None,
            law::NOISE_SUM,
        );
        all.push(Source { density: told, corner });
    }
    all
}
