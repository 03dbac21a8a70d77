//! From a network to a figure; one file a figure. What a figure means is told where it stands.
mod excess_noise;
mod gain;
mod offset;
mod operating;
mod ripple;
mod self_heating;

pub use excess_noise::{ExcessNoise, excess_noise};
pub use gain::{Gains, gains};
pub use offset::{Excursion, OffsetCause, OffsetFigure, OffsetSource, offset};
pub use operating::{Operating, ResistorVoltage, resistor_voltages};
pub use ripple::{RippleFigure, ripple};
pub use self_heating::{SelfHeating, gain_slopes, self_heating};
