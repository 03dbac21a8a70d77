//! Voltages of nodes over the corners of the box, for signals one at a time.
use super::points::Points;
use crate::network::{Excitation, Instructions, LANES, Lane, NetworkFault, Node, Plan, Workspace};
use crate::stage::{Quantity, Shaker, Stage};

/// As many quantities are tried in every combination; the others have little effect beside them.
const TOGETHER: usize = 12;

/// Nominal, least and greatest voltage of a node.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NodeRange {
    /// With every quantity at its nominal value, V.
    pub nominal_v: f64,
    /// The least, V.
    pub low_v: f64,
    /// The greatest, V.
    pub high_v: f64,
}

/// The voltage of a node for each signal `(common mode, difference)` over all corners of `quantities` at dc, with the
/// reference at `reference_v`.
///
/// The 12 quantities that move the node most are tried in every combination. What each of the others moves alone is
/// added: between these, and between them and the 12, products of two deviations are left out.
///
/// # Errors
/// [`NetworkFault::Singular`] when the nominal network has no solution.
pub fn node_ranges(
    stage: &Stage,
    quantities: &[Quantity],
    node: Node,
    signals: &[(f64, f64)],
    reference_v: f64,
) -> Result<Vec<NodeRange>, NetworkFault> {
    let mut node = AtNode::new(stage, quantities, node, reference_v)?;
    let middle: Vec<f64> = quantities.iter().map(|one| 0.0_f64.clamp(one.low, one.high)).collect();
    let mut singles = Points::of(quantities.len());
    singles.push(&middle);
    for (at, one) in quantities.iter().enumerate() {
        singles.push(&middle)[at] = one.low;
        singles.push(&middle)[at] = one.high;
    }
    let singles = node.volts(&singles, signals);
    // how far each quantity alone moves the node, for each signal
    let alone = |at: usize, signal: usize| {
        let moved = [2 * at + 1, 2 * at + 2].map(|point| singles[point][signal] - singles[0][signal]);
        (moved[0].min(moved[1]).min(0.0), moved[0].max(moved[1]).max(0.0))
    };
    let most = |&at: &usize| {
        let span = |signal| alone(at, signal).1 - alone(at, signal).0;
        (0..signals.len()).map(span).fold(0.0, f64::max)
    };
    let mut order: Vec<usize> = (0..quantities.len()).collect();
    order.sort_by(|a, b| most(b).total_cmp(&most(a)));
    let (together, others) = order.split_at(order.len().min(TOGETHER));

    let mut corners = Points::of(quantities.len());
    for corner in 0..1_usize << together.len() {
        let point = corners.push(&middle);
        for (bit, &at) in together.iter().enumerate() {
            point[at] = if corner >> bit & 1 == 1 { quantities[at].high } else { quantities[at].low };
        }
    }
    let corners = node.volts(&corners, signals);
    let range = |signal: usize| {
        let nominal_v = singles[0][signal];
        let (low, high) = corners
            .iter()
            .map(|volts| volts[signal])
            .fold((nominal_v, nominal_v), |(low, high), volt| (low.min(volt), high.max(volt)));
        let (down, up) = others.iter().map(|&at| alone(at, signal)).fold((0.0, 0.0), |a, b| (a.0 + b.0, a.1 + b.1));
        NodeRange { nominal_v, low_v: low + down, high_v: high + up }
    };
    Ok((0..signals.len()).map(range).collect())
}

/// A node's share of common mode, difference and reference at any point of the box.
struct AtNode<'q> {
    quantities: &'q [Quantity],
    shaker: Shaker,
    plan: Plan<f64>,
    work: Workspace<f64>,
}

impl<'q> AtNode<'q> {
    fn new(stage: &Stage, quantities: &'q [Quantity], node: Node, reference_v: f64) -> Result<Self, NetworkFault> {
        let shaker = Shaker::new(stage, quantities, 0.0);
        let drives = [stage.common(), stage.differential(), Excitation::emf(stage.ports.reference, reference_v)];
        let plan = Plan::record(&stage.network, 0.0, shaker.slots(), &drives, node)?;
        let work = plan.workspace(Instructions::best());
        Ok(Self { quantities, shaker, plan, work })
    }

    /// The voltage at each point for each signal.
    fn volts(&mut self, points: &Points, signals: &[(f64, f64)]) -> Vec<Vec<f64>> {
        let mut values = vec![[0.0; LANES]; self.quantities.len()];
        let mut deviations = vec![[0.0; LANES]; self.shaker.slots().len()];
        let mut out = [0.0.splat(); 3];
        let mut all = Vec::with_capacity(points.len());
        for first in (0..points.len()).step_by(LANES) {
            for (at, values) in values.iter_mut().enumerate() {
                for (lane, value) in values.iter_mut().enumerate() {
                    *value = points.at((first + lane).min(points.len() - 1))[at];
                }
            }
            self.shaker.fill::<f64, _, _>(&values, &mut deviations, self.work.instructions());
            self.plan.replay(&mut self.work, &deviations, &mut out);
            let count = LANES.min(points.len() - first);
            all.extend((0..count).map(|lane| {
                let volt = |&(common, difference): &(f64, f64)| {
                    out[0][lane] * common + out[1][lane] * difference + out[2][lane]
                };
                signals.iter().map(volt).collect::<Vec<f64>>()
            }));
        }
        all
    }
}
