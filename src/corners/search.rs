//! Between the ends, and where the corners are too many.
use super::boards::{Boards, Goal};
use super::region::Region;
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

/// From each start in the region, moves until nothing gains.
pub(super) fn improve<T: Lane>(
    boards: &mut Boards<'_, T>,
    goal: Goal,
    region: &Region,
    starts: &[Vec<f64>],
    moves: Moves,
) -> Found {
    let shared = if moves.slides { region.shared(boards) } else { Vec::new() };
    let scores = boards.score(goal, starts);
    let mut found = Found { best: f64::NEG_INFINITY, corner: f64::NEG_INFINITY, at: Vec::new() };
    for (start, &score) in starts.iter().zip(&scores) {
        found.corner = found.corner.max(score);
        let (best, at) = climb(boards, goal, start, score, (&shared, if moves.flips { &region.free } else { &[] }));
        if best > found.best {
            found.best = best;
            found.at = at;
        }
    }
    found
}

fn climb<T: Lane>(
    boards: &mut Boards<'_, T>,
    goal: Goal,
    start: &[f64],
    score: f64,
    (slides, flips): (&[usize], &[usize]),
) -> (f64, Vec<f64>) {
    let (mut best, mut at) = (score, start.to_vec());
    for _ in 0..ROUNDS {
        let before = best;
        for &quantity in slides {
            slide(boards, goal, &mut at, &mut best, quantity);
        }
        let others: Vec<Vec<f64>> = flips.iter().map(|&quantity| flipped(boards, &at, quantity)).collect();
        for (other, score) in others.iter().zip(boards.score(goal, &others)) {
            if score > best {
                best = score;
                at.clone_from(other);
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

/// Three grids, each inside the best interval of the one before. Where the first finds nothing better than
/// the end it started from there is nothing: a peak beside the end would be lower than a grid step squared.
fn slide<T: Lane>(boards: &mut Boards<'_, T>, goal: Goal, at: &mut [f64], best: &mut f64, quantity: usize) {
    let ends = (boards.quantities[quantity].low, boards.quantities[quantity].high);
    let (mut low, mut high) = ends;
    for _ in 0..3 {
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
        if !gained && (at[quantity] == ends.0 || at[quantity] == ends.1) {
            return;
        }
        (low, high) = ((at[quantity] - step).max(ends.0), (at[quantity] + step).min(ends.1));
    }
}

/// Corners that the signs of the sensitivities point to. For a linear ratio the worst corner is a
/// vertex of a zonotope and one of the directions finds it; climbing mends the rest.
pub(super) fn likely_corners<T: Lane>(boards: &mut Boards<'_, T>, goal: Goal, region: &Region) -> Vec<Vec<f64>> {
    let mut middle = region.at.clone();
    for &k in &region.free {
        middle[k] = (boards.quantities[k].low + boards.quantities[k].high) / 2.0;
    }
    let mut points = Vec::new();
    for &k in &region.free {
        for end in [boards.quantities[k].low, boards.quantities[k].high] {
            let mut point = middle.clone();
            point[k] = end;
            points.push(point);
        }
    }
    let ratios: Vec<Complex64> =
        boards.gains(&points).into_iter().map(|(d, c)| goal.ratio(d, c).to_complex()).collect();
    let slopes: Vec<Complex64> = ratios.chunks_exact(2).map(|pair| pair[1] - pair[0]).collect();
    let mut corners: Vec<Vec<f64>> = Vec::new();
    for direction in 0..DIRECTIONS {
        let angle = std::f64::consts::TAU * direction as f64 / DIRECTIONS as f64;
        let (sine, cosine) = (libm::sin(angle), libm::cos(angle));
        let mut corner = middle.clone();
        for (&k, slope) in region.free.iter().zip(&slopes) {
            let ends = &boards.quantities[k];
            corner[k] = if slope.re * cosine + slope.im * sine >= 0.0 { ends.high } else { ends.low };
        }
        if !corners.contains(&corner) {
            corners.push(corner);
        }
    }
    let scores = boards.score(goal, &corners);
    let mut order: Vec<usize> = (0..corners.len()).collect();
    order.sort_by(|&a, &b| scores[b].total_cmp(&scores[a]).then(a.cmp(&b)));
    order.into_iter().take(CLIMBED).map(|index| corners[index].clone()).collect()
}
