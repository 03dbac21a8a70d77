//! The spec's limits held against the figures.
use super::{Design, LimitLine, Limits};
use crate::limits::{Sense, hold};
use crate::quantity::Unit;

/// What a figure is for a limit: a value (`None` inside: unbounded), or not predicted.
type Predicted = Option<Option<f64>>;

/// A limit: its key, what is required and predicted, in which unit, on which side.
type Row = (&'static str, (Option<f64>, Predicted), Unit, Sense);

/// What the limits are held against.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Predictions {
    pub(super) gain_error: Predicted,
    pub(super) rejection_db: Predicted,
    pub(super) rejection_at_interference_db: Predicted,
    pub(super) headroom_v: Predicted,
    pub(super) offset_v: Predicted,
    pub(super) noise_v: Predicted,
    pub(super) bandwidth_hz: Predicted,
    pub(super) differential_impedance_ohm: Predicted,
    pub(super) total_error: Predicted,
    pub(super) yield_fraction: Predicted,
}

impl Predictions {
    pub(super) fn of(design: &Design) -> Self {
        // A sum that lacks a line is no bound.
        let whole = !design.not_predicted.iter().any(|lack| lack.figure.starts_with("budget."));
        Self {
            gain_error: Some(Some(design.gain.error_low.abs().max(design.gain.error_high.abs()))),
            rejection_db: Some(design.rejection.worst_db),
            rejection_at_interference_db: design.rejection.at_interference.as_ref().map(|at| at.worst_db),
            headroom_v: design.headroom.as_ref().map(|figure| Some(figure.margin_v)),
            offset_v: design.offset.as_ref().map(|figure| Some(figure.rti_worst_v)),
            total_error: design.budget.as_ref().filter(|_| whole).map(|figure| Some(figure.sum_ppm / 1e6)),
            noise_v: design.noise.as_ref().and_then(|figure| figure.rms_v.map(Some)),
            bandwidth_hz: design.bandwidth.as_ref().map(|figure| figure.small_signal_hz),
            differential_impedance_ohm: design.impedance.map(|figure| figure.differential_ohm),
            yield_fraction: design.yields.as_ref().map(|figure| Some(figure.low)),
        }
    }
}

/// One line for each limit that is set, in the order of the contract.
pub(super) fn lines(limits: &Limits, predicted: &Predictions) -> Vec<LimitLine> {
    use Sense::{AtLeast, AtMost};
    use Unit::{Decibel, Fraction, Hertz, Ohm, Volt};
    let p = predicted;
    let at_interference = (limits.rejection_at_interference_db, p.rejection_at_interference_db);
    let impedance = (limits.differential_impedance_ohm, p.differential_impedance_ohm);
    let rows: [Row; 10] = [
        ("gain_error", (limits.gain_error, p.gain_error), Fraction, AtMost),
        ("rejection", (limits.rejection_db, p.rejection_db), Decibel, AtLeast),
        ("rejection_at_interference", at_interference, Decibel, AtLeast),
        ("headroom", (limits.headroom_v, p.headroom_v), Volt, AtLeast),
        ("offset", (limits.offset_v, p.offset_v), Volt, AtMost),
        ("noise", (limits.noise_v, p.noise_v), Volt, AtMost),
        ("bandwidth", (limits.bandwidth_hz, p.bandwidth_hz), Hertz, AtLeast),
        ("differential_impedance", impedance, Ohm, AtLeast),
        ("total_error", (limits.total_error, p.total_error), Fraction, AtMost),
        ("yield", (limits.yield_fraction, p.yield_fraction), Fraction, AtLeast),
    ];
    rows.into_iter()
        .filter_map(|(limit, (required, predicted), unit, sense)| Some(line(limit, required?, unit, sense, predicted)))
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
