//! One amplifier sold as a part: its gain law, and nothing of its inside but what its inputs load.
use super::BuildFault;
use super::front::Front;
use crate::designator::Amp;
use crate::network::{AmplifierValue, Node};
use crate::stage::Role;

/// `G = base_gain + K/RG` from the inputs to the output, counted from the reference; one pole at the
/// listed bandwidth: `a(f) = (1 + j·f/f_bw)/G`. RG is no element.
pub(super) fn wire(front: &mut Front<'_>) -> Result<Node, BuildFault> {
    let circuit = front.circuit();
    let chip = circuit.chip.as_ref().ok_or(BuildFault::NoChip)?;
    let gain = circuit.chip_gain().ok_or(BuildFault::NoChip)?;
    if !(gain > 0.0 && gain.is_finite()) {
        return Err(BuildFault::Gain(gain));
    }
    let (positive, negative, reference) = (front.positive, front.negative, front.reference);
    let output = front.node("output");
    let value = AmplifierValue {
        inverse_gain: 1.0 / gain,
        inverse_gbw_s: chip.bandwidth_at(gain).map_or(0.0, |listed| 1.0 / (gain * listed.value)),
        common_mode: 0.0,
        inverse_corner_s: chip.rejection_corner_hz.map_or(0.0, |hz| 1.0 / hz),
    };
    front.fixed_gain((Role::Amp(Amp::A1), Amp::A1.name()), (positive, negative), (output, reference), value);
    front.input_load(Amp::A1, positive, negative);
    Ok(output)
}
