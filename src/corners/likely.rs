//! Where the corners are too many to look at all: those the sensitivities point to, and from there flip by flip.
use super::boards::{Boards, Goal};
use super::points::Points;
use super::region::Region;
use super::search::{Found, ROUNDS};
use crate::network::{Lane, Scalar};
use num_complex::Complex64;

/// A second corner is climbed from when, by the sensitivities, it comes this near to the best.
const NEAR: f64 = 0.8;

/// The greatest value found of each goal, corners only.
pub(super) fn greatest<T: Lane>(boards: &mut Boards<'_, T>, goals: &[Goal], region: &Region) -> Vec<Found> {
    let mut climbs = starts(boards, goals, region);
    for _ in 0..ROUNDS {
        let mut points = Points::of(boards.quantities.len());
        for climb in climbs.iter_mut().filter(|climb| climb.gains) {
            climb.first = points.len();
            climb.propose(boards, region, &mut points);
        }
        if points.len() == 0 {
            break;
        }
        let scores = boards.score(goals, &points);
        for climb in climbs.iter_mut().filter(|climb| climb.gains) {
            climb.choose(&points, &scores[climb.goal], region.free.len());
        }
    }
    let best = |goal: usize| {
        let none = Found { best: f64::NEG_INFINITY, corner: f64::NEG_INFINITY, at: region.at.clone() };
        climbs.iter().filter(|climb| climb.goal == goal).fold(none, |found, climb| {
            if climb.best > found.best {
                Found { best: climb.best, corner: climb.best, at: climb.at.clone() }
            } else {
                found
            }
        })
    };
    (0..goals.len()).map(best).collect()
}

/// One way up.
struct Climb {
    goal: usize,
    at: Vec<f64>,
    best: f64,
    gains: bool,
    /// Flips that gained by themselves in the last round: together they are a candidate of the next.
    together: Option<Vec<f64>>,
    /// Where its points begin, and how many there are.
    first: usize,
    count: usize,
}

impl Climb {
    /// Where it stands (until it has been there once), every single flip, and those that gained together.
    fn propose<T: Lane>(&mut self, boards: &Boards<'_, T>, region: &Region, points: &mut Points) {
        points.push(&self.at);
        for &quantity in &region.free {
            let ends = &boards.quantities[quantity];
            let other = if self.at[quantity] == ends.high { ends.low } else { ends.high };
            points.push(&self.at)[quantity] = other;
        }
        if let Some(together) = self.together.take() {
            points.push(&together);
        }
        self.count = points.len() - self.first;
    }

    fn choose(&mut self, points: &Points, scores: &[f64], flips: usize) {
        let scores = &scores[self.first..self.first + self.count];
        let here = scores[0];
        let (mut best, mut place) = (here, 0);
        let mut together = self.at.clone();
        let mut gaining = 0;
        for (index, &score) in scores.iter().enumerate().skip(1) {
            if score > best {
                (best, place) = (score, index);
            }
            if score > here && index <= flips {
                gaining += 1;
                for (to, (&flip, &at)) in together.iter_mut().zip(points.at(self.first + index).iter().zip(&self.at)) {
                    if flip != at {
                        *to = flip;
                    }
                }
            }
        }
        self.gains = place > 0;
        self.best = best;
        self.at = points.at(self.first + place).to_vec();
        self.together = (gaining > 1).then_some(together);
    }
}

