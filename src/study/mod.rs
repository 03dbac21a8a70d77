//! The typed question and the typed answer; the one place where sizing, corners, yield and
//! predictions are composed.
mod aim;
mod answer;
mod assumed;
pub mod bandwidth;
mod basket;
mod bench;
mod cautions;
mod choose;
mod closed_form;
mod conditions;
mod design;
mod fill;
pub mod filter;
pub mod headroom;
mod headroom_notes;
pub mod impedance;
mod largest_gain;
mod lever;
mod limits;
pub mod noise;
pub mod peaking;
mod power;
mod purchase;
mod question;
mod reject;
mod rejection;
mod remedy;
mod runner_up;
mod size;
mod told;
mod trial;

pub use answer::*;
pub use cautions::{NOT_ISOLATION, cautions};
pub use design::{DesignOptions, design};
pub use question::*;
pub use reject::reject;
pub use size::size;

use bench::unsolved;
