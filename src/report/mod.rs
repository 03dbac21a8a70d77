//! The door from an answer to what people and scripts read.
//!
//! An answer becomes one [`Document`], a tree of fields that knows nothing of formats; each format
//! is a short writer over that tree. A figure is therefore added once: one function that pushes its
//! fields onto a [`Record`] (see [`design`]). Nothing here computes a figure.
//!
//! ```
//! use evenkeel::quantity::Unit;
//! use evenkeel::report::{Document, Record, Verdict};
//!
//! let mut body = Record::new();
//! body.number("worst_db", "worst case", None, Unit::Decibel);
//! let document = Document::new("evenkeel.reject.v1", Verdict::good("Nothing limits it."), body);
//! assert!(document.to_json().contains("\"worst_db\": null"));
//! ```
mod board;
mod design;
mod document;
mod explain;
mod html;
mod json;
mod markdown;
mod page;
pub mod picture;
mod reject;
mod series;
mod size;
mod starter;
mod text;

pub use design::design;
pub use document::{Audience, Document, Field, Formula, Number, Record, Tone, Value, Verdict};
pub use explain::explain;
pub use picture::Picture;
pub use reject::reject;
pub use series::{NearLine, NearValue, SeriesLine, near, series, series_list};
pub use size::size;
pub use starter::starter;
pub use text::Paint;
