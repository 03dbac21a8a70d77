use super::{Bounds, Edge, Key, Kind};
use crate::quantity::Unit::{Fraction, Hertz, Ohm, Volt};

const UP_TO_ONE: Bounds = Bounds { least: Edge::Open(0.0), greatest: Edge::Closed(1.0) };

/// `[limits]`.
pub(super) const LIMITS: &[Key] = &[
    Key::new("gain_error", Kind::Quantity(Fraction), "Greatest gain error, of either sign, over all corners.")
        .within(Bounds::POSITIVE)
        .sample(r#""2 %""#)
        .active(),
    Key::new("rejection", Kind::Decibels, "Least worst-case rejection, dc.")
        .within(Bounds::POSITIVE)
        .sample(r#""70 dB""#)
        .active(),
    Key::new("rejection_at_interference", Kind::Decibels, "Least worst-case rejection at the interference frequency.")
        .within(Bounds::POSITIVE)
        .sample(r#""65 dB""#),
    Key::new("headroom", Kind::Quantity(Volt), "Least distance of every node from its limits.")
        .within(Bounds::FROM_ZERO)
        .sample(r#""0.1 V""#)
        .active(),
    Key::new("offset", Kind::Quantity(Volt), "Greatest offset referred to the input, worst case, without drift.")
        .within(Bounds::POSITIVE)
        .sample(r#""150 µV""#),
    Key::new("noise", Kind::Quantity(Volt), "Greatest noise referred to the input, rms.")
        .within(Bounds::POSITIVE)
        .sample(r#""2 µV""#),
    Key::new("bandwidth", Kind::Quantity(Hertz), "Least small-signal bandwidth.")
        .within(Bounds::POSITIVE)
        .sample(r#""200 Hz""#),
    Key::new("differential_impedance", Kind::Quantity(Ohm), "Least differential input impedance.")
        .within(Bounds::POSITIVE)
        .sample(r#""1 MΩ""#),
    Key::new("total_error", Kind::Quantity(Fraction), "Greatest sum of the error budget, of full scale.")
        .within(Bounds::POSITIVE)
        .sample(r#""2 %""#),
    Key::new("yield", Kind::Quantity(Fraction), "Least lower bound of the yield.")
        .within(UP_TO_ONE)
        .sample(r#""99.7 %""#),
];
