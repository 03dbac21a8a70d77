//! Noise, bandwidth, loops and settling, held against published numbers, closed forms and a separate
//! assembly in a general-purpose linear-algebra crate.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops where it fails")]
mod bandwidth;
mod bench;
mod grid;
mod laws;
mod netlist;
mod noise;
mod separate;
mod settling;
mod study;
