//! Two op amps in a row: A1 takes the negative input, A2 the positive one and gives the output.
use super::BuildFault;
use super::front::Front;
use crate::designator::Amp;
use crate::designator::Designator::{R1, R2, R3, R4};
use crate::network::Node;

/// R1 from the reference to A1's inverting node, R2 from there to A1's output, R3 on to A2's
/// inverting node, R4 from there to the output, RG between the two inverting nodes.
pub(super) fn wire(front: &mut Front<'_>) -> Result<Node, BuildFault> {
    let (positive, negative, reference) = (front.positive, front.negative, front.reference);
    let [first, first_node, output, second_node] =
        ["A1 output", "A1 - input", "output", "A2 - input"].map(|name| front.node(name));
    front.resistor(R1, reference, first_node)?;
    front.resistor(R2, first_node, first)?;
    front.resistor(R3, first, second_node)?;
    front.resistor(R4, second_node, output)?;
    front.gain_resistor(first_node, second_node)?;
    front.op_amp(Amp::A1, negative, first_node, first);
    front.op_amp(Amp::A2, positive, second_node, output);
    Ok(output)
}
