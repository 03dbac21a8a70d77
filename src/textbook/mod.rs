//! The textbook equations: the second witness beside the network solver.
//!
//! Ideal op amps, resistors of any value, worked out by hand circuit by circuit. Nothing here knows
//! of a network, a stage or a part; sizing inverts these equations, `explain` shows them, and tests
//! hold them against the solver.
mod closed_form;
mod fault;
mod gains;
mod handbook;
mod law;
mod nodes;
mod noise;

pub use closed_form::{ClosedForm, closed_form_rejection, rejection_db};
pub use fault::TextbookFault;
pub use gains::{Gains, gains};
pub use handbook::{
    bias_return_mismatch, cable_mismatch, difference_one_resistor, difference_worst, loop_gain_three, loop_gain_two,
    opamps_three, opamps_two, reference_difference, reference_two, source_imbalance, stray_at_gain_resistor,
};
pub use law::{GainLaw, GainSet, gain_law, gain_resistor, ideal_gain, least_gain, two_op_amp_ratio};
pub use nodes::{AmpNode, Drive, nodes};
pub use noise::{WhiteNoise, white_noise};

#[cfg(test)]
pub(crate) mod tests;
