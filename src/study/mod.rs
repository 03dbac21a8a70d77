//! The typed question and the typed answer; the one place where sizing, corners, yield and
//! predictions are composed.
mod answer;
mod assumed;
mod closed_form;
mod design;
mod fill;
mod limits;
mod question;
mod reject;
mod rejection;
mod size;

pub use answer::*;
pub use design::{DesignOptions, design};
pub use fill::fill;
pub use question::*;
pub use reject::reject;
pub use size::size;

use design::unsolved;
