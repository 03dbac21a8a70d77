//! The door from CSV: bills of material and bench readings.
//!
//! Tables are read as people and other programs write them: `,`, `;` or tabs between the cells, any
//! line ends, a byte-order mark, lines of text above the heading, and units in the heading's brackets
//! or in the cell. Nothing here touches a file.
mod bill;
mod grid;
mod heading;
mod part_text;
mod reading;

pub use bill::Bill;
pub use reading::readings;

#[cfg(test)]
mod tests;
