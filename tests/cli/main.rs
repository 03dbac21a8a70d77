//! The command line and its documents, through `cli::run` with streams in memory.
#![allow(clippy::expect_used, clippy::panic, reason = "a test that cannot go on has failed")]
mod asked;
mod batch;
mod check;
mod choice;
mod design;
mod examples;
mod explain;
mod faults;
mod files;
mod fixture;
mod layout;
mod letters;
mod numbers;
mod pictures;
mod plain;
mod proof;
mod readme;
mod reject;
mod series;
mod size;
mod starters;
mod streams;
mod verify;
mod yields;
