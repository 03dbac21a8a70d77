//! All corners of a region, in blocks; a deviation is filled in anew only when one of its quantities has
//! changed.
use super::boards::{Boards, Goal};
use super::region::Region;
use crate::network::{LANES, Lane};

/// How many of the worst corners are kept for the search between the ends.
const KEPT: usize = 32;
/// The same for the extremes of the gain, whose corners hardly compete.
const KEPT_FOR_GAIN: usize = 4;

/// A corner and what it comes to.
#[derive(Clone, Debug)]
pub(super) struct Corner {
    pub(super) score: f64,
    pub(super) at: Vec<f64>,
}

/// For each goal, its worst corners, worst first.
pub(super) fn corners<T: Lane>(boards: &mut Boards<'_, T>, region: &Region, goals: &[Goal]) -> Vec<Vec<Corner>> {
    let count = region.corners();
    let tables: Vec<Table<T>> = (0..boards.deviations.len()).map(|slot| Table::new(boards, region, slot)).collect();
    let mut worst: Vec<Worst> = goals
        .iter()
        .map(|goal| match goal {
            Goal::Rejection | Goal::Common => Worst { kept: KEPT, corners: Vec::new() },
            Goal::High | Goal::Low => Worst { kept: KEPT_FOR_GAIN, corners: Vec::new() },
        })
        .collect();
    let mut previous = None;
    for first in (0..count).step_by(LANES) {
        let changed = previous.map_or(usize::MAX, |before: usize| before ^ first);
        for (table, deviation) in tables.iter().zip(&mut boards.deviations) {
            if previous.is_none() || changed & table.mask != 0 {
                table.fill(first, &mut deviation.0);
            }
        }
        previous = Some(first);
        boards.run();
        for (&goal, worst) in goals.iter().zip(&mut worst) {
            let scores = boards.scores(goal);
            let scores = &scores[..LANES.min(count - first)];
            let most = scores.iter().fold(f64::NEG_INFINITY, |most, &score| if score > most { score } else { most });
            if most > worst.least() {
                for (lane, &score) in scores.iter().enumerate() {
                    worst.offer(score, first + lane);
                }
            }
        }
    }
    let corner = |&(score, bits): &(f64, usize)| Corner { score, at: boards.corner(region, bits) };
    worst.iter().map(|worst| worst.corners.iter().map(corner).collect()).collect()
}

/// What regions without a free quantity come to, each for its goal: a lane each.
pub(super) fn decided<T: Lane>(boards: &mut Boards<'_, T>, regions: &[(Goal, &Region)]) -> Vec<Corner> {
    let mut corners = Vec::with_capacity(regions.len());
    for block in regions.chunks(LANES) {
        for slot in 0..boards.deviations.len() {
            let of = |region: &Region| boards.shaker.deviation::<T>(slot, |quantity| region.at[quantity]);
            // lanes that are left over repeat the first region
            let mut deviation = of(block[0].1).splat();
            for (lane, (_, region)) in block.iter().enumerate().skip(1) {
                T::set(&mut deviation, lane, of(region));
            }
            boards.deviations[slot].0 = deviation;
        }
        boards.run();
        for (lane, (goal, region)) in block.iter().enumerate() {
            corners.push(Corner { score: boards.scores(*goal)[lane], at: region.at.clone() });
        }
    }
    corners
}

/// One deviation at every combination of the ends of the free quantities that move it.
struct Table<T> {
    /// Places in the region's list.
    places: Vec<usize>,
    mask: usize,
    values: Vec<T>,
}

impl<T: Lane> Table<T> {
    fn new(boards: &Boards<'_, T>, region: &Region, slot: usize) -> Self {
        let moved_by = boards.shaker.quantities_of(slot);
        let places: Vec<usize> =
            (0..region.free.len()).filter(|&place| moved_by.contains(&region.free[place])).collect();
        let values = (0..1_usize << places.len())
            .map(|combination| {
                boards.shaker.deviation(slot, |quantity| {
                    match places.iter().position(|&place| region.free[place] == quantity) {
                        None => region.at[quantity],
                        Some(bit) if combination >> bit & 1 == 1 => boards.quantities[quantity].high,
                        Some(_) => boards.quantities[quantity].low,
                    }
                })
            })
            .collect();
        let mask = places.iter().fold(0, |mask, place| mask | 1 << place);
        Self { places, mask, values }
    }

    fn fill(&self, first: usize, deviation: &mut T::Block) {
        for lane in 0..LANES {
            let corner = first + lane;
            let combination =
                self.places.iter().enumerate().fold(0, |sum, (bit, place)| sum | (corner >> place & 1) << bit);
            T::set(deviation, lane, self.values[combination]);
        }
    }
}

/// The worst corners so far, worst first; of equals the earlier.
struct Worst {
    kept: usize,
    corners: Vec<(f64, usize)>,
}

impl Worst {
    /// What a corner must exceed to be kept.
    fn least(&self) -> f64 {
        if self.corners.len() < self.kept { f64::NEG_INFINITY } else { self.corners[self.kept - 1].0 }
    }

    fn offer(&mut self, score: f64, bits: usize) {
        if !(score > self.least()) {
            return;
        }
        let place = self.corners.partition_point(|&(one, _)| one >= score);
        self.corners.insert(place, (score, bits));
        self.corners.truncate(self.kept);
    }
}
