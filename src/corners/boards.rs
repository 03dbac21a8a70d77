//! Boards evaluated a block at a time, and the figures they are compared by.
use crate::network::{Instructions, LANES, Lane, NetworkFault, Plan, Workspace};
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
    pub(super) fn score<T: Lane>(self, differential: T, common: T) -> f64 {
        let square = |x: T| {
            let x = x.to_complex();
            x.re * x.re + x.im * x.im
        };
        let score = match self {
            Self::Rejection => square(common) / square(differential),
            Self::Common => square(common),
            Self::High => differential.to_complex().re,
            Self::Low => -differential.to_complex().re,
        };
        // A board without a gain has no rejection either.
        if score.is_nan() { f64::INFINITY } else { score }
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
    plan: Plan<T>,
    work: Workspace<T>,
    pub(super) deviations: Vec<T::Block>,
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
            deviations: vec![T::ZERO.splat(); shaker.slots().len()],
            out: [T::ZERO.splat(); 2],
            shaker,
            plan,
        })
    }

    /// Runs the block whose deviations have been filled in.
    pub(super) fn run(&mut self) {
        self.plan.replay(&mut self.work, &self.deviations, &mut self.out);
    }

    /// `A_d` and `A_cm` of one board of the last block.
    pub(super) fn gains(&self, lane: usize) -> (T, T) {
        (T::get(&self.out[0], lane), T::get(&self.out[1], lane))
    }

    /// Evaluates up to [`LANES`] points, each a value for every quantity.
    pub(super) fn points(&mut self, points: &[Vec<f64>]) -> Vec<(T, T)> {
        let mut gains = Vec::with_capacity(points.len());
        for block in points.chunks(LANES) {
            for (slot, deviation) in self.deviations.iter_mut().enumerate() {
                for (lane, point) in block.iter().enumerate() {
                    T::set(deviation, lane, self.shaker.deviation(slot, |quantity| point[quantity]));
                }
            }
            self.run();
            gains.extend((0..block.len()).map(|lane| self.gains(lane)));
        }
        gains
    }

    /// The values at a corner; bit `k` set: quantity `k` at its upper end.
    pub(super) fn corner(&self, bits: usize) -> Vec<f64> {
        let ends = |(k, quantity): (usize, &Quantity)| if bits >> k & 1 == 1 { quantity.high } else { quantity.low };
        self.quantities.iter().enumerate().map(ends).collect()
    }
}
