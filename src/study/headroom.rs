//! Headroom, composed: the rectangle, the corners, the window and the gain that still fits.
use super::conditions::Conditions;
use super::headroom_notes::notes;
use super::largest_gain::{LargestGain, largest_gain};
use super::{Question, Told};
use crate::corners::{of_resistors, worst_margin};
use crate::designator::{Designator, Topology};
use crate::predict::{HeadroomPoint, Rectangle, WindowVertex, terminals, window};
use crate::stage::{Lot, Stage};
use crate::topology::{BuildFault, build};

/// Headroom, figures.md section 7; V.
#[derive(Clone, Debug, PartialEq)]
pub struct HeadroomFigure {
    /// True when every point stays inside its limits at nominal resistors.
    pub fits: bool,
    /// Least distance of any point from its limits; negative where it does not fit.
    pub margin_v: f64,
    /// The point that has it, as `A1 output`.
    pub limiting: String,
    /// The least over the corners of the resistors.
    pub worst_margin_v: f64,
    /// Every op amp's output and inputs.
    pub points: Vec<HeadroomPoint>,
    /// The signals as they are: with their dc offset, and the pick-up on both sides.
    pub signals: Rectangle,
    /// The signals that fit.
    pub window: Vec<WindowVertex>,
    /// The greatest gain that fits.
    pub largest_gain: LargestGain,
}

/// Headroom of `stage`, at the given reference voltage, with the resistors of `lot`.
///
/// Needs `supply`, `signal.differential` and `signal.common_mode`.
///
/// # Errors
/// [`BuildFault`] when the circuit has no solution.
pub fn figure(
    question: &Question,
    stage: &Stage,
    lot: &Lot,
    reference_v: f64,
) -> Result<Told<HeadroomFigure>, BuildFault> {
    let conditions = match Conditions::of(question, reference_v) {
        Ok(conditions) => conditions,
        Err(needs) => return Ok(Told::missing("headroom", &needs)),
    };
    let points = conditions.points(stage)?;
    let over: Vec<HeadroomPoint> = points.iter().map(|point| point.over(&conditions.load.signals)).collect();
    let Some(limiting) = over.iter().min_by(|a, b| a.margin_v.total_cmp(&b.margin_v)).cloned() else {
        return Ok(Told::missing("headroom", &["opamp"]));
    };
    let figure = HeadroomFigure {
        fits: limiting.margin_v >= 0.0,
        margin_v: limiting.margin_v,
        worst_margin_v: worst(stage, lot, &conditions)?.min(limiting.margin_v),
        limiting: limiting.name,
        points: over,
        signals: conditions.load.signals,
        window: window(&points, conditions.supplies.widened(&conditions.load.signals)),
        largest_gain: largest_gain(&stage.circuit, &conditions)?,
    };
    let warnings = notes(&figure, stage, &conditions)?;
    Ok(Told { warnings, ..Told::figure(figure) })
}

/// The nominal margin alone, V: what a table of many circuits shows. `None` where inputs are missing.
///
/// # Errors
/// [`BuildFault`] when the circuit has no solution.
pub fn margin(question: &Question, stage: &Stage, reference_v: f64) -> Result<Option<f64>, BuildFault> {
    let Ok(conditions) = Conditions::of(question, reference_v) else { return Ok(None) };
    let margins = conditions.points(stage)?.into_iter().map(|point| point.over(&conditions.load.signals).margin_v);
    Ok(margins.min_by(f64::total_cmp))
}

/// The least margin over the corners of the resistors, V; `None` where inputs are missing.
///
/// # Errors
/// [`BuildFault`] when the circuit has no solution.
pub(super) fn worst_margin_of(
    question: &Question,
    stage: &Stage,
    lot: &Lot,
    reference_v: f64,
) -> Result<Option<f64>, BuildFault> {
    let Ok(conditions) = Conditions::of(question, reference_v) else { return Ok(None) };
    worst(stage, lot, &conditions).map(Some)
}

/// The least margin over the corners of the resistors.
fn worst(stage: &Stage, lot: &Lot, conditions: &Conditions) -> Result<f64, BuildFault> {
    if stage.circuit.topology == Topology::SingleChip {
        return worst_of_chip(stage, lot, conditions);
    }
    let quantities = of_resistors(stage, &stage.quantities(lot, 0.0));
    let terminals = terminals(stage, conditions.supplies);
    Ok(worst_margin(stage, &quantities, &terminals, conditions.load)?.margin_v)
}

/// A chip has one resistor, and inner nodes that are no part of the network.
fn worst_of_chip(stage: &Stage, lot: &Lot, conditions: &Conditions) -> Result<f64, BuildFault> {
    let mut least = f64::INFINITY;
    let bound = lot.grades.get(&Designator::RG).map_or(0.0, |grade| grade.bound(lot.reach_k));
    for deviation in [-bound, bound] {
        let mut circuit = stage.circuit.clone();
        circuit.ohms.set(Designator::RG, circuit.ohms.get(Designator::RG).map(|ohm| ohm * (1.0 + deviation)));
        let points = conditions.points(&build(&circuit)?)?;
        let margins = points.iter().map(|point| point.over(&conditions.load.signals).margin_v);
        least = margins.fold(least, f64::min);
    }
    Ok(least)
}
