//! Voltages of nodes over the corners of the box, for signals one at a time.
use super::ENUMERATED_AT_FREQUENCY;
use crate::network::{Excitation, Instructions, LANES, Lane, NetworkFault, Node, Plan};
use crate::stage::{Quantity, Shaker, Stage};

/// Least and greatest voltage of a node for each signal `(common mode, difference)`, V, over all corners of
/// `quantities` (16 at the most; further ones stay nominal) at dc, with the reference at `reference_v`.
///
/// # Errors
/// [`NetworkFault::Singular`] when the nominal network has no solution.
pub fn node_spans(
    stage: &Stage,
    quantities: &[Quantity],
    node: Node,
    signals: &[(f64, f64)],
    reference_v: f64,
) -> Result<Vec<(f64, f64)>, NetworkFault> {
    let quantities = &quantities[..quantities.len().min(ENUMERATED_AT_FREQUENCY)];
    let shaker = Shaker::new(stage, quantities, 0.0);
    let drives = [stage.common(), stage.differential(), Excitation::emf(stage.ports.reference, reference_v)];
    let plan = Plan::<f64>::record(&stage.network, 0.0, shaker.slots(), &drives, node)?;
    let mut work = plan.workspace(Instructions::best());
    let mut deviations = vec![[0.0; LANES]; shaker.slots().len()];
    let mut out = [0.0.splat(); 3];
    let mut spans = vec![(f64::INFINITY, f64::NEG_INFINITY); signals.len()];
    let count = 1_usize << quantities.len();
    let end = |corner: usize, k: usize| {
        let quantity = &quantities[k];
        if corner >> k & 1 == 1 { quantity.high } else { quantity.low }
    };
    for first in (0..count).step_by(LANES) {
        for (slot, block) in deviations.iter_mut().enumerate() {
            for (lane, deviation) in block.iter_mut().enumerate() {
                *deviation = shaker.deviation(slot, |k| end(first + lane, k));
            }
        }
        plan.replay(&mut work, &deviations, &mut out);
        #[allow(clippy::needless_range_loop, reason = "one lane of three blocks")]
        for lane in 0..LANES.min(count - first) {
            for (span, &(common, difference)) in spans.iter_mut().zip(signals) {
                let volt = out[0][lane] * common + out[1][lane] * difference + out[2][lane];
                *span = (span.0.min(volt), span.1.max(volt));
            }
        }
    }
    Ok(spans)
}