/// The corner that is greatest by the sensitivities in the middle of the region and, where it comes near,
/// the greatest on the other side.
fn starts<T: Lane>(boards: &mut Boards<'_, T>, goals: &[Goal], region: &Region) -> Vec<Climb> {
    let mut middle = region.at.clone();
    for &k in &region.free {
        middle[k] = (boards.quantities[k].low + boards.quantities[k].high) / 2.0;
    }
    let mut points = Points::of(middle.len());
    points.push(&middle);
    for &k in &region.free {
        for end in [boards.quantities[k].low, boards.quantities[k].high] {
            points.push(&middle)[k] = end;
        }
    }
    let gains = boards.gains(&points);
    let mut climbs = Vec::new();
    for (place, goal) in goals.iter().enumerate() {
        let values: Vec<Complex64> = gains.iter().map(|&(d, c)| goal.ratio(d, c).to_complex()).collect();
        let slopes: Vec<Complex64> = values[1..].chunks_exact(2).map(|pair| (pair[1] - pair[0]).scale(0.5)).collect();
        let corners = vertices(values[0], &slopes, goal.side());
        let reach = corners.first().map_or(0.0, |corner| corner.reach);
        for corner in corners.iter().take_while(|corner| corner.reach >= NEAR * reach) {
            let mut at = middle.clone();
            for (&k, &up) in region.free.iter().zip(&corner.up) {
                at[k] = if up { boards.quantities[k].high } else { boards.quantities[k].low };
            }
            let best = f64::NEG_INFINITY;
            climbs.push(Climb { goal: place, at, best, gains: true, together: None, first: 0, count: 0 });
        }
    }
    climbs
}

struct Vertex {
    reach: f64,
    up: Vec<bool>,
}

/// The vertex of `middle + Σ ± slope` that lies farthest out, and the farthest on the other side of 0 from
/// it: the sums make a zonotope, whose vertices are those where a turning direction changes one sign at a
/// time. For a goal that is no modulus, the one vertex farthest to the right (or left).
fn vertices(middle: Complex64, slopes: &[Complex64], side: Option<f64>) -> Vec<Vertex> {
    let vertex = |direction: Complex64| {
        let mut sum = middle;
        let mut up = Vec::with_capacity(slopes.len());
        for &slope in slopes {
            let along = slope.re * direction.re + slope.im * direction.im >= 0.0;
            up.push(along);
            sum += if along { slope } else { -slope };
        }
        (sum, Vertex { reach: sum.modulus(), up })
    };
    if let Some(side) = side {
        return vec![vertex(Complex64::new(side, 0.0)).1];
    }
    // Between two neighbouring directions at which a slope lies across, no sign changes.
    let mut turns: Vec<f64> = slopes
        .iter()
        .filter(|slope| slope.modulus() > 0.0)
        .map(|slope| libm::atan2(slope.re, -slope.im))
        .flat_map(|angle| {
            [angle, if angle > 0.0 { angle - std::f64::consts::PI } else { angle + std::f64::consts::PI }]
        })
        .collect();
    turns.sort_by(f64::total_cmp);
    let mut all: Vec<(Complex64, Vertex)> = Vec::with_capacity(turns.len() + 2);
    for (index, &turn) in turns.iter().enumerate() {
        let next = turns.get(index + 1).copied().unwrap_or_else(|| turns[0] + std::f64::consts::TAU);
        let angle = (turn + next) / 2.0;
        all.push(vertex(Complex64::new(libm::cos(angle), libm::sin(angle))));
    }
    if all.is_empty() {
        all.push(vertex(Complex64::new(1.0, 0.0)));
    }
    let farthest = |all: &[(Complex64, Vertex)], on: &dyn Fn(Complex64) -> bool| {
        let mut best: Option<usize> = None;
        for (index, (sum, vertex)) in all.iter().enumerate() {
            if on(*sum) && best.is_none_or(|best| vertex.reach > all[best].1.reach) {
                best = Some(index);
            }
        }
        best
    };
    let first = farthest(&all, &|_| true);
    let out = first.map_or(Complex64::new(0.0, 0.0), |index| all[index].0);
    let second = farthest(&all, &|sum| sum.re * out.re + sum.im * out.im < 0.0);
    let mut chosen: Vec<usize> = first.into_iter().chain(second).collect();
    chosen.sort_unstable_by(|a, b| b.cmp(a));
    let mut taken: Vec<Vertex> = chosen.into_iter().map(|index| all.swap_remove(index).1).collect();
    taken.sort_by(|a, b| b.reach.total_cmp(&a.reach));
    taken
}
