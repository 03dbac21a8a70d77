//! Between the ends of what enters several elements.
use super::boards::{Boards, Goal};
use super::enumerate::Corner;
use super::points::Points;
use super::region::Region;
use crate::network::LANES;

/// The best point of a search, and the best corner it started from.
#[derive(Clone, Debug)]
pub(super) struct Found {
    pub(super) best: f64,
    pub(super) corner: f64,
    pub(super) at: Vec<f64>,
}

/// Rounds of improvement; each must gain to be followed by another.
pub(super) const ROUNDS: usize = 12;

/// Points of a first look along a line, its ends apart: fifteen even steps, and one beside each end.
const GLANCES: usize = 17;

/// How far beside, in parts of the line.
const BESIDE: f64 = 1.0 / 1024.0;

/// Where along a line the first look falls, in parts of it.
fn glances() -> impl Iterator<Item = f64> {
    (1..16).map(|step| f64::from(step) / 16.0).chain([BESIDE, 1.0 - BESIDE])
}

/// From each corner, moves what enters several elements between its ends until nothing gains.
pub(super) fn improve(boards: &mut Boards<'_, f64>, goal: Goal, region: &Region, corners: &[Corner]) -> Found {
    let shared = region.shared(boards);
    let mut found = Found { best: f64::NEG_INFINITY, corner: f64::NEG_INFINITY, at: Vec::new() };
    for corner in corners {
        found.corner = found.corner.max(corner.score);
        if corner.score > found.best {
            found.best = corner.score;
            found.at.clone_from(&corner.at);
        }
    }
    for corner in rising(boards, goal, &shared, corners) {
        let (best, at) = climb(boards, goal, corner, &shared, &region.free);
        if best > found.best {
            found.best = best;
            found.at = at;
        }
    }
    found
}

/// A gain below this share is rounding, or nothing that a digit shows.
const GAIN: f64 = 1e-9;

/// The corners from which some line gains somewhere. What peaks inside a line and near its end already rises
/// beside that end; a peak that hides before even that is lower than the square of so little.
fn rising<'c>(boards: &mut Boards<'_, f64>, goal: Goal, shared: &[usize], corners: &'c [Corner]) -> Vec<&'c Corner> {
    if shared.is_empty() {
        return Vec::new();
    }
    let mut points = Points::of(boards.quantities.len());
    for corner in corners {
        for &quantity in shared {
            let ends = &boards.quantities[quantity];
            for along in glances() {
                points.push(&corner.at)[quantity] = ends.low + (ends.high - ends.low) * along;
            }
        }
    }
    let scores = boards.score(&[goal], &points).concat();
    let lines = (shared.len() * GLANCES).max(1);
    let rises = |(corner, scores): &(&Corner, &[f64])| {
        scores.iter().any(|&score| score - corner.score > GAIN * corner.score.abs())
    };
    corners.iter().zip(scores.chunks(lines)).filter(rises).map(|(corner, _)| corner).collect()
}

fn climb(
    boards: &mut Boards<'_, f64>,
    goal: Goal,
    corner: &Corner,
    slides: &[usize],
    flips: &[usize],
) -> (f64, Vec<f64>) {
    let (mut best, mut at) = (corner.score, corner.at.clone());
    for _ in 0..ROUNDS {
        let before = best;
        for &quantity in slides {
            slide(boards, goal, &mut at, &mut best, quantity);
        }
        if !(best > before) {
            break;
        }
        // Away from the corner other ends may serve better.
        let mut others = Points::of(at.len());
        for &quantity in flips {
            let ends = &boards.quantities[quantity];
            let other = if at[quantity] == ends.high { ends.low } else { ends.high };
            others.push(&at)[quantity] = other;
        }
        for (index, score) in boards.score(&[goal], &others).concat().into_iter().enumerate() {
            if score > best {
                best = score;
                at = others.at(index).to_vec();
            }
        }
    }
    (best, at)
}

/// Three grids, each inside the best interval of the one before. Where two find nothing better than the end they
/// started from there is nothing: a peak beside the end would be lower than the square of the second's step, a
/// thousandth of the line.
fn slide(boards: &mut Boards<'_, f64>, goal: Goal, at: &mut [f64], best: &mut f64, quantity: usize) {
    let ends = (boards.quantities[quantity].low, boards.quantities[quantity].high);
    let (mut low, mut high) = ends;
    for round in 0..3 {
        let step = (high - low) / (LANES - 1) as f64;
        let mut grid = [0.0; LANES];
        for (lane, value) in grid.iter_mut().enumerate() {
            *value = if lane == LANES - 1 { high } else { low + step * lane as f64 };
        }
        let mut gained = false;
        for (&value, score) in grid.iter().zip(boards.along(goal, at, quantity, &grid)) {
            if score > *best {
                *best = score;
                at[quantity] = value;
                gained = true;
            }
        }
        if !gained && round > 0 && (at[quantity] == ends.0 || at[quantity] == ends.1) {
            return;
        }
        (low, high) = ((at[quantity] - step).max(ends.0), (at[quantity] + step).min(ends.1));
    }
}
