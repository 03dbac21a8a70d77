//! Headroom of many boards side by side.
use super::headroom::{Map, Rectangle, Terminal};
use crate::network::{Excitation, Instructions, LANES, Lane, NetworkFault, Node, Plan, Slot, Workspace};
use crate::stage::Stage;

/// The least distance of any terminal from its limits, for blocks of boards whose values deviate.
#[derive(Clone, Debug)]
pub struct Margins {
    nodes: Vec<(Node, Plan<f64>, Workspace<f64>)>,
    /// For each node the tightest limits that hold there, V.
    limits: Vec<(f64, f64)>,
    signals: Rectangle,
}

impl Margins {
    /// Records what the deviations of `slots` do to each terminal, at dc.
    ///
    /// # Errors
    /// [`NetworkFault::Singular`].
    pub fn record(
        stage: &Stage,
        slots: &[Slot],
        terminals: &[Terminal],
        signals: Rectangle,
        reference_v: f64,
    ) -> Result<Self, NetworkFault> {
        Self::record_for(stage, slots, terminals, (signals, reference_v), Instructions::best())
    }

    /// The same for signals and a reference voltage together, with the vector instructions given.
    ///
    /// # Errors
    /// [`NetworkFault::Singular`].
    pub fn record_for(
        stage: &Stage,
        slots: &[Slot],
        terminals: &[Terminal],
        (signals, reference_v): (Rectangle, f64),
        instructions: Instructions,
    ) -> Result<Self, NetworkFault> {
        let drives = [stage.common(), stage.differential(), Excitation::emf(stage.ports.reference, reference_v)];
        let mut margins = Self { nodes: Vec::new(), limits: Vec::new(), signals };
        for terminal in terminals {
            let (low, high) = (terminal.low_limit_v, terminal.high_limit_v);
            if let Some(place) = margins.nodes.iter().position(|(node, ..)| *node == terminal.node) {
                let limits = &mut margins.limits[place];
                *limits = (limits.0.max(low), limits.1.min(high));
                continue;
            }
            let plan = Plan::record(&stage.network, 0.0, slots, &drives, terminal.node)?;
            let work = plan.workspace(instructions);
            margins.nodes.push((terminal.node, plan, work));
            margins.limits.push((low, high));
        }
        Ok(margins)
    }

    /// Margins of one block of boards, V: `deviations[k]` holds those of the `k`th slot. Minus infinity
    /// for a board without a single solution.
    pub fn replay(&mut self, deviations: &[[f64; LANES]]) -> [f64; LANES] {
        let mut least = [f64::INFINITY; LANES];
        let mut out = [0.0.splat(); 3];
        for ((_, plan, work), &(low, high)) in self.nodes.iter_mut().zip(&self.limits) {
            plan.replay(work, deviations, &mut out);
            for (lane, least) in least.iter_mut().enumerate() {
                let map = Map { common: out[0][lane], differential: out[1][lane], constant_v: out[2][lane] };
                let (lowest, highest) = map.extremes(&self.signals);
                let margin = (lowest - low).min(high - highest);
                *least = if margin.is_nan() { f64::NEG_INFINITY } else { least.min(margin) };
            }
        }
        least
    }
}
