//! The command line and its documents, through `cli::run` with streams in memory.
#![allow(clippy::expect_used, clippy::panic, reason = "a test that cannot go on has failed")]
mod asked;
mod batch;
mod check;
mod design;
mod faults;
mod files;
mod fixture;
mod layout;
mod letters;
mod plain;
mod readme;
mod reject;
mod series;
mod size;
mod streams;
mod verify;
