//! Headroom over the corners of the box.
use crate::network::{LANES, NetworkFault};
use crate::predict::{Margins, Rectangle, Terminal};
use crate::stage::{Effect, Quantity, Role, Shaker, Stage};

/// The signals that have to fit, and the reference they stand on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// Common mode and difference.
    pub signals: Rectangle,
    /// Voltage of the reference, V.
    pub reference_v: f64,
}

/// The least headroom over a box.
#[derive(Clone, Debug, PartialEq)]
pub struct WorstMargin {
    /// Distance of the nearest terminal from its limits, V.
    pub margin_v: f64,
    /// Where that happens: a value for each quantity.
    pub at: Vec<f64>,
}

/// The quantities that move resistors of the drawing and nothing else.
#[must_use]
pub fn of_resistors(stage: &Stage, quantities: &[Quantity]) -> Vec<Quantity> {
    let drawn = |effect: &Effect| {
        matches!((effect, stage.role(effect.element())), (Effect::Scale { .. }, Some(Role::Resistor(_))))
    };
    quantities.iter().filter(|quantity| quantity.effects.iter().all(drawn)).cloned().collect()
}

/// The least headroom over all corners of `quantities` (20 at the most; further ones stay nominal), at dc.
///
/// A node's voltage is a ratio of two expressions, each linear in any one resistance, so it is monotone in
/// each, and the least margin of all lies at a corner; a factor that several resistors share is taken at
/// its ends.
///
/// # Errors
/// [`NetworkFault::Singular`] when the nominal network has no solution.
pub fn worst_margin(
    stage: &Stage,
    quantities: &[Quantity],
    terminals: &[Terminal],
    load: Load,
) -> Result<WorstMargin, NetworkFault> {
    let quantities = &quantities[..quantities.len().min(super::ENUMERATED_AT_DC)];
    let shaker = Shaker::new(stage, quantities, 0.0);
    let mut margins = Margins::record(stage, shaker.slots(), terminals, load.signals, load.reference_v)?;
    let mut deviations = vec![[0.0; LANES]; shaker.slots().len()];
    let end = |corner: usize, k: usize| {
        let quantity = &quantities[k];
        if corner >> k & 1 == 1 { quantity.high } else { quantity.low }
    };
    let count = 1_usize << quantities.len();
    let mut worst = (f64::INFINITY, 0);
    for first in (0..count).step_by(LANES) {
        for (slot, block) in deviations.iter_mut().enumerate() {
            for (lane, deviation) in block.iter_mut().enumerate() {
                *deviation = shaker.deviation(slot, |k| end(first + lane, k));
            }
        }
        for (lane, margin) in margins.replay(&deviations).into_iter().enumerate().take(count - first) {
            if margin < worst.0 {
                worst = (margin, first + lane);
            }
        }
    }
    Ok(WorstMargin { margin_v: worst.0, at: (0..quantities.len()).map(|k| end(worst.1, k)).collect() })
}
