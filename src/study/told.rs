use super::{NotPredicted, Warning};

/// A figure, or what it lacks; and what a reader of it should know.
#[derive(Clone, Debug, PartialEq)]
pub struct Told<T> {
    /// The figure; `None`: not predicted.
    pub figure: Option<T>,
    /// What could not be told, and which keys it needs.
    pub not_predicted: Vec<NotPredicted>,
    /// Review notes.
    pub warnings: Vec<Warning>,
}

impl<T> Told<T> {
    pub(super) const fn whole(figure: T) -> Self {
        Self { figure: Some(figure), not_predicted: Vec::new(), warnings: Vec::new() }
    }

    /// Not asked for: no figure, and nothing is missing.
    pub(super) const fn nothing() -> Self {
        Self { figure: None, not_predicted: Vec::new(), warnings: Vec::new() }
    }

    pub(super) fn lacks(figure: &str, needs: &str) -> Self {
        Self { not_predicted: vec![NotPredicted::new(figure, needs)], ..Self::nothing() }
    }
}

impl NotPredicted {
    pub(super) fn new(figure: &str, needs: &str) -> Self {
        Self { figure: figure.to_owned(), needs: needs.to_owned() }
    }
}
