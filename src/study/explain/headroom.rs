//! How far every op amp's pins swing, by hand, each at the signals that bring it nearest to a limit.
use super::explanation::{Board, Explanation, Outcome, Topic};
use super::ground::Ground;
use super::headroom_fit as fit;
use super::law;
use super::stage_two::whole;
use super::swing::{Corner, law_of};
use crate::designator::Topology;
use crate::equation::{Equation, Expr};
use crate::predict::{HeadroomPoint, Rectangle};
use crate::quantity::{Unit, rounded};
use crate::study::conditions::Conditions;
use crate::study::headroom::{self, HeadroomFigure};
use crate::topology::BuildFault;

/// Two margins this near to each other are the same, V: both are told.
const TIE_V: f64 = 1e-3;

/// `None` where inputs are missing, with the keys in `needs`.
pub(super) fn explain(ground: &Ground<'_>, gain: &Explanation) -> Result<Result<Explanation, String>, BuildFault> {
    let reference_v = ground.aim.reference_v;
    let told = headroom::figure(ground.question, ground.stage(), ground.lot(), reference_v)?;
    let (Some(figure), Ok(conditions)) = (told.figure, Conditions::of(ground.question, reference_v)) else {
        let needs = told.not_predicted.into_iter().next().map_or_else(String::new, |missing| missing.needs);
        return Ok(Err(needs));
    };
    let mut board = Board::default();
    let corners = corners(ground, &conditions.load.signals, &mut board);
    let mut margins: Vec<Margin> = Vec::new();
    for point in &figure.points {
        margins.extend(one(ground, &corners, point, &mut board));
    }
    let nearest = margins.into_iter().min_by(|a, b| a.told.value().total_cmp(&b.told.value()));
    let least = nearest.as_ref().map(|one| one.told.value());
    if let Some(nearest) = nearest {
        worst(ground, &figure, &nearest, gain, &mut board);
    }
    fit::write(ground, &figure, &corners, &mut board);
    Ok(Ok(Explanation {
        meaning: format!(
            "Headroom is the distance that is left between what a pin has to reach and what it can reach, over every signal \
             of the spec. A circuit can run out of it {}, while its own output looks fine.",
            match ground.question.topology {
                Topology::Difference => "at the op amp's inputs",
                Topology::SingleChip => "inside the chip, behind its first stage",
                _ => "inside, at the output of an input op amp",
            }
        ),
        steps: board.steps,
        outcome: Some(Outcome {
            what: "least margin",
            unit: Unit::Volt,
            by_hand: least,
            exact: Some(figure.margin_v),
            why: vec![
                match ground.question.topology {
                    Topology::SingleChip => "By hand the source loses nothing on the way; the network counts loading.",
                    _ => {
                        "By hand the op amps are perfect and the source loses nothing on the way; the network counts finite \
                         open-loop gain and loading."
                    }
                }
                .to_owned(),
            ],
        }),
        ..Explanation::new(Topic::Headroom)
    }))
}

fn volt(name: impl Into<std::borrow::Cow<'static, str>>, law: Expr) -> Equation {
    Equation::new(name, Unit::Volt, law)
}

/// The corners of the signals, after the lines that lead to their sides.
fn corners(ground: &Ground<'_>, signals: &Rectangle, board: &mut Board) -> [Corner; 4] {
    let symbol = |name: &'static str, value: f64| Expr::symbol(name, value, Unit::Volt);
    let signal = &ground.question.signal;
    let mut common = [symbol("v_cmin", signals.common_mode_v.0), symbol("v_cmax", signals.common_mode_v.1)];
    if let (Some(amplitude), Some(span)) =
        (ground.question.interference.map(|one| one.amplitude_v).filter(|&volt| volt > 0.0), signal.common_mode)
    {
        let pick_up = || symbol("V_i", amplitude);
        let low = volt("v_cmL", symbol("v_cmin", span.low) - pick_up());
        let high = volt("v_cmH", symbol("v_cmax", span.high) + pick_up());
        common = [
            board.write(
                "The interference rides on the common mode of the spec and takes it further to both sides:",
                low,
                signals.common_mode_v.0,
                law::SWING,
            ),
            board.write("", high, signals.common_mode_v.1, law::SWING),
        ];
    }
    let mut difference = [symbol("v_dmin", signals.differential_v.0), symbol("v_dmax", signals.differential_v.1)];
    if let (Some(offset), Some(span)) = (signal.dc_offset, signal.differential) {
        let low = volt("v_dL", symbol("v_dmin", span.low) + symbol("v_omin", offset.low));
        let high = volt("v_dH", symbol("v_dmax", span.high) + symbol("v_omax", offset.high));
        difference = [
            board.write("The source's dc offset adds to the difference:", low, signals.differential_v.0, law::SWING),
            board.write("", high, signals.differential_v.1, law::SWING),
        ];
    }
    board.say(
        "Every voltage inside is a straight-line function of common mode and difference, so its extremes lie where both \
         are at an end. Each pin is told at the end that brings it nearest to a limit, at both where they are alike.",
        Some(law::SWING),
    );
    let ([cl, ch], [dl, dh]) = (common, difference);
    [(cl.clone(), dl.clone()), (cl, dh.clone()), (ch.clone(), dl), (ch, dh)]
}

