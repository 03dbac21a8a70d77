//! What a front end does at its limits, held against published numbers, laws, and a second derivation.
mod bench;
mod cautions;
mod gain;
mod laws;
mod oracle;
mod published;
mod random;
