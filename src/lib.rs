//! **evenkeel** designs differential front ends: from "this sensor, this supply, this much pick-up,
//! this accuracy" to a circuit of parts one can buy, with the common-mode rejection that is
//! guaranteed with real resistors and op amps.
//!
//! One truth: a front end is a small linear network with op amps. Every topology builds such a
//! network ([`topology`]), every figure is a question put to it ([`predict`]), and worst cases only
//! shake its values ([`corners`]). The textbook equations ([`textbook`]) stand beside it as a second
//! witness.

pub mod cli;
pub mod corners;
pub mod designator;
pub mod equation;
pub mod limits;
pub mod network;
pub mod part;
pub mod predict;
pub mod quantity;
pub mod report;
pub mod series;
pub mod sheet;
pub mod sizing;
pub mod spec;
pub mod stage;
pub mod study;
pub mod textbook;
pub mod topology;
pub mod uncertainty;
pub mod yields;
