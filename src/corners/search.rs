//! Between the ends, and where the corners are too many.
use super::boards::{Boards, Goal};
use crate::network::{LANES, Lane};
use num_complex::Complex64;

/// The best point of a search, and the best corner it started from.
#[derive(Clone, Debug)]
pub(super) struct Found {
    pub(super) best: f64,
    pub(super) corner: f64,
    pub(super) at: Vec<f64>,
}

/// Directions in the complex plane that sensitivities are projected on.
const DIRECTIONS: usize = 48;
/// Corners that are climbed from.
const CLIMBED: usize = 8;
/// Rounds of improvement; each must gain to be followed by another.
const ROUNDS: usize = 12;

/// What a search may still gain by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Moves {
    /// Single ends may be flipped: the starts are not the worst of all corners.
    pub(super) flips: bool,
    /// What enters several elements may be moved between its ends: at dc, where that decides whether a
    /// worst case is proven. At a frequency corners are told, and called so.
    pub(super) slides: bool,
}

/// From each start, moves until nothing gains.
pub(super) fn improve<T: Lane>(boards: &mut Boards<'_, T>, goal: Goal, starts: &[Vec<f64>], moves: Moves) -> Found {
    let shared: Vec<usize> =
        (0..boards.quantities.len()).filter(|&k| moves.slides && boards.quantities[k].effects.len() > 1).collect();
    let scores: Vec<f64> = score_all(boards, goal, starts);
    let mut found = Found { best: f64::NEG_INFINITY, corner: f64::NEG_INFINITY, at: Vec::new() };
    for (start, &score) in starts.iter().zip(&scores) {
        found.corner = found.corner.max(score);
        let (best, at) = if moves.flips || !shared.is_empty() {
            climb(boards, goal, start.clone(), score, &shared)
        } else {
            (score, start.clone())
        };
        if best > found.best {
            found.best = best;
            found.at = at;
        }
    }
    found
}

fn score_all<T: Lane>(boards: &mut Boards<'_, T>, goal: Goal, points: &[Vec<f64>]) -> Vec<f64> {
    boards.points(points).into_iter().map(|(d, c)| goal.score(d, c)).collect()
}

fn climb<T: Lane>(
    boards: &mut Boards<'_, T>,
    goal: Goal,
    mut at: Vec<f64>,
    mut best: f64,
    shared: &[usize],
) -> (f64, Vec<f64>) {
    for _ in 0..ROUNDS {
        let before = best;
        for &quantity in shared {
            slide(boards, goal, &mut at, &mut best, quantity);
        }
        let flips: Vec<Vec<f64>> = (0..at.len()).map(|quantity| flipped(boards, &at, quantity)).collect();
        for (flip, score) in flips.iter().zip(score_all(boards, goal, &flips)) {
            if score > best {
                best = score;
                at.clone_from(flip);
            }
        }
        if !(best > before) {
            break;
        }
    }
    (best, at)
}

fn flipped<T: Lane>(boards: &Boards<'_, T>, at: &[f64], quantity: usize) -> Vec<f64> {
    let ends = &boards.quantities[quantity];
    let mut flip = at.to_vec();
    flip[quantity] = if at[quantity] == ends.high { ends.low } else { ends.high };
    flip
}

/// Three grids, each inside the best interval of the one before.
fn slide<T: Lane>(boards: &mut Boards<'_, T>, goal: Goal, at: &mut Vec<f64>, best: &mut f64, quantity: usize) {
    let (mut low, mut high) = (boards.quantities[quantity].low, boards.quantities[quantity].high);
    for _ in 0..3 {
        let step = (high - low) / (LANES - 1) as f64;
        let grid: Vec<Vec<f64>> = (0..LANES)
            .map(|lane| {
                let mut point = at.clone();
                point[quantity] = if lane == LANES - 1 { high } else { low + step * lane as f64 };
                point
            })
            .collect();
        for (point, score) in grid.iter().zip(score_all(boards, goal, &grid)) {
            if score > *best {
                *best = score;
                at.clone_from(point);
            }
        }
        let ends = &boards.quantities[quantity];
        (low, high) = ((at[quantity] - step).max(ends.low), (at[quantity] + step).min(ends.high));
    }
}

/// Corners that the signs of the sensitivities point to. For a linear ratio the worst corner is a
/// vertex of a zonotope and one of the directions finds it; climbing mends the rest.
pub(super) fn likely_corners<T: Lane>(boards: &mut Boards<'_, T>, goal: Goal) -> Vec<Vec<f64>> {
    let middle: Vec<f64> = boards.quantities.iter().map(|q| (q.low + q.high) / 2.0).collect();
    let mut points = Vec::new();
    for (k, quantity) in boards.quantities.iter().enumerate() {
        for end in [quantity.low, quantity.high] {
            let mut point = middle.clone();
            point[k] = end;
            points.push(point);
        }
    }
    let ratios: Vec<Complex64> =
        boards.points(&points).into_iter().map(|(d, c)| goal.ratio(d, c).to_complex()).collect();
    let slopes: Vec<Complex64> = ratios.chunks_exact(2).map(|pair| pair[1] - pair[0]).collect();
    let mut corners: Vec<Vec<f64>> = Vec::new();
    for direction in 0..DIRECTIONS {
        let angle = std::f64::consts::TAU * direction as f64 / DIRECTIONS as f64;
        let (sine, cosine) = (libm::sin(angle), libm::cos(angle));
        let toward = |slope: &Complex64| slope.re * cosine + slope.im * sine >= 0.0;
        let corner: Vec<f64> = boards
            .quantities
            .iter()
            .zip(&slopes)
            .map(|(quantity, slope)| if toward(slope) { quantity.high } else { quantity.low })
            .collect();
        if !corners.contains(&corner) {
            corners.push(corner);
        }
    }
    let scores = score_all(boards, goal, &corners);
    let mut order: Vec<usize> = (0..corners.len()).collect();
    order.sort_by(|&a, &b| scores[b].total_cmp(&scores[a]).then(a.cmp(&b)));
    order.into_iter().take(CLIMBED).map(|index| corners[index].clone()).collect()
}
