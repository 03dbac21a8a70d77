//! Text to SI value and back (contract, section 1).
//!
//! A number keeps its decimal digits until the unit is known; only then is it rounded, once, to the
//! nearest double. So `"4.7 kΩ"` is exactly `4700.0`, and [`exact`] gives text that reads back to the
//! same bits.

mod count;
mod diagnose;
mod fault;
pub mod marking;
mod number;
mod print;
mod range;
mod ratio;
mod read;
mod spelling;
mod unit;
mod zero;

pub use count::parse_count;
pub use fault::{FaultKind, QuantityFault};
pub(crate) use number::tens;
pub use print::{exact, rounded};
pub use range::parse_range;
pub use ratio::{decibels, from_decibels};
pub use read::parse;
pub use unit::Unit;
pub use zero::or_zero;

#[cfg(test)]
mod tests;
