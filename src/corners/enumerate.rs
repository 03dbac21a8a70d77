//! All corners, in blocks; a deviation is filled in anew only when one of its quantities has changed.
use super::boards::{Boards, Goal};
use crate::network::{LANES, Lane};

/// How many of the worst corners are kept for the search between the ends.
const KEPT: usize = 32;
/// The same for the extremes of the gain, whose corners hardly compete.
const KEPT_FOR_GAIN: usize = 4;

/// For each goal, its worst corners, worst first.
pub(super) fn corners<T: Lane>(boards: &mut Boards<'_, T>, goals: &[Goal]) -> Vec<Vec<Vec<f64>>> {
    let count = 1_usize << boards.quantities.len();
    let tables: Vec<Table<T>> = (0..boards.deviations.len()).map(|slot| Table::new(boards, slot)).collect();
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
                table.fill(first, deviation);
            }
        }
        previous = Some(first);
        boards.run();
        for lane in 0..LANES.min(count - first) {
            let (differential, common) = boards.gains(lane);
            for (goal, worst) in goals.iter().zip(&mut worst) {
                worst.offer(goal.score(differential, common), first + lane);
            }
        }
    }
    worst.into_iter().map(|worst| worst.corners.iter().map(|&(_, bits)| boards.corner(bits)).collect()).collect()
}

/// One deviation at every combination of the ends of the quantities that move it.
struct Table<T> {
    quantities: Vec<usize>,
    mask: usize,
    values: Vec<T>,
}

impl<T: Lane> Table<T> {
    fn new(boards: &Boards<'_, T>, slot: usize) -> Self {
        let mut quantities = boards.shaker.quantities_of(slot);
        quantities.sort_unstable();
        quantities.dedup();
        let values = (0..1_usize << quantities.len())
            .map(|combination| {
                boards.shaker.deviation(slot, |quantity| {
                    let place = quantities.iter().position(|&one| one == quantity).unwrap_or(0);
                    let ends = &boards.quantities[quantity];
                    if combination >> place & 1 == 1 { ends.high } else { ends.low }
                })
            })
            .collect();
        let mask = quantities.iter().fold(0, |mask, quantity| mask | 1 << quantity);
        Self { quantities, mask, values }
    }

    fn fill(&self, first: usize, deviation: &mut T::Block) {
        for lane in 0..LANES {
            let corner = first + lane;
            let combination = self
                .quantities
                .iter()
                .enumerate()
                .fold(0, |sum, (place, quantity)| sum | (corner >> quantity & 1) << place);
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
    fn offer(&mut self, score: f64, bits: usize) {
        let full = self.corners.len() == self.kept;
        if full && self.corners.last().is_some_and(|&(least, _)| score <= least) {
            return;
        }
        let place = self.corners.partition_point(|&(one, _)| one >= score);
        self.corners.insert(place, (score, bits));
        self.corners.truncate(self.kept);
    }
}
