//! Boards evaluated a block at a time, and the figures they are compared by.
use super::points::Points;
use super::region::Region;
use crate::network::{Aligned, Instructions, LANES, Lane, NetworkFault, Plan, Workspace};
use crate::stage::{Quantity, Shaker, Stage};

/// What is driven to its greatest value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Goal {
    /// `|A_cm|²/|A_d|²`
    Rejection,
    /// `|A_cm|²`
    Common,
    /// `A_d`
    High,
    /// `-A_d`
    Low,
}

impl Goal {
    fn scores<T: Lane>(self, differential: &T::Block, common: &T::Block) -> [f64; LANES] {
        let mut scores = match self {
            Self::Rejection => {
                let (mut scores, below) = (T::squares(common), T::squares(differential));
                for (score, below) in scores.iter_mut().zip(&below) {
                    *score /= below;
                }
                scores
            }
            Self::Common => T::squares(common),
            Self::High => *T::reals(differential),
            Self::Low => T::reals(differential).map(|gain| -gain),
        };
        for score in &mut scores {
            // A board without a gain has no rejection either.
            *score = if score.is_nan() { f64::INFINITY } else { *score };
        }
        scores
    }

    /// On which side of a real function the goal lies; `None` for a modulus.
    pub(super) const fn side(self) -> Option<f64> {
        match self {
            Self::Rejection | Self::Common => None,
            Self::High => Some(1.0),
            Self::Low => Some(-1.0),
        }
    }

    /// The quantity whose linear part the sensitivities show.
    pub(super) fn ratio<T: Lane>(self, differential: T, common: T) -> T {
        match self {
            Self::Rejection => common * differential.recip(),
            Self::Common => common,
            Self::High | Self::Low => differential,
        }
    }
}

/// A stage whose quantities can be given any values.
pub(super) struct Boards<'q, T: Lane> {
    pub(super) quantities: &'q [Quantity],
    pub(super) shaker: Shaker,
    pub(super) plan: Plan<T>,
    work: Workspace<T>,
    values: Vec<Aligned<[f64; LANES]>>,
    pub(super) deviations: Vec<Aligned<T::Block>>,
    out: [T::Block; 2],
}

impl<'q, T: Lane> Boards<'q, T> {
    pub(super) fn new(stage: &Stage, quantities: &'q [Quantity], hz: f64) -> Result<Self, NetworkFault> {
        let shaker = Shaker::new(stage, quantities, hz);
        let drives = [stage.differential(), stage.common()];
        let plan = Plan::record(&stage.network, hz, shaker.slots(), &drives, stage.ports.output)?;
        Ok(Self {
            quantities,
            work: plan.workspace(Instructions::best()),
            values: vec![Aligned([0.0; LANES]); quantities.len()],
            deviations: vec![Aligned(T::ZERO.splat()); shaker.slots().len()],
            out: [T::ZERO.splat(); 2],
            shaker,
            plan,
        })
    }

    /// The same quantities at another frequency.
    pub(super) fn retune(&mut self, stage: &Stage, hz: f64) -> Result<(), NetworkFault> {
        self.shaker = Shaker::new(stage, self.quantities, hz);
        self.plan.retune(hz)?;
        self.work.retune(&self.plan);
        Ok(())
    }

    /// Runs the block whose deviations have been filled in.
    pub(super) fn run(&mut self) {
        self.plan.replay(&mut self.work, &self.deviations, &mut self.out);
    }

    /// What the boards of the last block come to.
    pub(super) fn scores(&self, goal: Goal) -> [f64; LANES] {
        goal.scores::<T>(&self.out[0], &self.out[1])
    }

    fn evaluate(&mut self) {
        self.shaker.fill::<T, _, _>(&self.values, &mut self.deviations, self.work.instructions());
        self.run();
    }

    /// Evaluates the `first` and up to [`LANES`] points at once; returns how many.
    fn block(&mut self, points: &Points, first: usize) -> usize {
        let count = (points.len() - first).min(LANES);
        for (quantity, values) in self.values.iter_mut().enumerate() {
            values.0[count..].fill(points.at(first)[quantity]);
            for (lane, value) in values.0[..count].iter_mut().enumerate() {
                *value = points.at(first + lane)[quantity];
            }
        }
        self.evaluate();
        count
    }

    /// `A_d` and `A_cm` at each of `points`.
    pub(super) fn gains(&mut self, points: &Points) -> Vec<(T, T)> {
        let mut gains = Vec::with_capacity(points.len());
        for first in (0..points.len()).step_by(LANES) {
            let count = self.block(points, first);
            gains.extend((0..count).map(|lane| (T::get(&self.out[0], lane), T::get(&self.out[1], lane))));
        }
        gains
    }

    /// For each goal, what each of `points` comes to.
    pub(super) fn score(&mut self, goals: &[Goal], points: &Points) -> Vec<Vec<f64>> {
        let mut scores = vec![Vec::with_capacity(points.len()); goals.len()];
        for first in (0..points.len()).step_by(LANES) {
            let count = self.block(points, first);
            for (scores, &goal) in scores.iter_mut().zip(goals) {
                scores.extend_from_slice(&self.scores(goal)[..count]);
            }
        }
        scores
    }

    /// What becomes of `at` while one quantity takes each of the values.
    pub(super) fn along(&mut self, goal: Goal, at: &[f64], quantity: usize, values: &[f64; LANES]) -> [f64; LANES] {
        for (to, &value) in self.values.iter_mut().zip(at) {
            to.0.fill(value);
        }
        self.values[quantity].0 = *values;
        self.evaluate();
        self.scores(goal)
    }

    /// The values at a corner of a region; bit `k` set: its `k`th free quantity at the upper end.
    pub(super) fn corner(&self, region: &Region, bits: usize) -> Vec<f64> {
        let mut values = region.at.clone();
        for (place, &quantity) in region.free.iter().enumerate() {
            let ends = &self.quantities[quantity];
            values[quantity] = if bits >> place & 1 == 1 { ends.high } else { ends.low };
        }
        values
    }
}
