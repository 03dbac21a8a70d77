//! The typed question and the typed answer; the one place where sizing, corners, yield and
//! predictions are composed.
mod answer;
mod cautions;
mod conditions;
pub mod filter;
pub mod headroom;
mod headroom_notes;
pub mod impedance;
mod largest_gain;
mod question;
mod told;

pub use answer::*;
pub use cautions::{NOT_ISOLATION, cautions};
pub use question::*;
