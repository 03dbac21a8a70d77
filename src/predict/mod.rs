//! From a network to a figure; one file a figure. What a figure means is told where it stands.
mod bandwidth;
mod crossing;
mod gain;
mod loops;
mod noise;
mod poles;
mod settling;

pub use bandwidth::{FullPower, Response, full_power, response};
pub use gain::{Gains, gains};
pub use loops::{Margin, margins};
pub use noise::{
    Excess, Noise, NoiseLine, NoiseSource, amplifier_sources, chip_sources, excess_sources, noise, thermal_sources,
};
pub use poles::{Decay, Motion, PolesFault, Transfer, grid};
pub use settling::{Settling, settling};
