//! The difference stage: plain, behind two followers, and as the second stage of others.
use super::BuildFault;
use super::front::Front;
use crate::designator::Amp;
use crate::designator::Designator::{R1, R2, R3, R4, R5, R6};
use crate::network::{GROUND, Node};

/// R1 from the negative input to the inverting node, R2 from there to the output, R3 from the
/// positive input to the non-inverting node, R4 from there to the reference; returns the output.
pub(super) fn stage(
    front: &mut Front<'_>,
    amp: Amp,
    (positive, negative): (Node, Node),
) -> Result<(Node, Node, Node), BuildFault> {
    let plus = front.node(&format!("{amp} + input"));
    let minus = front.node(&format!("{amp} - input"));
    let output = front.node("output");
    front.resistor(R1, negative, minus)?;
    front.resistor(R2, minus, output)?;
    front.resistor(R3, positive, plus)?;
    let reference = front.reference;
    front.resistor(R4, plus, reference)?;
    front.op_amp(amp, plus, minus, output);
    Ok((output, plus, minus))
}

/// One op amp; R5 and R6 divide a high common mode down.
pub(super) fn plain(front: &mut Front<'_>) -> Result<Node, BuildFault> {
    let inputs = (front.positive, front.negative);
    let (output, plus, minus) = stage(front, Amp::A1, inputs)?;
    front.optional(R5, minus, GROUND)?;
    front.optional(R6, plus, GROUND)?;
    Ok(output)
}

/// A1 follows the negative input, A2 the positive one, A3 is the difference stage.
pub(super) fn buffered(front: &mut Front<'_>) -> Result<Node, BuildFault> {
    let (positive, negative) = (front.positive, front.negative);
    let low = front.node("A1 output");
    let high = front.node("A2 output");
    front.op_amp(Amp::A1, negative, low, low);
    front.op_amp(Amp::A2, positive, high, high);
    Ok(stage(front, Amp::A3, (high, low))?.0)
}
