//! The typed question and the typed answer; the one place where sizing, corners, yield and
//! predictions are composed.
mod answer;
pub mod bandwidth;
pub mod noise;
pub mod peaking;
mod question;
mod told;

pub use answer::*;
pub use question::*;
pub use told::Told;
