//! Yields against closed forms, other libraries, and laws that hold whatever is drawn.
#![allow(clippy::unwrap_used, clippy::panic, reason = "builders of tests: a fault in them fails the test")]
mod bench;
mod bytes;
mod closed;
mod cover;
mod rare;
mod shares;
