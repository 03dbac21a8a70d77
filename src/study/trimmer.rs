//! A fixed resistor and a trimmer in series: what they reach for certain.
use super::{Question, StudyFault};
use crate::corners;
use crate::designator::{Amp, Designator};
use crate::part::Grade;
use crate::stage::{Effect, Lot, Quantity, Role, Stage};
use crate::topology::BuildFault;

/// Customary trimmer values, Ω: 1-2-5 with 25 kΩ and 250 kΩ; the resistance table of a multiturn cermet
/// trimmer (Bourns 3296), from memory.
const CUSTOMARY: [f64; 19] = [
    10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1e3, 2e3, 5e3, 10e3, 20e3, 25e3, 50e3, 100e3, 200e3, 250e3, 500e3, 1e6, 2e6,
];
/// Of the same trimmer (data sheet, seen), in force where `[trimmer]` is silent: tolerance, end resistance (the greater of the two), tempco, adjustability as a rheostat.
const TOLERANCE: f64 = 0.10;
const END_SHARE: f64 = 0.01;
const END_OHM: f64 = 2.0;
const TEMPCO_PER_K: f64 = 100e-6;
const ADJUSTABILITY: f64 = 0.0005;
/// Of the range that is needed, as much is kept to spare at either end.
const SPARE: f64 = 0.1;

/// What is known of the trimmer, with the customary values where the spec is silent.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sheet {
    tolerance: f64,
    end_ohm: Option<f64>,
    pub(super) tempco_per_k: f64,
    pub(super) adjustability: f64,
}

impl Sheet {
    pub(super) fn of(question: &Question) -> Self {
        let given = question.trimmer;
        Self {
            tolerance: given.tolerance.unwrap_or(TOLERANCE),
            end_ohm: given.end_resistance_ohm,
            tempco_per_k: given.tempco_per_k.unwrap_or(TEMPCO_PER_K),
            adjustability: given.adjustability.unwrap_or(ADJUSTABILITY),
        }
    }

    /// How far a fixed resistor and a trimmer in its middle may be off, as a fraction of the two.
    pub(super) fn middle_tolerance(&self, fixed_ohm: f64, fixed_tolerance: f64, trimmer_ohm: f64) -> f64 {
        let half = trimmer_ohm / 2.0;
        (fixed_ohm * fixed_tolerance + half * self.tolerance) / (fixed_ohm + half)
    }

    fn end_ohm(&self, ohm: f64) -> f64 {
        self.end_ohm.unwrap_or((END_SHARE * ohm).max(END_OHM))
    }
}

/// A fixed resistor and a trimmer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrimPart {
    /// The resistor on the drawing they stand for.
    pub name: Designator,
    /// The fixed part, Ω; 0: none needed.
    pub fixed_ohm: f64,
    /// The trimmer, Ω.
    pub trimmer_ohm: f64,
    /// The least resistance every board reaches, Ω.
    pub least_ohm: f64,
    /// The greatest resistance every board reaches, Ω.
    pub greatest_ohm: f64,
    /// What the corners need at the lower end, Ω.
    pub needed_low_ohm: f64,
    /// What the corners need at the upper end, Ω.
    pub needed_high_ohm: f64,
    /// Spare at the tighter end, as a share of the range needed.
    pub spare: f64,
    /// Smallest step of the pair, Ω.
    pub step_ohm: f64,
}

