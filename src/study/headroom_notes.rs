//! What to say about headroom that is short, or was told from incomplete data.
use super::Warning;
use super::conditions::Conditions;
use super::headroom::HeadroomFigure;
use super::largest_gain::{LargestGain, Reach, greatest, scale_stage_two};
use crate::designator::{Designator, Topology};
use crate::part::{OpAmp, Rails};
use crate::predict::{HeadroomPoint, gains};
use crate::quantity::{Unit, rounded};
use crate::stage::{Circuit, Stage};
use crate::topology::{BuildFault, build};

fn volt(value: f64) -> String {
    rounded(value, Unit::Volt, 4)
}

fn plain(value: f64) -> String {
    rounded(value, Unit::Plain, 4)
}

/// The review notes of a headroom figure.
pub(super) fn notes(
    figure: &HeadroomFigure,
    stage: &Stage,
    conditions: &Conditions,
) -> Result<Vec<Warning>, BuildFault> {
    let mut all = assumed_rails(stage);
    if let Some(point) = figure.points.iter().find(|point| point.name == figure.limiting && !figure.fits) {
        let message = exceeded(point);
        all.push(Warning { code: "headroom", message, advice: cure(figure, stage, conditions)? });
    } else if figure.worst_margin_v < 0.0 {
        all.push(Warning {
            code: "headroom-corners",
            message: format!(
                "headroom is {} at nominal resistors and {} with the resistors at their worst",
                volt(figure.margin_v),
                volt(figure.worst_margin_v)
            ),
            advice: format!("leave {} more at {}", volt(-figure.worst_margin_v), figure.limiting),
        });
    }
    Ok(all)
}

/// Limits that no part states.
fn assumed_rails(stage: &Stage) -> Vec<Warning> {
    let section = if stage.circuit.topology == Topology::SingleChip { "chip" } else { "opamp.all" };
    let note = |key: &str, of: fn(&OpAmp) -> Option<Rails>| {
        let amps = stage.circuit.topology.amps().iter();
        let lacking: Vec<&str> =
            amps.filter(|&&amp| of(&stage.circuit.opamp(amp)).is_none()).map(|amp| amp.name()).collect();
        (!lacking.is_empty()).then(|| Warning {
            code: "headroom-rails-assumed",
            message: format!("{key} is not given for {}: headroom counts up to the rails", lacking.join(", ")),
            advice: format!("give {section}.{key} from the data sheet"),
        })
    };
    [note("output_swing", |part| part.output_swing), note("input_range", |part| part.input_range)]
        .into_iter()
        .flatten()
        .collect()
}

fn exceeded(point: &HeadroomPoint) -> String {
    let (reaches, limit) = if point.low_limit_v - point.lowest_v > point.highest_v - point.high_limit_v {
        (point.lowest_v, point.low_limit_v)
    } else {
        (point.highest_v, point.high_limit_v)
    };
    format!("{} reaches {}, {} beyond its limit of {}", point.name, volt(reaches), volt(-point.margin_v), volt(limit))
}

/// What would make it fit.
fn cure(figure: &HeadroomFigure, stage: &Stage, conditions: &Conditions) -> Result<String, BuildFault> {
    let mut ways = Vec::new();
    if let Some((one, cut, two)) = cut_stage_one(stage, conditions)? {
        ways.push(format!(
            "cut stage-one gain from {} to {} and let stage two make up for it (circuit.stage_two_gain = {})",
            plain(one),
            plain(cut),
            plain(two)
        ));
    }
    let limiting = figure.points.iter().find(|point| point.name == figure.limiting);
    let at_input = figure.limiting.ends_with("input");
    match figure.largest_gain {
        // More gain can help: a difference of one sign brings a two-op-amp's A1 back from its common mode.
        LargestGain::UpTo(gain) if gain > gains::<f64>(stage, 0.0)?.differential => {
            ways.push(format!("a higher gain fits, up to {}", plain(gain)));
        }
        LargestGain::UpTo(gain) => ways.push(format!("a gain of at most {} fits", plain(gain))),
        LargestGain::Unbounded => ways.push("a higher gain fits".to_owned()),
        LargestGain::None if at_input => ways.push(
            "no gain fits: bring the common mode inside the inputs' range, or take op amps whose inputs reach further"
                .to_owned(),
        ),
        LargestGain::None => {
            let common = conditions.points(stage)?.iter().find(|p| p.name == figure.limiting).map(|p| p.map.common);
            let share = common.filter(|common| common.abs() > 0.01 && limiting.is_some());
            ways.push(share.map_or_else(
                || "no gain fits: a wider supply or a smaller signal is due".to_owned(),
                |share| {
                    format!(
                        "no gain fits by RG alone: {} carries {} times the common mode; bring that and the \
                         reference nearer to the middle of the supplies, or widen these",
                        figure.limiting,
                        plain(share)
                    )
                },
            ));
        }
    }
    Ok(ways.join("; or "))
}

/// Stage-one gain as it is, the most that fits with the same gain overall, and the stage-two gain that
/// goes with it, which is rounded up to three digits.
fn cut_stage_one(stage: &Stage, conditions: &Conditions) -> Result<Option<(f64, f64, f64)>, BuildFault> {
    let circuit = &stage.circuit;
    let (Topology::ThreeOpAmp, Some(rg)) = (circuit.topology, circuit.ohms.get(Designator::RG)) else {
        return Ok(None);
    };
    let now = stage_one_gain(stage, conditions)?;
    let cut = |t: f64| -> Result<Stage, BuildFault> {
        let mut shifted: Circuit = circuit.clone();
        shifted.ohms.set(Designator::RG, (t > 0.0).then(|| rg / t));
        let one = stage_one_gain(&build(&shifted)?, conditions)?;
        scale_stage_two(&mut shifted, now / one);
        build(&shifted)
    };
    let Reach::UpTo(best) = greatest(conditions, cut)? else { return Ok(None) };
    let one = stage_one_gain(&best, conditions)?;
    let ohm = |name| best.circuit.ohms.get(name).unwrap_or(f64::NAN);
    let two = ohm(Designator::R2) / ohm(Designator::R1);
    let step = libm::pow(10.0, libm::floor(libm::log10(two)) - 2.0);
    let rounded_up = libm::ceil(two / step - 1e-9) * step;
    Ok((rounded_up.is_finite() && one < now).then_some((now, one * two / rounded_up, rounded_up)))
}

/// From the amplifier's difference to that of the outputs of A1 and A2, V/V.
fn stage_one_gain(stage: &Stage, conditions: &Conditions) -> Result<f64, BuildFault> {
    let points = conditions.points(stage)?;
    let at = |name: &str| points.iter().find(|point| point.name == name).map_or(0.0, |point| point.map.differential);
    Ok(at("A2 output") - at("A1 output"))
}
