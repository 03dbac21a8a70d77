//! The door from TOML to a question.
//!
//! [`read`] holds a text against the key table ([`key`]), lays channels over what they share and part
//! files under what the spec says, checks what one key says about another, and tells everything that
//! is wrong at once, each with its place. It touches no file: part files come through [`Files`].
mod build;
mod channel;
mod fault;
mod files;
pub mod key;
mod nearest;
mod page;
mod part_file;
mod place;
mod places;
mod reader;
mod rules;
mod scalar;
mod schema;
mod starter;
mod syntax;
mod tree;
mod usable;
mod vary;
mod walk;

pub use channel::{Channel, Spec};
pub use fault::{Fault, Faults};
pub use files::{Files, NoFiles};
pub use page::format_page;
pub use reader::{read, read_for_every_topology, read_with};
pub use schema::schema;
pub use starter::starter;
pub use vary::{Setting, Variation, variation};

#[cfg(test)]
mod tests;
