//! What a front end does at its limits, held against published numbers, laws, and a second derivation.
#![allow(clippy::unwrap_used, clippy::panic, reason = "builders of tests: a fault in them fails the test")]
mod bench;
mod cautions;
mod gain;
mod laws;
mod nodes;
mod oracle;
mod published;
mod random;
