//! The typed question and the typed answer; the one place where sizing, corners, yield and
//! predictions are composed.
mod answer;
mod budget;
mod chip;
mod ledger;
mod offset;
mod question;
mod second_order;
mod told;

pub use answer::*;
pub use budget::{BudgetBasis, budget_figure};
pub use chip::{chip_assumed_ideal, chip_warnings};
pub use ledger::{BudgetFigure, BudgetLine, Carried, Ledger, Remaining, StaticCommonMode, totals};
pub use offset::offset_figure;
pub use question::*;
pub use second_order::{excess_noise, self_heating};
pub use told::Told;
