//! From a network to a figure; one file a figure. What a figure means is told where it stands.
mod bandwidth;
mod crossing;
mod filter;
mod gain;
mod headroom;
mod impedance;
mod loops;
mod margins;
mod noise;
mod offset;
mod operating;
mod poles;
mod ripple;
mod self_heating;
mod settling;
mod window;

pub use bandwidth::{FullPower, Response, full_power, response};
pub use filter::{FilterBandwidth, Protection, filter_alone, filter_in_circuit, protection};
pub use gain::{Gains, gain, gains};
pub use headroom::{HeadroomPoint, Map, Point, Rectangle, Supplies, Terminal, inner_nodes, points, terminals};
pub use impedance::{Impedance, impedance};
pub use loops::{LoopMargin, loop_margins};
pub use margins::Margins;
pub use noise::{
    Excess, Noise, NoiseLine, NoiseSource, amplifier_sources, chip_sources, excess_sources, noise, thermal_sources,
};
pub use offset::{Excursion, OffsetCause, OffsetFigure, OffsetSource, offset, offset_at};
pub use operating::{Operating, ResistorVoltage, resistor_voltages};
pub use poles::{Decay, Motion, PolesFault, Transfer, grid};
pub use ripple::{RippleFigure, ripple};
pub use self_heating::{SelfHeating, gain_slopes, self_heating};
pub use settling::{Settling, settling};
pub use window::{WindowVertex, window};
