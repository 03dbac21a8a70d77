//! The gain at which the first pin meets its limit, by hand.
use super::explanation::Board;
use super::ground::Ground;
use super::headroom::{is_level_with_another, is_output, limit, pin};
use super::law;
use super::swing::Corner;
use crate::designator::Designator::{R1, R2, R3, R4, R6};
use crate::designator::Topology;
use crate::equation::{Equation, Expr};
use crate::predict::HeadroomPoint;
use crate::quantity::{Unit, rounded};
use crate::study::headroom::HeadroomFigure;
use crate::study::largest_gain::LargestGain;

/// A pin that meets a limit as the gain goes up.
struct Fit<'a> {
    point: &'a HeadroomPoint,
    low_side: bool,
    corner: &'a Corner,
    gain: f64,
}

/// The line for the greatest gain that fits, beside the network's.
pub(super) fn write(ground: &Ground<'_>, figure: &HeadroomFigure, corners: &[Corner; 4], board: &mut Board) {
    let exact = match figure.largest_gain {
        LargestGain::UpTo(gain) => gain,
        LargestGain::Unbounded => return board.say("No gain is too much for these signals.", Some(law::MARGIN)),
        LargestGain::None => return board.say("No gain fits these signals.", Some(law::MARGIN)),
    };
    let Some(first) = first(ground, figure, corners) else {
        let gain = rounded(exact, Unit::Plain, 5);
        let text =
            format!("With nothing else changed a gain of {gain} would just fit, as the network finds by trying.");
        return board.say(text, Some(law::MARGIN));
    };
    let at = limit(ground, first.point, first.low_side, board);
    let Some((law_of, _)) = meets(ground, &first.point.name, first.corner, &at) else { return };
    let end = if first.low_side { "lower" } else { "upper" };
    board.write(
        format!(
            "With {} alone changed the gain can go up until {} meets its {end} limit; its equation above, solved for the gain:",
            if ground.question.topology.gain_set_by_one() { "RG" } else { "R2 and R4" },
            pin(ground, &first.point.name)
        ),
        Equation::new("G_fit", Unit::Plain, law_of),
        exact,
        law::MARGIN,
    );
}

/// The pin that comes first.
fn first<'a>(ground: &Ground<'_>, figure: &'a HeadroomFigure, corners: &'a [Corner; 4]) -> Option<Fit<'a>> {
    let mut all = Vec::new();
    for point in figure.points.iter().filter(|point| !is_level_with_another(ground, point)) {
        for (low_side, at) in [(true, point.low_limit_v), (false, point.high_limit_v)] {
            for corner in corners {
                let Some((law_of, rises)) = meets(ground, &point.name, corner, &Expr::from(at)) else { continue };
                let gain = law_of.value();
                if rises != low_side && gain.is_finite() && gain > least(ground) {
                    all.push(Fit { point, low_side, corner, gain });
                }
            }
        }
    }
    all.into_iter().min_by(|a, b| a.gain.total_cmp(&b.gain))
}

/// The gain without RG, or with no R2.
fn least(ground: &Ground<'_>) -> f64 {
    let ratio = |over: Expr, under: Expr| (over / under).value();
    let needed = |name| ground.needed(name);
    match ground.question.topology {
        Topology::ThreeOpAmp => ratio(needed(R2), needed(R1)),
        Topology::TwoOpAmp => 1.0 + ratio(needed(R4), needed(R3)),
        Topology::SingleChip => ground.question.chip.as_ref().map_or(0.0, |chip| chip.base_gain),
        _ => 0.0,
    }
}

/// The gain at which a pin meets a limit at one corner of the signals, and whether it rises with the gain there.
fn meets(ground: &Ground<'_>, point: &str, (common, difference): &Corner, at: &Expr) -> Option<(Expr, bool)> {
    let (common, difference, at) = (|| common.clone(), || difference.clone(), || at.clone());
    let up = difference().value() > 0.0;
    if is_output(ground, point) {
        return Some(((at() - ground.reference()) / difference(), up));
    }
    let topology = ground.question.topology;
    let (amp, pin) = point.split_once(' ')?;
    let positive = pin.starts_with('+') || amp == "A2";
    let halves = |second: Option<Expr>, at: Expr, positive: bool| {
        let off = if positive { at - common() } else { common() - at };
        let twice = match second {
            Some(second) => 2.0 * second * off,
            None => 2.0 * off,
        };
        (twice / difference(), up == positive)
    };
    let wire = |positive: bool| {
        let half = difference() / Expr::from(2.0);
        if positive { common() + half } else { common() - half }
    };
    let [r1, r2, r3, r4] = [R1, R2, R3, R4].map(|name| ground.ohm(name));
    let second = || Some(Equation::new("G2", Unit::Plain, ground.ohm(R2)? / ground.ohm(R1)?).told());
    match (topology, pin) {
        (Topology::SingleChip, pin) if pin.ends_with("inner node") => {
            let stated = ground.question.chip.as_ref().is_some_and(|chip| chip.stage_one_gain.is_some());
            (!stated).then(|| halves(None, at(), positive))
        }
        (Topology::ThreeOpAmp, "output") => Some(halves(Some(second()?), at(), positive)),
        (Topology::ThreeOpAmp, "+ input") if amp == "A3" => {
            let (r3, r4) = (r3?, r4?);
            let side = (at() * (r3.clone() + r4.clone()) - ground.reference() * r3) / r4;
            Some(halves(Some(second()?), side, true))
        }
        (Topology::TwoOpAmp, "output") => {
            let (r1, r2, r3, r4) = (r1?, r2?, r3?, r4?);
            let still = wire(false) + r2.clone() * (wire(false) - ground.reference()) / r1;
            let with_rg = 2.0 * r4.clone() * (still - at()) / (r2 * difference());
            Some((1.0 + r4 / r3 + with_rg, !up))
        }
        (Topology::Difference | Topology::BufferedDifference, "+ input") if ground.ohm(R3).is_some() => {
            if topology == Topology::BufferedDifference && amp != "A3" {
                return None;
            }
            let over = match ground.ohm(R6) {
                None => wire(true) - at(),
                Some(r6) => wire(true) - at() * (1.0 + r3? / r6),
            };
            let rises = over.value() > 0.0;
            Some(((at() - ground.reference()) / over, rises))
        }
        _ => None,
    }
}
