//! The report on a whole design: one function a figure, in the order in which people read them.
mod bandwidth;
mod budget;
mod circuit;
mod gain;
mod head;
mod headroom;
mod inputs;
mod limits;
mod noise;
mod offset;
mod proof;
mod rejection;
mod resistors;
mod review;
mod yields;

pub(super) use limits::{row as limit_row, rows as limit_rows, words as limit_words};
pub use proof::Proof;
pub(super) use resistors::joint;

use super::{Document, Record};
use crate::study::Design;

/// Puts one figure on the record; a figure that was not predicted puts nothing.
type Figure = fn(&Design, &mut Record);

/// Every figure, in reading order: verdict and limits, the circuit, the figures, the budget, what was not
/// predicted, review notes and cautions, the parts. Behind them stand the proof (bench sheet and working) and
/// what was taken as ideal. A new one is a function in a file of this folder and a line here.
const FIGURES: &[Figure] = &[
    head::push,
    limits::push,
    circuit::push,
    gain::push,
    rejection::push,
    headroom::push,
    inputs::impedance,
    inputs::filter,
    offset::push,
    noise::push,
    bandwidth::push,
    yields::push,
    budget::push,
    review::not_predicted,
    review::warnings,
    review::cautions,
    resistors::push,
];

/// The figures that designs are compared by.
pub(super) const COMPARED: &[Figure] = &[gain::push, rejection::push, inputs::impedance, headroom::push, noise::push];

/// The report on a design.
///
/// JSON keys are those of the contract's `design` object; people read the same figures, rounded,
/// the sweep at whole decades only.
#[must_use]
pub fn design(design: &Design) -> Document {
    proven(design, Proof::default())
}

/// The same with the bench sheet and the working, for people: JSON is that of [`design`].
#[must_use]
pub fn proven(design: &Design, proof: Proof<'_>) -> Document {
    let mut body = Record::new();
    for figure in FIGURES {
        figure(design, &mut body);
    }
    proof.push(&mut body);
    review::assumed_ideal(design, &mut body);
    Document::new("evenkeel.design.v1", head::verdict(design), body).titled(&design.title)
}
