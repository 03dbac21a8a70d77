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
mod batch;
mod board;
mod check;
mod columns;
mod compare;
mod design;
mod document;
mod escape;
mod explain;
mod html;
mod json;
mod junit;
mod markdown;
mod no_design;
mod page;
mod parts_list;
pub mod picture;
mod plain;
mod read_back;
mod reject;
mod series;
mod size;
mod starter;
mod switched;
mod text;
mod trim;
mod verify;
mod yields;

pub use batch::{batch_csv, batch_csv_heading, batch_json, batch_summary, batch_text, batch_text_heading};
pub use check::check;
pub use compare::compare;
pub use design::{Proof, design, proven};
pub use document::{Audience, Document, Field, Formula, Number, Record, Tone, Value, Verdict};
pub use explain::explain;
pub use junit::junit;
pub use no_design::no_design;
pub use parts_list::parts_list;
pub use picture::Picture;
pub use plain::plain;
pub use read_back::{Baseline, NotABaseline, baseline, baselines};
pub use reject::reject;
pub use series::{NearLine, NearValue, SeriesLine, near, series, series_list};
pub use size::size;
pub use starter::starter;
pub use switched::switched;
pub use text::Paint;
pub use trim::trim;
pub use verify::{plan, plan_csv, verify};
pub use yields::yields;
