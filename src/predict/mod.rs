//! From a network to a figure; one file a figure. What a figure means is told where it stands.
mod filter;
mod gain;
mod headroom;
mod impedance;
mod margins;
mod window;

pub use filter::{FilterBandwidth, Protection, filter_alone, filter_in_circuit, protection};
pub use gain::{Gains, gains};
pub use headroom::{HeadroomPoint, Map, Point, Rectangle, Supplies, Terminal, inner_nodes, points, terminals};
pub use impedance::{Impedance, impedance};
pub use margins::Margins;
pub use window::{WindowVertex, window};
