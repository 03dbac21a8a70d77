//! R1 to R4 of a difference stage, as two values: R1 = R3 and R2 = R4 unless decided otherwise.
use super::fault::SizingFault;
use super::order::{Shortlist, Side};
use super::pick::Pick;
use super::rules::Rules;
use super::search::{Reluctance, Search, Setting, away};
use crate::designator::Designator;
use crate::textbook::GainLaw;

/// Resistors of a difference stage that are chosen lie here, Ω.
pub(super) const STAGE_OHM: (f64, f64) = (1e3, 1e6);
/// and are best here, Ω.
const COMFORTABLE_OHM: (f64, f64) = (10e3, 100e3);

const INPUT: [Designator; 2] = [Designator::R1, Designator::R3];
const OUTPUT: [Designator; 2] = [Designator::R2, Designator::R4];

/// What the two values are judged by when the ratio is as good.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Taste {
    /// The stage is the whole circuit: both comfortable, feedback near 24.9 kΩ.
    Whole,
    /// The stage stands behind another: R1 near 10 kΩ.
    Behind,
}

/// R1 = R3 and R2 = R4 with the least error of R2/R1 against `gain`.
pub(super) fn stage_two(rules: &Rules, gain: f64, taste: Taste) -> Result<[Pick; 2], SizingFault> {
    // values decided for one resistor of the stage are at hand for the others: a network of 25 kΩ
    let at_hand: Vec<f64> =
        [rules.decided(&INPUT)?, rules.decided(&OUTPUT)?].into_iter().flatten().filter_map(Pick::ohm).collect();
    let inputs = rules.freedom(&INPUT, STAGE_OHM)?;
    let outputs = rules.freedom(&OUTPUT, STAGE_OHM)?;
    let input_values = rules.values(&INPUT, &inputs, &at_hand)?;
    let search = Search::new(&input_values, false, (0.0, f64::MAX), 0.0);
    let reluctance: Reluctance<'_> = match taste {
        Taste::Whole => &whole,
        Taste::Behind => &behind,
    };
    let mut list = Shortlist::new(1, Side::Nearest);
    for ohm in rules.values(&OUTPUT, &outputs, &at_hand)? {
        let at = Setting { feedback_ohm: Some(ohm), law: GainLaw::new(0.0, ohm)?, target: gain };
        search.offer_near(&mut list, at, reluctance);
    }
    match list.finish().first() {
        Some(best) => Ok([best.pick, Pick::single(best.feedback_ohm.unwrap_or(f64::NAN))]),
        None => Err(SizingFault::EmptyStock),
    }
}

fn whole(output: Option<f64>, input: Option<f64>) -> [f64; 2] {
    [outside(output).max(outside(input)), away(output, super::gain_set::PREFERRED_FEEDBACK_OHM)]
}

fn behind(output: Option<f64>, input: Option<f64>) -> [f64; 2] {
    [away(input, COMFORTABLE_OHM.0), outside(output)]
}

fn outside(ohm: Option<f64>) -> f64 {
    ohm.map_or(1.0, |ohm| (COMFORTABLE_OHM.0 / ohm).max(ohm / COMFORTABLE_OHM.1).max(1.0))
}
