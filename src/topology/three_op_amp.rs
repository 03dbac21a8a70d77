//! Two input op amps that share RG, and a difference stage behind them.
use super::front::Front;
use super::{BuildFault, difference};
use crate::designator::Amp;
use crate::designator::Designator::{RF1, RF2};
use crate::network::Node;

/// RF1 from A1's output to its inverting node, RF2 likewise at A2, RG between the two nodes.
pub(super) fn wire(front: &mut Front<'_>) -> Result<Node, BuildFault> {
    let (positive, negative) = (front.positive, front.negative);
    let [low, low_node, high, high_node] =
        ["A1 output", "A1 - input", "A2 output", "A2 - input"].map(|name| front.node(name));
    front.resistor(RF1, low, low_node)?;
    front.resistor(RF2, high, high_node)?;
    front.gain_resistor(low_node, high_node)?;
    front.op_amp(Amp::A1, negative, low_node, low);
    front.op_amp(Amp::A2, positive, high_node, high);
    Ok(difference::stage(front, Amp::A3, (high, low))?.0)
}
