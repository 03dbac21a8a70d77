//! How far every op amp's pins swing, by hand, each at the signals that bring it nearest to a limit.
use super::explanation::{Board, Explanation, Outcome, Topic};
use super::gain::stage_one_law;
use super::ground::Ground;
use super::law;
use super::stage_two::whole;
use crate::designator::Designator::{R1, R2, R3, R4, R6, RG};
use crate::designator::Topology;
use crate::equation::{Equation, Expr};
use crate::predict::{HeadroomPoint, Rectangle};
use crate::quantity::{Unit, rounded};
use crate::study::conditions::Conditions;
use crate::study::headroom::{self, HeadroomFigure};
use crate::study::largest_gain::LargestGain;
use crate::topology::BuildFault;

/// `None` where inputs are missing, with the keys in `needs`.
pub(super) fn explain(ground: &Ground<'_>) -> Result<Result<Explanation, String>, BuildFault> {
    let reference_v = ground.aim.reference_v;
    let told = headroom::figure(ground.question, ground.stage(), ground.lot(), reference_v)?;
    let (Some(figure), Ok(conditions)) = (told.figure, Conditions::of(ground.question, reference_v)) else {
        let needs = told.not_predicted.into_iter().next().map_or_else(String::new, |missing| missing.needs);
        return Ok(Err(needs));
    };
    let signals = conditions.load.signals;
    let mut board = Board::default();
    signals_at_their_widest(ground, &signals, &mut board);
    let mut least: Option<f64> = None;
    for point in &figure.points {
        let wanted = point.name.ends_with("output") || point.name == figure.limiting;
        if let Some(margin) = wanted.then(|| one(ground, &signals, point, &mut board)).flatten() {
            least = Some(least.map_or(margin, |least: f64| least.min(margin)));
        }
    }
    closing(&figure, &mut board);
    Ok(Ok(Explanation {
        topic: Topic::Headroom,
        meaning: "Headroom is the distance that is left between what an op amp's pin has to reach and what it can \
                  reach, over every signal of the spec. A circuit can run out of it inside, at the output of an input \
                  op amp, while its own output looks fine."
            .to_owned(),
        steps: board.steps,
        outcome: Some(Outcome {
            what: "least margin",
            unit: Unit::Volt,
            by_hand: least,
            exact: Some(figure.margin_v),
            why: vec![
                "By hand the op amps are perfect and the source loses nothing on the way; the network counts finite \
                 open-loop gain and loading."
                    .to_owned(),
            ],
        }),
        measured: None,
    }))
}

fn volt(name: &'static str, law: Expr) -> Equation {
    Equation::new(name, Unit::Volt, law)
}

fn signals_at_their_widest(ground: &Ground<'_>, signals: &Rectangle, board: &mut Board) {
    let show = |value: f64| rounded(value, Unit::Volt, 4);
    let (common, difference) = (signals.common_mode_v, signals.differential_v);
    let mut text = format!(
        "The common mode goes from {} to {}, the difference from {} to {}",
        show(common.0),
        show(common.1),
        show(difference.0),
        show(difference.1)
    );
    if let Some(amplitude) = ground.question.interference.map(|one| one.amplitude_v).filter(|&volt| volt > 0.0) {
        text += &format!(", with {} of interference on either side of the common mode", show(amplitude));
    }
    if ground.question.signal.dc_offset.is_some() {
        text += ", and the source's dc offset in the difference";
    }
    text += ". Every voltage inside is a straight-line function of the two, so its extremes lie at the corners of that \
             rectangle; each pin is told at the corner that brings it nearest to a limit.";
    board.say(text, None);
}

/// One pin; its margin by hand.
fn one(ground: &Ground<'_>, signals: &Rectangle, point: &HeadroomPoint, board: &mut Board) -> Option<f64> {
    let low_side = point.lowest_v - point.low_limit_v < point.high_limit_v - point.highest_v;
    let at = |vertex: (f64, f64)| Some((vertex, law_of(ground, &point.name, vertex)?.1));
    let (_, law) = signals.vertices().into_iter().filter_map(at).min_by(|a, b| {
        let (a, b) = (a.1.value(), b.1.value());
        if low_side { a.total_cmp(&b) } else { b.total_cmp(&a) }
    })?;
    let (text, _) = law_of(ground, &point.name, (0.0, 0.0))?;
    let exact = if low_side { point.lowest_v } else { point.highest_v };
    let name = symbol_of(&point.name);
    let reached = board.write(text, volt(name, law), exact, law::SWING);
    let (word, margin) = if low_side {
        ("lowest", reached - Expr::symbol("v_low", point.low_limit_v, Unit::Volt))
    } else {
        ("highest", Expr::symbol("v_high", point.high_limit_v, Unit::Volt) - reached)
    };
    let limit = if low_side { point.low_limit_v } else { point.high_limit_v };
    let margin = volt("m", margin);
    let by_hand = margin.value();
    board.write(
        format!("That is its {word}; the part allows {}, which leaves", rounded(limit, Unit::Volt, 4)),
        margin,
        point.margin_v,
        law::MARGIN,
    );
    Some(by_hand)
}

