//! What a circuit has to swing: supplies, signals, reference.
use super::{Question, Span};
use crate::corners::Load;
use crate::designator::Topology;
use crate::network::NetworkFault;
use crate::predict::{Point, Rectangle, Supplies, inner_nodes, points, terminals};
use crate::stage::Stage;

/// Everything headroom is measured against.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Conditions {
    pub(super) supplies: Supplies,
    pub(super) load: Load,
    /// Gain of a chip's first stage, V/V, where it is stated; else the whole gain is made there.
    pub(super) stage_one_gain: Option<f64>,
}

impl Conditions {
    /// Of a question; the keys that are missing otherwise.
    ///
    /// The differential range is widened by the dc offset, the common-mode range on both sides by the
    /// amplitude of the interference.
    pub(super) fn of(question: &Question, reference_v: f64) -> Result<Self, Vec<&'static str>> {
        let signal = &question.signal;
        let (Some(supply), Some(differential), Some(common)) =
            (&question.supply, signal.differential, signal.common_mode)
        else {
            let needs = [
                ("supply", question.supply.is_none()),
                ("signal.differential", signal.differential.is_none()),
                ("signal.common_mode", signal.common_mode.is_none()),
            ];
            return Err(needs.into_iter().filter_map(|(key, missing)| missing.then_some(key)).collect());
        };
        let offset = signal.dc_offset.unwrap_or(Span::point(0.0));
        let pick_up = question.interference.map_or(0.0, |interference| interference.amplitude_v.abs());
        Ok(Self {
            supplies: Supplies { positive_v: supply.positive_v, negative_v: supply.negative_v },
            load: Load {
                signals: Rectangle {
                    common_mode_v: (common.low - pick_up, common.high + pick_up),
                    differential_v: (differential.low + offset.low, differential.high + offset.high),
                },
                reference_v,
            },
            stage_one_gain: question.chip.as_ref().and_then(|chip| chip.stage_one_gain),
        })
    }

    /// Every point that has to stay inside its limits.
    pub(super) fn points(&self, stage: &Stage) -> Result<Vec<Point>, NetworkFault> {
        let mut all = points(stage, &terminals(stage, self.supplies), self.load.reference_v)?;
        if stage.circuit.topology == Topology::SingleChip {
            all.extend(inner_nodes(&all, self.stage_one_gain));
        }
        Ok(all)
    }

    /// By how much each limit is kept at each vertex of the signals, V; what is within rounding of a limit is on it.
    pub(super) fn slacks(&self, stage: &Stage) -> Result<Vec<f64>, NetworkFault> {
        let slack = |point: &Point, vertex| {
            let volt = point.map.at(vertex);
            let rounding = point.rounding_v(volt.abs());
            [volt - point.low_limit_v + rounding, point.high_limit_v - volt + rounding]
        };
        let points = self.points(stage)?;
        let vertices = self.load.signals.vertices();
        Ok(points.iter().flat_map(|point| vertices.into_iter().flat_map(|vertex| slack(point, vertex))).collect())
    }
}
