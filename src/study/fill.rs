use super::{Question, Stock, StudyFault};
use crate::designator::{Amp, Topology};
use crate::sizing::{Ranked, Rules, SizingFault, Wish, Wishes, rank};
use crate::textbook::GainLaw;

/// What a question asks of its resistors, and what it allows.
#[derive(Clone)]
pub(super) struct Brief {
    pub(super) wish: Wish,
    pub(super) rules: Rules,
}

pub(super) fn brief(question: &Question, gain: f64) -> Result<Brief, StudyFault> {
    let told = |fault: SizingFault| told(&question.resistors.stock, &fault);
    let resistors = &question.resistors;
    let chip = match (question.topology, &question.chip) {
        (Topology::SingleChip, Some(chip)) => {
            Some(GainLaw::new(chip.base_gain, chip.gain_constant_ohm).map_err(|why| told(why.into()))?)
        }
        _ => None,
    };
    let filter_ohm = question.filter.map_or(0.0, |filter| filter.resistor_ohm);
    let wish = Wish {
        stage_two_gain: question.stage_two_gain,
        chip,
        wiring_ohm: question.strays.rg_resistance_ohm,
        source_ohm: question.source.resistance_ohm + filter_ohm,
        inverse_gain: match question.topology {
            Topology::Difference => {
                question.opamps.get(&Amp::A1).and_then(|data| data.open_loop_gain).map_or(0.0, |gain| 1.0 / gain)
            }
            _ => 0.0,
        },
        ..Wish::new(question.topology, gain)
    };
    let rules = Rules {
        stock: super::size::stock(&resistors.stock).map_err(told)?,
        pairs: resistors.parts > 1,
        range: resistors.range.iter().map(|(name, span)| (*name, (span.low, span.high))).collect(),
        fixed: resistors.fixed.clone(),
    };
    Ok(Brief { wish, rules })
}

impl Brief {
    /// The sets of values, best first.
    pub(super) fn ranked(&self, question: &Question, wishes: &Wishes, keep: usize) -> Result<Vec<Ranked>, StudyFault> {
        rank(&self.wish, &self.rules, wishes, keep).map_err(|fault| told(&question.resistors.stock, &fault))
    }
}

/// The values a question may use.
pub(super) fn stock_of(question: &Question) -> Result<crate::sizing::Stock, StudyFault> {
    super::size::stock(&question.resistors.stock).map_err(|fault| told(&question.resistors.stock, &fault))
}

pub(super) fn told(stock: &Stock, why: &SizingFault) -> StudyFault {
    let values = match stock {
        Stock::Series(_) => "resistors.series",
        Stock::Values(_) => "resistors.stock",
    };
    let (code, key, help) = match why {
        SizingFault::NotAResistance { .. } => ("not-a-resistance", values, "a finite value above zero"),
        SizingFault::EmptyStock => ("empty-stock", values, "values from 1 Ω to 10 MΩ"),
        SizingFault::NotAGain { .. } => ("not-a-gain", "target.gain", "a finite gain above zero"),
        SizingFault::BelowLeast { topology: Topology::ThreeOpAmp, .. } => {
            ("gain-below-least", "target.gain", "a lower `stage_two_gain` under [circuit], or `difference`")
        }
        SizingFault::BelowLeast { .. } => ("gain-below-least", "target.gain", "a greater gain, or another topology"),
        SizingFault::OutOfReach { .. } => {
            ("out-of-reach", "target.gain", "a lower gain, or greater feedback resistors")
        }
        SizingFault::NothingInRange { asked: true, .. } => {
            ("nothing-in-range", "resistors.range", "a wider range, or a series with more values")
        }
        SizingFault::NothingInRange { .. } => {
            ("nothing-in-range", values, "decide it under `fixed`, or give its `range`")
        }
        SizingFault::CantBeOpen { .. } => ("cant-be-open", "resistors.fixed", "only RG can be left open"),
        SizingFault::NoChip => ("no-chip", "chip.gain_constant", "K of the gain law, from the data sheet"),
        SizingFault::Textbook(_) => ("no-circuit", "resistors.fixed", "finite values above zero"),
    };
    StudyFault { code, key: key.to_owned(), message: why.to_string(), help: help.to_owned() }
}

#[cfg(test)]
mod tests;
