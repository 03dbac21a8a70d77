//! The spec's limits held against the figures.
use super::{Design, LimitLine, Limits};
use crate::limits::{Sense, hold};
use crate::quantity::Unit;

/// What a figure is for a limit: a value (`None` inside: unbounded), or not predicted.
type Predicted = Option<Option<f64>>;

/// One line for each limit that is set, in the order of the contract.
pub(super) fn lines(limits: &Limits, design: &Design) -> Vec<LimitLine> {
    let gain = design.gain.error_low.abs().max(design.gain.error_high.abs());
    let at_interference = design.rejection.at_interference.as_ref().map(|at| at.worst_db);
    let headroom = design.headroom.as_ref().map(|figure| Some(figure.margin_v));
    let impedance = design.impedance.map(|figure| figure.differential_ohm);
    let noise = design.noise.as_ref().and_then(|figure| figure.rms_v.map(Some));
    let bandwidth = design.bandwidth.as_ref().map(|figure| figure.small_signal_hz);
    let offset = design.offset.as_ref().map(|figure| Some(figure.rti_worst_v));
    // A sum that lacks a line is no bound.
    let whole = !design.not_predicted.iter().any(|lack| lack.figure.starts_with("budget."));
    let total = design.budget.as_ref().filter(|_| whole).map(|figure| Some(figure.sum_ppm / 1e6));
    let later: Predicted = None;
    let rows: [(&'static str, Option<f64>, Unit, Sense, Predicted); 10] = [
        ("gain_error", limits.gain_error, Unit::Fraction, Sense::AtMost, Some(Some(gain))),
        ("rejection", limits.rejection_db, Unit::Decibel, Sense::AtLeast, Some(design.rejection.worst_db)),
        (
            "rejection_at_interference",
            limits.rejection_at_interference_db,
            Unit::Decibel,
            Sense::AtLeast,
            at_interference,
        ),
        ("headroom", limits.headroom_v, Unit::Volt, Sense::AtLeast, headroom),
        ("offset", limits.offset_v, Unit::Volt, Sense::AtMost, offset),
        ("noise", limits.noise_v, Unit::Volt, Sense::AtMost, noise),
        ("bandwidth", limits.bandwidth_hz, Unit::Hertz, Sense::AtLeast, bandwidth),
        ("differential_impedance", limits.differential_impedance_ohm, Unit::Ohm, Sense::AtLeast, impedance),
        ("total_error", limits.total_error, Unit::Fraction, Sense::AtMost, total),
        ("yield", limits.yield_fraction, Unit::Fraction, Sense::AtLeast, later),
    ];
    rows.into_iter()
        .filter_map(|(limit, required, unit, sense, predicted)| Some(line(limit, required?, unit, sense, predicted)))
        .collect()
}

pub(super) fn line(limit: &'static str, required: f64, unit: Unit, sense: Sense, predicted: Predicted) -> LimitLine {
    let verdict = predicted.map(|value| hold(required, value, sense));
    LimitLine {
        limit,
        unit,
        required,
        predicted: predicted.flatten(),
        margin: verdict.and_then(|verdict| verdict.margin),
        met: verdict.map(|verdict| verdict.met),
        would_meet: Vec::new(),
    }
}