/// The range of the resistor `name` that nulls `off` at every corner, Ω: the resistor itself perfect, all
/// others at their ends. `off` has to be monotone in each quantity, so its zero is too, and the extremes
/// lie at the two corners that the signs of the others tell.
pub(super) fn needed(
    stage: &Stage,
    lot: &Lot,
    name: Designator,
    off: impl Fn((f64, f64)) -> f64,
) -> Result<Option<(f64, f64)>, BuildFault> {
    let (Some(effect), Some(ohm)) = (effect_of(stage, name), stage.circuit.ohms.get(name)) else {
        return Ok(None);
    };
    let mut bare = lot.clone();
    bare.grades.insert(name, Grade { tolerance: 0.0, tempco_per_k: 0.0 });
    for network in &mut bare.networks {
        network.members.retain(|member| *member != name);
    }
    let mut quantities = stage.quantities(&bare, 0.0);
    let nominal: Vec<f64> = quantities.iter().map(|quantity| 0.0_f64.clamp(quantity.low, quantity.high)).collect();
    let knob = Quantity { name: name.name().to_owned(), low: -0.9, high: 9.0, effects: vec![effect] };
    quantities.push(knob);
    let rest = nominal.len();
    let with = |values: &[f64], knob: f64| values.iter().copied().chain([knob]).collect::<Vec<f64>>();
    let value = |point: Vec<f64>| -> Result<f64, BuildFault> {
        let gains = corners::gains_at(stage, &quantities, &[point])?;
        Ok(off(gains.first().copied().unwrap_or((f64::NAN, f64::NAN))))
    };
    let slope = value(with(&nominal, 1e-3))? - value(with(&nominal, -1e-3))?;
    let (mut up, mut down) = (nominal.clone(), nominal.clone());
    for at in 0..rest {
        let (low, high) = (quantities[at].low, quantities[at].high);
        let moved = |end: f64| {
            let mut point = nominal.clone();
            point[at] = end;
            value(with(&point, 0.0))
        };
        // where the figure goes down, the knob has to make it go up again
        let rises = (moved(high)? - moved(low)?) * slope < 0.0;
        (up[at], down[at]) = if rises { (high, low) } else { (low, high) };
    }
    let zero = |values: &[f64]| -> Result<Option<f64>, BuildFault> {
        let (mut low, mut high) = (-0.9, 9.0);
        let (first, last) = (value(with(values, low))?, value(with(values, high))?);
        if first * last > 0.0 || first.is_nan() || last.is_nan() {
            return Ok(None);
        }
        for _ in 0..50 {
            let middle = f64::midpoint(low, high);
            if value(with(values, middle))? * first > 0.0 { low = middle } else { high = middle }
        }
        Ok(Some(ohm * (1.0 + f64::midpoint(low, high))))
    };
    Ok(match (zero(&down)?, zero(&up)?) {
        (Some(one), Some(other)) => Some((one.min(other), one.max(other))),
        _ => None,
    })
}

/// What a resistor does to the network; RG of a chip acts through the chip's gain.
fn effect_of(stage: &Stage, name: Designator) -> Option<Effect> {
    match (stage.element(Role::Resistor(name)), stage.circuit.chip_gain_resistor()) {
        (Some(element), _) => Some(Effect::Scale { element, by: 1.0 }),
        (None, Some(rg)) if name == Designator::RG => {
            let element = stage.element(Role::Amp(Amp::A1))?;
            Some(Effect::GainResistor { element, share: rg.share, by: rg.ohm / rg.total_ohm })
        }
        _ => None,
    }
}

/// The smallest customary trimmer, and the fixed part from the stock, that reach the range needed for
/// certain with a tenth of it to spare at either end.
pub(super) fn part(
    question: &Question,
    name: Designator,
    (low, high): (f64, f64),
    reach_k: f64,
) -> Result<Option<TrimPart>, StudyFault> {
    let sheet = Sheet::of(question);
    let stock = super::fill::stock_of(question)?;
    let fixed_bound = question.resistors.grade_of(name).bound(reach_k);
    let trimmer_bound = sheet.tolerance + sheet.tempco_per_k * reach_k;
    let width = (high - low).max(1e-9 * high);
    for trimmer in CUSTOMARY {
        let end = sheet.end_ohm(trimmer);
        let reach = |fixed: f64| {
            (fixed * (1.0 + fixed_bound) + end, fixed * (1.0 - fixed_bound) + trimmer * (1.0 - trimmer_bound))
        };
        let spare = |fixed: f64| {
            let (least, greatest) = reach(fixed);
            (low - least).min(greatest - high) / width
        };
        let all = stock.values().iter().copied().chain([0.0]);
        let Some(fixed) = all.max_by(|a, b| spare(*a).total_cmp(&spare(*b))) else { continue };
        if spare(fixed) >= SPARE {
            let (least_ohm, greatest_ohm) = reach(fixed);
            return Ok(Some(TrimPart {
                name,
                fixed_ohm: fixed,
                trimmer_ohm: trimmer,
                least_ohm,
                greatest_ohm,
                needed_low_ohm: low,
                needed_high_ohm: high,
                spare: spare(fixed),
                step_ohm: sheet.adjustability * trimmer * (1.0 + sheet.tolerance),
            }));
        }
    }
    Ok(None)
}
