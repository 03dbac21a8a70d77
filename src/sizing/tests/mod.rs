//! Choices against published tables, against plain loops over everything, and laws they must keep.
mod brute_force;
mod filling;
mod joint;
mod keeping_laws;
mod shortfalls;
mod tables;

use super::{Side, Sizing, Stock, Wanted, gain_set};
use crate::designator::Topology;
use crate::series::Series;

fn series(series: Series) -> Stock {
    Stock::new(series.ohms(super::LEAST_OHM, super::GREATEST_OHM)).unwrap()
}

fn wanted(topology: Topology, gain: f64, stock: Stock) -> Wanted {
    Wanted {
        topology,
        gain,
        feedback_ohm: None,
        stock,
        tolerance: 0.01,
        pairs: false,
        side: Side::Nearest,
        chip: None,
        stage_two_gain: 1.0,
    }
}

fn sized(wanted: &Wanted) -> Sizing {
    gain_set(wanted).unwrap()
}
