//! Noise, bandwidth, loops and settling, held against published numbers, closed forms and a separate
//! assembly in a general-purpose linear-algebra crate.
mod bandwidth;
mod bench;
mod laws;
mod noise;
mod separate;
mod settling;
