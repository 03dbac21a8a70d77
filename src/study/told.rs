use super::{NotPredicted, Warning};
use crate::predict::PolesFault;
use crate::topology::BuildFault;

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

    /// Not asked for: no figure, and nothing is missing.
    pub(super) const fn unasked() -> Self {
        Self { figure: None, not_predicted: Vec::new(), warnings: Vec::new() }
    }

    pub(super) fn missing(figure: &str, needs: &[&str]) -> Self {
        let not_predicted = vec![NotPredicted { figure: figure.to_owned(), needs: needs.join(", ") }];
        Self { figure: None, not_predicted, warnings: Vec::new() }
    }

    /// The same, with a part of the figure that could not be told.
    pub(super) fn lacking(mut self, part: &str, needs: &str) -> Self {
        self.not_predicted.push(NotPredicted { figure: part.to_owned(), needs: needs.to_owned() });
        self
    }

    /// A figure that rests on the network's poles; where they can't be found it can't be told.
    pub(super) fn with_poles(figure: &str, told: Result<Self, PolesFault>) -> Result<Self, BuildFault> {
        match told {
            Ok(told) => Ok(told),
            Err(PolesFault::Network(fault)) => Err(fault.into()),
            Err(PolesFault::Iteration) => Ok(Self::missing(figure, &["poles that can be found"])),
        }
    }
}

/// What a figure over frequency needs of the circuit.
pub(super) const STABLE: &str = "a circuit that does not oscillate";
