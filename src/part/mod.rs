//! The thing sold: resistor grades, resistor networks, op amps, chips.
//!
//! Everything here is what a data sheet states, in SI units; nothing here knows how it is wired.
mod chip;
mod listed;
mod opamp;
mod resistor;

pub use chip::{AtGain, Chip};
pub use listed::Listed;
pub use opamp::{OpAmp, Rails};
pub use resistor::{Fixed, Grade, Matched, PricedGrade};