/// One pin at one side of its range, or at both where neither is nearer; the margins by hand.
fn one(ground: &Ground<'_>, corners: &[Corner; 4], point: &HeadroomPoint, board: &mut Board) -> Vec<Margin> {
    if is_level_with_another(ground, point) {
        return Vec::new();
    }
    let below = point.lowest_v - point.low_limit_v;
    let above = point.high_limit_v - point.highest_v;
    let sides = [(true, below), (false, above)];
    let least = below.min(above);
    let mut margins = Vec::new();
    for (low_side, room) in sides {
        if room > least + TIE_V {
            continue;
        }
        let laws = corners.iter().filter_map(|corner| Some((law_of(ground, &point.name, corner)?, corner)));
        let chosen = laws.min_by(|(a, _), (b, _)| {
            let (a, b) = (a.law.value(), b.law.value());
            if low_side { a.total_cmp(&b) } else { b.total_cmp(&a) }
        });
        let Some((swing, corner)) = chosen else { continue };
        let end = if low_side { "L" } else { "H" };
        let exact = if low_side { point.lowest_v } else { point.highest_v };
        let text = if margins.is_empty() { swing.text } else { "At its other end it comes just as near:".to_owned() };
        let reached = board.write(text, volt(format!("{}{end}", swing.symbol), swing.law), exact, law::SWING);
        let limit = limit(ground, point, low_side, board);
        let (word, margin) =
            if low_side { ("lowest", reached - limit.clone()) } else { ("highest", limit.clone() - reached) };
        let margin = volt(format!("m_{}{end}", swing.symbol.trim_start_matches("v_")), margin);
        let told = board.write(
            format!("That is its {word}; the part allows {}, which leaves", rounded(limit.value(), Unit::Volt, 4)),
            margin,
            room,
            law::MARGIN,
        );
        margins.push(Margin { told, point: point.name.clone(), low_side, difference: corner.1.clone() });
    }
    margins
}

/// What the part allows, from the supply it hangs on.
pub(super) fn limit(ground: &Ground<'_>, point: &HeadroomPoint, low_side: bool, board: &mut Board) -> Expr {
    let symbol = |name: String, value: f64| Expr::symbol(name, value, Unit::Volt);
    let circuit = &ground.stage().circuit;
    let output = point.name.ends_with("output") || point.name.ends_with("inner node");
    let rails_of = |amp| {
        let data = circuit.opamp(amp);
        if output { data.output_swing } else { data.input_range }
    };
    let amps = ground.question.topology.amps();
    let amp = amps.iter().copied().find(|amp| point.name.starts_with(amp.name())).unwrap_or(crate::designator::Amp::A1);
    let alike = amps.iter().all(|&other| rails_of(other) == rails_of(amp));
    let of = if alike { String::new() } else { super::given::index(amp).to_owned() };
    let (kind, words) = if output { ("o", "Outputs come") } else { ("i", "Inputs may come") };
    let (value, supply) = match (ground.question.supply, low_side) {
        (Some(supply), true) => (point.low_limit_v, symbol("V_neg".to_owned(), supply.negative_v)),
        (Some(supply), false) => (point.high_limit_v, symbol("V_pos".to_owned(), supply.positive_v)),
        (None, _) => (0.0, symbol("V_pos".to_owned(), 0.0)),
    };
    let rails = rails_of(amp).unwrap_or_default();
    let (end, law, near) = if low_side {
        let near = rails.from_negative_v;
        ("L", supply.clone() + symbol(format!("d_{kind}L{of}"), near), near)
    } else {
        let near = rails.from_positive_v;
        ("H", supply.clone() - symbol(format!("d_{kind}H{of}"), near), near)
    };
    if near == 0.0 {
        return supply;
    }
    debug_assert!((law.value() - value).abs() < 1e-9, "a limit by hand is the network's");
    let rail = if low_side { "negative" } else { "positive" };
    board.once(
        format!("{words} no nearer to the {rail} supply than the part states, which is a limit of"),
        volt(format!("u_{kind}{end}{of}"), law),
        law::MARGIN,
    )
}

/// A margin by hand, and at which difference.
struct Margin {
    told: Expr,
    point: String,
    low_side: bool,
    difference: Expr,
}

/// Both inputs of an op amp are level: the inverting one is told with the other, and A2's and A3's likewise.
pub(super) fn is_level_with_another(ground: &Ground<'_>, point: &HeadroomPoint) -> bool {
    point.name.ends_with("- input") && ground.question.topology != Topology::SingleChip
}

/// A pin in words.
pub(super) fn pin(ground: &Ground<'_>, name: &str) -> String {
    if ground.question.topology != Topology::SingleChip {
        return name.to_owned();
    }
    match name.split_once(' ') {
        Some((_, pin)) => format!("the chip's {pin}"),
        None => name.to_owned(),
    }
}

/// The least margin, and what tolerances leave of it.
fn worst(ground: &Ground<'_>, figure: &HeadroomFigure, nearest: &Margin, gain: &Explanation, board: &mut Board) {
    let text = format!("The least of all margins counts, that of {}.", pin(ground, &figure.limiting));
    // the figure is over the corners of the resistors: a chip's own error is not in it
    let by_resistors = ground.question.topology != Topology::SingleChip && is_output(ground, &nearest.point);
    let spread = gain.worked("s_T").filter(|_| by_resistors);
    let Some(spread) = spread else {
        let left = rounded(figure.worst_margin_v, Unit::Volt, 4);
        let text = format!("{text} With the resistors at their worst corner the network leaves {left} of it.");
        board.say(text, Some(law::MARGIN));
        return;
    };
    let further = whole(ground).told() * spread * nearest.difference.clone();
    let left = nearest.told.clone() + if nearest.low_side { further } else { -further };
    board.write(
        format!(
            "{text} On the board with the greatest gain the output goes further by the spread of the gain, which leaves"
        ),
        volt("m_worst", left),
        figure.worst_margin_v,
        law::MARGIN,
    );
}

/// The output of the whole.
pub(super) fn is_output(ground: &Ground<'_>, point: &str) -> bool {
    let last = ground.question.topology.amps().last();
    last.is_some_and(|amp| point.strip_prefix(amp.name()) == Some(" output"))
}
