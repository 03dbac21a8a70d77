//! The typed question and the typed answer; the one place where sizing, corners, yield and
//! predictions are composed.
mod answer;
mod question;

pub use answer::*;
pub use question::*;
