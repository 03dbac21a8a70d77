use super::{Choice, SizeAnswer, SizeQuestion, Stock, StudyFault};
use crate::designator::Topology;
use crate::quantity::{Unit, exact};
use crate::series::Series;
use crate::sizing::{self, GainSetting, SizingFault, Wanted};
use crate::textbook::GainLaw;
use std::sync::OnceLock;

/// Answers `size`: the gain-set resistor from a series or a drawer.
///
/// # Errors
/// [`StudyFault`] for what can't be asked: a gain, tolerance or resistance that is none, a flag the
/// topology has no use for. A gain no value can make is answered with a `reason`.
///
/// ```
/// use evenkeel::designator::Topology;
/// use evenkeel::series::Series;
/// use evenkeel::study::{Side, SizeQuestion, Stock, size};
///
/// let question = SizeQuestion {
///     topology: Topology::ThreeOpAmp,
///     gain: 501.0,
///     feedback_ohm: Some(25e3),
///     stock: Stock::Series(Series::E96),
///     tolerance: 0.01,
///     parts: 1,
///     side: Side::Nearest,
///     chip_constant_ohm: None,
///     base_gain: 1.0,
///     stage_two_gain: 1.0,
/// };
/// assert_eq!(size(&question)?.choices[0].ohm, Some(100.0));
/// assert!(size(&SizeQuestion { gain: -1.0, ..question }).is_err());
/// # Ok::<(), evenkeel::study::StudyFault>(())
/// ```
pub fn size(question: &SizeQuestion) -> Result<SizeAnswer, StudyFault> {
    let wanted = wanted(question)?;
    let found = sizing::gain_set(&wanted).map_err(|fault| told("GAIN", &fault))?;
    Ok(SizeAnswer {
        topology: question.topology,
        series: match &question.stock {
            Stock::Series(series) => series.name().to_owned(),
            Stock::Values(_) => "stock".to_owned(),
        },
        target_gain: question.gain,
        exact_ohm: found.choices.first().and_then(|best| best.exact_ohm),
        choices: found.choices.iter().map(choice).collect(),
        neighbours: found.neighbours.iter().map(choice).collect(),
        reason: found.shortfall.map(|shortfall| shortfall.to_string()),
    })
}

fn choice(setting: &GainSetting) -> Choice {
    Choice {
        kind: setting.pick.kind(),
        parts_ohm: setting.pick.parts_ohm().to_vec(),
        ohm: setting.pick.ohm(),
        feedback_ohm: setting.feedback_ohm,
        exact_ohm: setting.exact_ohm,
        gain: setting.gain,
        error: setting.error,
        error_low: setting.error_span.0,
        error_high: setting.error_span.1,
    }
}

fn wanted(question: &SizeQuestion) -> Result<Wanted, StudyFault> {
    let q = question;
    let chip = q.topology == Topology::SingleChip;
    above_zero("GAIN", q.gain, Unit::Plain)?;
    above_zero("--stage-two-gain", q.stage_two_gain, Unit::Plain)?;
    if let Some(ohm) = q.feedback_ohm {
        above_zero("--feedback", ohm, Unit::Ohm)?;
    }
    if !(0.0..1.0).contains(&q.tolerance) {
        let read = exact(q.tolerance, Unit::Fraction);
        return Err(fault("--tolerance", format!("a tolerance of {read}"), "0 % to below 100 % would be right"));
    }
    if !(1..=2).contains(&q.parts) {
        return Err(fault("--parts", format!("{} parts", q.parts), "1, or 2 for series and parallel pairs"));
    }
    useless("--feedback", q.feedback_ohm.is_some() && chip, q.topology, "a chip has its feedback inside")?;
    useless("--chip-constant", q.chip_constant_ohm.is_some() && !chip, q.topology, "it belongs to single-chip")?;
    useless("--base-gain", q.base_gain != 1.0 && !chip, q.topology, "it belongs to single-chip")?;
    let three = q.topology == Topology::ThreeOpAmp;
    useless("--stage-two-gain", q.stage_two_gain != 1.0 && !three, q.topology, "it belongs to three-op-amp")?;
    Ok(Wanted {
        topology: q.topology,
        gain: q.gain,
        feedback_ohm: q.feedback_ohm,
        stock: stock(&q.stock).map_err(|fault| told("--stock", &fault))?,
        tolerance: q.tolerance,
        pairs: q.parts == 2,
        side: q.side,
        chip: if chip { Some(law(q)?) } else { None },
        stage_two_gain: q.stage_two_gain,
    })
}

/// The values of a series or a drawer.
pub(super) fn stock(stock: &Stock) -> Result<sizing::Stock, SizingFault> {
    // thousands of specs take the same few series
    static KNOWN: [OnceLock<sizing::Stock>; Series::ALL.len()] = [const { OnceLock::new() }; Series::ALL.len()];
    match stock {
        Stock::Series(series) => {
            let known = Series::ALL.iter().position(|one| one == series).map(|at| &KNOWN[at]);
            if let Some(stock) = known.and_then(OnceLock::get) {
                return Ok(stock.clone());
            }
            let stock = sizing::Stock::new(series.ohms(sizing::LEAST_OHM, sizing::GREATEST_OHM))?;
            Ok(known.map_or_else(|| stock.clone(), |known| known.get_or_init(|| stock.clone()).clone()))
        }
        Stock::Values(values) => sizing::Stock::new(values.iter().copied()),
    }
}

fn law(question: &SizeQuestion) -> Result<GainLaw, StudyFault> {
    let Some(constant) = question.chip_constant_ohm else {
        return Err(fault(
            "--chip-constant",
            "`single-chip` without the constant K of its gain law G = base gain + K/RG".to_owned(),
            "take K from the data sheet, as `--chip-constant 50k`",
        ));
    };
    above_zero("--chip-constant", constant, Unit::Ohm)?;
    GainLaw::new(question.base_gain, constant)
        .map_err(|_| fault("--base-gain", format!("a base gain of {}", question.base_gain), "0 or more would be right"))
}

fn above_zero(key: &str, value: f64, unit: Unit) -> Result<(), StudyFault> {
    if value > 0.0 && value.is_finite() {
        return Ok(());
    }
    Err(fault(key, format!("{} can't be asked for", exact(value, unit)), "a finite value above zero would be right"))
}

fn useless(key: &str, so: bool, topology: Topology, why: &str) -> Result<(), StudyFault> {
    if so { Err(fault(key, format!("`{topology}` has no use for it"), why)) } else { Ok(()) }
}

fn fault(key: &str, message: String, help: &str) -> StudyFault {
    StudyFault { code: "not-sizeable", key: key.to_owned(), message, help: help.to_owned() }
}

fn told(key: &str, why: &SizingFault) -> StudyFault {
    fault(key, why.to_string(), "values from 1 Ω to 10 MΩ, a gain above zero")
}

#[cfg(test)]
mod tests;
