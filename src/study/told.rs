use super::{NotPredicted, Warning};

/// A figure, or what it would need, and the review notes it raises.
#[derive(Clone, Debug, PartialEq)]
pub struct Told<T> {
    /// The figure, where its inputs are there.
    pub figure: Option<T>,
    /// What could not be told, and the keys it needs.
    pub not_predicted: Vec<NotPredicted>,
    /// Review notes.
    pub warnings: Vec<Warning>,
}

impl<T> Told<T> {
    pub(super) const fn figure(figure: T) -> Self {
        Self { figure: Some(figure), not_predicted: Vec::new(), warnings: Vec::new() }
    }

    pub(super) fn missing(figure: &str, needs: &[&str]) -> Self {
        let not_predicted = vec![NotPredicted { figure: figure.to_owned(), needs: needs.join(", ") }];
        Self { figure: None, not_predicted, warnings: Vec::new() }
    }
}
