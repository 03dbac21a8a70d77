//! Preferred numbers, IEC 60063.

/// A series of preferred numbers, named by the number of values in a decade.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "the names of the standard")]
pub enum Series {
    E3,
    E6,
    E12,
    E24,
    E48,
    E96,
    E192,
}
