//! Chooses values: which resistors one can buy come nearest to the gain wanted.
//!
//! [`gain_set`] answers for one stage at the terminal, [`rank`] and [`survey`] for all resistors of a design. Both
//! put every candidate into one order and search sorted values, never all pairs.
mod circuit;
mod fault;
mod filled;
mod frames;
mod gain_set;
mod joint;
mod light;
mod merit;
mod order;
mod pair_table;
mod pick;
mod reach;
mod rules;
mod search;
mod spread;
mod stock;
mod tapped;
mod walk;

pub use fault::SizingFault;
pub use filled::{Filled, Value};
pub(crate) use frames::{DIVIDER_OHM, STAGE_OHM};
pub(crate) use gain_set::FEEDBACK_OHM;
pub use gain_set::{GainSetting, Shortfall, Sizing, Wanted, gain_set};
pub use joint::{Ranked, Survey, rank, rank_with, survey};
pub use merit::{First, Wishes};
pub use order::Side;
pub use pair_table::PairTable;
pub use pick::{Pick, PickKind};
pub use reach::Reach;
pub use rules::{Rules, Wish};
pub use stock::{GREATEST_OHM, LEAST_OHM, Stock};
pub use tapped::{Tapped, tapped};

#[cfg(test)]
mod tests;
