//! Offset, the single chip, second-order effects and the error budget, against published figures, laws,
//! and an assembly that shares nothing with the crate.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::disallowed_methods, reason = "tests")]
mod chip;
mod drawing;
mod nodal;
mod offset;
mod published;
mod question;
mod second_order;
mod study;
