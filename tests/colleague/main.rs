//! The colleague: the working of each figure, the theory behind it, and the review notes.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "builders of tests: a fault in them fails the test"
)]
mod board;
mod desk;
mod equations;
mod measured;
mod nodes;
mod notes;
mod reader;
mod symbols;
mod theory;
