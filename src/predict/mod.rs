//! From a network to a figure; one file a figure. What a figure means is told where it stands.
mod gain;

pub use gain::{Gains, gains};
