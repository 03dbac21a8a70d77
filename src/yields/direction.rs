//! The ways in which a limit can be missed, as straight lines through the box.
use super::batch::{DrawnLimit, Problem};
use super::slopes::{Slope, Slopes, of_margins};
use super::variable::Variables;
use crate::network::{Instructions, NetworkFault};
use num_complex::Complex64;

/// To first order a board fails where `start + Σ slope·drawn` exceeds `limit`.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Direction {
    pub(super) start: f64,
    pub(super) slopes: Vec<f64>,
    pub(super) limit: f64,
}

/// Directions in the plane in which a complex ratio is followed.
const TURNS: usize = 12;

/// Every way to miss one limit: both signs, all round for a complex ratio, every terminal's two sides.
pub(super) fn directions(
    problem: &Problem<'_>,
    limit: DrawnLimit,
    slopes: &Slopes,
    variables: &Variables,
    set: Instructions,
) -> Result<Vec<Direction>, NetworkFault> {
    let bounds = &problem.bounds;
    Ok(match limit {
        DrawnLimit::GainError => {
            let Some(most) = bounds.gain_error else { return Ok(Vec::new()) };
            let scale = 1.0 / problem.target_gain;
            let middle = slopes.differential.middle * scale - 1.0;
            both(middle, &slopes.differential.by.iter().map(|by| by * scale).collect::<Vec<_>>(), most)
        }
        DrawnLimit::Rejection => {
            let Some(least) = bounds.rejection else { return Ok(Vec::new()) };
            both(slopes.ratio.middle, &slopes.ratio.by, 1.0 / least)
        }
        DrawnLimit::RejectionAtInterference => match (&slopes.at_interference, bounds.at_interference) {
            (Some(slope), Some((_, least))) => all_round(slope, 1.0 / least),
            _ => Vec::new(),
        },
        DrawnLimit::Headroom => {
            let Some(headroom) = &bounds.headroom else { return Ok(Vec::new()) };
            of_margins(problem, headroom, variables, set)?
                .into_iter()
                .filter(|slope| slope.middle.is_finite())
                .map(|slope| Direction {
                    start: -slope.middle,
                    slopes: slope.by.iter().map(|by| -by).collect(),
                    limit: -headroom.least_v,
                })
                .collect()
        }
    })
}

fn both(middle: f64, by: &[f64], limit: f64) -> Vec<Direction> {
    [1.0, -1.0]
        .into_iter()
        .map(|sign| Direction { start: sign * middle, slopes: by.iter().map(|by| sign * by).collect(), limit })
        .collect()
}

fn all_round(slope: &Slope<Complex64>, limit: f64) -> Vec<Direction> {
    (0..TURNS)
        .map(|turn| {
            let angle = std::f64::consts::TAU * turn as f64 / TURNS as f64;
            let (sine, cosine) = (libm::sin(angle), libm::cos(angle));
            let along = |z: &Complex64| z.re * cosine + z.im * sine;
            Direction { start: along(&slope.middle), slopes: slope.by.iter().map(along).collect(), limit }
        })
        .collect()
}
