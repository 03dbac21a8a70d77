use super::{NotPredicted, Warning};

/// A figure, or what it lacks; and what is worth a note.
#[derive(Clone, Debug, PartialEq)]
pub struct Told<F> {
    /// The figure; `None` where nothing of it can be told.
    pub figure: Option<F>,
    /// The figure, or parts of it, that could not be told.
    pub not_predicted: Vec<NotPredicted>,
    /// Review notes.
    pub warnings: Vec<Warning>,
}

impl<F> Told<F> {
    pub(super) const fn whole(figure: F) -> Self {
        Self { figure: Some(figure), not_predicted: Vec::new(), warnings: Vec::new() }
    }

    pub(super) const fn nothing() -> Self {
        Self { figure: None, not_predicted: Vec::new(), warnings: Vec::new() }
    }

    pub(super) fn lacking(mut self, figure: &str, needs: &str) -> Self {
        self.not_predicted.push(NotPredicted { figure: figure.to_owned(), needs: needs.to_owned() });
        self
    }
}

/// What a figure over frequency needs of the circuit.
pub(super) const STABLE: &str = "a circuit that does not oscillate";
