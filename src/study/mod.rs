//! The typed question and the typed answer; the one place where sizing, corners, yield and
//! predictions are composed.
mod answer;
mod fill;
mod question;
mod size;

pub use answer::*;
pub use fill::fill;
pub use question::*;
pub use size::size;