fn symbol_of(point: &str) -> &'static str {
    match point {
        "A1 output" => "v_A1",
        "A2 output" => "v_A2",
        "A3 output" => "v_A3",
        _ => "v_in",
    }
}

/// What a pin's voltage comes from at one corner of the signals, in words and as a law.
fn law_of(ground: &Ground<'_>, point: &str, (common_v, difference_v): (f64, f64)) -> Option<(String, Expr)> {
    let common = || Expr::symbol("v_cm", common_v, Unit::Volt);
    let difference = || Expr::symbol("v_d", difference_v, Unit::Volt);
    let half = || difference() / Expr::from(2.0);
    let reference = || ground.reference();
    let plain = |name: &'static str, law: Expr| Equation::new(name, Unit::Plain, law).told();
    let topology = ground.question.topology;
    let (amp, pin) = point.split_once(' ')?;
    let last = topology.amps().last()?.name();
    let input = pin.ends_with("input");
    let words = |text: &str| text.to_owned();
    Some(match topology {
        _ if amp == last && pin == "output" => {
            let gain = whole(ground).told();
            (format!("{amp}'s output is the circuit's, around the reference:"), reference() + gain * difference())
        }
        Topology::ThreeOpAmp if amp != last && !input => {
            let first = plain("G1", stage_one_law(ground));
            let swing = first * half();
            (
                format!("{amp}'s output carries the whole common mode, and half of the amplified difference:"),
                if amp == "A1" { common() - swing } else { common() + swing },
            )
        }
        Topology::BufferedDifference if amp != last && !input => {
            (format!("{amp} follows its wire:"), if amp == "A1" { common() - half() } else { common() + half() })
        }
        Topology::TwoOpAmp if !input => {
            let [r1, r2] = [R1, R2].map(|name| ground.needed(name));
            let low = || common() - half();
            let through = (low() - reference()) / r1;
            let current = match ground.ohm(RG) {
                Some(rg) => through - difference() / rg,
                None => through,
            };
            (
                words(
                    "A1 works on the negative wire and carries the common mode, amplified by 1 + R2/R1, away from the \
                    reference:",
                ),
                low() + r2 * current,
            )
        }
        Topology::SingleChip => return None,
        _ if input && amp == last && topology != Topology::TwoOpAmp => {
            let [r3, r4] = [R3, R4].map(|name| ground.needed(name));
            let side = match topology {
                Topology::ThreeOpAmp => common() + plain("G1", stage_one_law(ground)) * half(),
                _ => common() + half(),
            };
            let one = || Expr::from(1.0);
            let law = match ground.ohm(R6) {
                None => (side * r4.clone() + reference() * r3.clone()) / (r3 + r4),
                Some(r6) => (side / r3.clone() + reference() / r4.clone()) / (one() / r3 + one() / r4 + one() / r6),
            };
            (format!("{amp}'s inputs stand at what the divider at the non-inverting one leaves:"), law)
        }
        _ => (
            format!("{amp}'s inputs stand at its wire:"),
            if amp == "A1" { common() - half() } else { common() + half() },
        ),
    })
}

fn closing(figure: &HeadroomFigure, board: &mut Board) {
    let gain = match figure.largest_gain {
        LargestGain::UpTo(gain) => {
            format!("With nothing else changed a gain of {} would just fit.", rounded(gain, Unit::Plain, 5))
        }
        LargestGain::Unbounded => "No gain is too much for these signals.".to_owned(),
        LargestGain::None => "No gain fits these signals.".to_owned(),
    };
    board.say(
        format!(
            "The least of all margins counts, that of {}. With the resistors at their worst the network leaves {}. {gain}",
            figure.limiting,
            rounded(figure.worst_margin_v, Unit::Volt, 4)
        ),
        Some(law::MARGIN),
    );
}
