//! The typed question and the typed answer; the one place where sizing, corners, yield and
//! predictions are composed.
mod aim;
mod answer;
mod assumed;
pub mod bandwidth;
mod bench;
pub mod budget;
mod cautions;
pub mod chip;
mod closed_form;
mod conditions;
mod design;
pub mod explain;
mod fill;
pub mod filter;
pub mod headroom;
mod headroom_notes;
pub mod impedance;
mod largest_gain;
mod ledger;
mod limits;
pub mod nodes;
pub mod noise;
pub mod offset;
pub mod peaking;
mod question;
mod reject;
mod rejection;
pub mod review;
pub mod self_heating;
mod size;
mod told;

pub use answer::*;
pub use cautions::{NOT_ISOLATION, cautions};
pub use design::{DesignOptions, design};
pub use fill::fill;
pub use ledger::{BudgetFigure, BudgetLine, Carried, Ledger, Remaining, StaticCommonMode, totals};
pub use question::*;
pub use reject::reject;
pub use size::size;

use bench::unsolved;
