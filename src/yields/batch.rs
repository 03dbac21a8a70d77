//! A block of boards: from drawn numbers to which limits each board meets.
use super::shape::Shape;
use super::variable::{Variables, resistors_alone};
use crate::network::{Aligned, Instructions, LANES, Lane, NetworkFault, Plan, Workspace};
use crate::predict::{Margins, Rectangle, Terminal};
use crate::stage::{Lot, Shaker, Stage};
use num_complex::Complex64;
use std::borrow::Borrow;

pub(super) type Block = [f64; LANES];

/// A limit that boards are held against.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DrawnLimit {
    /// Gain error, both signs.
    GainError,
    /// Rejection at dc.
    Rejection,
    /// Rejection at the interference frequency.
    RejectionAtInterference,
    /// Headroom.
    Headroom,
}

impl DrawnLimit {
    /// All of them, in the order of the contract.
    pub const ALL: [Self; 4] = [Self::GainError, Self::Rejection, Self::RejectionAtInterference, Self::Headroom];

    /// The key under `[limits]`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::GainError => "gain_error",
            Self::Rejection => "rejection",
            Self::RejectionAtInterference => "rejection_at_interference",
            Self::Headroom => "headroom",
        }
    }
}

/// The temperature of a board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Temperature {
    /// As far from the calibration as it gets.
    Limit,
    /// Anywhere in a range, relative to the calibration temperature, K.
    Uniform {
        /// Lower end.
        low_k: f64,
        /// Upper end.
        high_k: f64,
    },
}

/// What headroom is held against.
#[derive(Clone, Debug, PartialEq)]
pub struct Headroom {
    /// Least margin that passes, V.
    pub least_v: f64,
    /// What has to stay inside its limits.
    pub terminals: Vec<Terminal>,
    /// The signals.
    pub signals: Rectangle,
    /// Voltage of the reference, V.
    pub reference_v: f64,
}

/// The limits that are drawn; those that are set.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bounds {
    /// Greatest relative gain error.
    pub gain_error: Option<f64>,
    /// Least `|A_d|/|A_cm|` at dc.
    pub rejection: Option<f64>,
    /// A frequency, Hz, and the least `|A_d|/|A_cm|` there.
    pub at_interference: Option<(f64, f64)>,
    /// Headroom.
    pub headroom: Option<Headroom>,
}

impl Bounds {
    /// The limits that are set, in the order of the contract.
    #[must_use]
    pub fn set(&self) -> Vec<DrawnLimit> {
        let is_set = |limit: &DrawnLimit| match limit {
            DrawnLimit::GainError => self.gain_error.is_some(),
            DrawnLimit::Rejection => self.rejection.is_some(),
            DrawnLimit::RejectionAtInterference => self.at_interference.is_some(),
            DrawnLimit::Headroom => self.headroom.is_some(),
        };
        DrawnLimit::ALL.into_iter().filter(is_set).collect()
    }
}

/// What is drawn, how, and what it has to meet.
#[derive(Clone, Debug)]
pub struct Problem<'a> {
    /// The circuit.
    pub stage: &'a Stage,
    /// How far its parts may be off.
    pub lot: &'a Lot,
    /// How quantities are spread over their bounds.
    pub shape: Shape,
    /// The temperature of a board.
    pub temperature: Temperature,
    /// The gain wanted, V/V.
    pub target_gain: f64,
    /// Least and greatest gain over the box, V/V: the span of the histogram.
    pub gain_span: (f64, f64),
    /// The limits.
    pub bounds: Bounds,
}

impl Problem<'_> {
    /// The frequency beside dc that boards are asked at; 0 where there is none.
    pub(super) fn hz(&self) -> f64 {
        self.bounds.at_interference.map_or(0.0, |(hz, _)| hz)
    }
}

/// A shaker with the plan it feeds.
#[derive(Clone)]
struct Replay<T: Lane> {
    shaker: Shaker,
    plan: Plan<T>,
    work: Workspace<T>,
    deviations: Vec<Aligned<T::Block>>,
    out: [T::Block; 2],
}

impl<T: Lane> Replay<T> {
    fn new(problem: &Problem<'_>, shaker: Shaker, hz: f64, set: Instructions) -> Result<Self, NetworkFault> {
        let stage = problem.stage;
        let drives = [stage.differential(), stage.common()];
        let plan = Plan::record(&stage.network, hz, shaker.slots(), &drives, stage.ports.output)?;
        Ok(Self {
            work: plan.workspace(set),
            deviations: vec![Aligned(T::ZERO.splat()); shaker.slots().len()],
            out: [T::ZERO.splat(); 2],
            shaker,
            plan,
        })
    }

    fn run<V: Borrow<Block>>(&mut self, values: &[V], set: Instructions) {
        self.shaker.fill::<T, _, _>(values, &mut self.deviations, set);
        self.plan.replay(&mut self.work, &self.deviations, &mut self.out);
    }
}

/// Everything one thread needs to evaluate blocks of boards.
#[derive(Clone)]
pub(super) struct Batch {
    pub(super) set: Instructions,
    dc: Replay<f64>,
    interference: Option<Replay<Complex64>>,
    headroom: Option<(Shaker, Margins, Vec<Block>)>,
    /// Of the last block: margins in V.
    pub(super) margins: Block,
}

impl Batch {
    pub(super) fn new(problem: &Problem<'_>, variables: &Variables, set: Instructions) -> Result<Self, NetworkFault> {
        let at_dc = variables.at_dc(problem.stage, problem.lot);
        let dc = Replay::new(problem, Shaker::new(problem.stage, &at_dc, 0.0), 0.0, set)?;
        let interference = match problem.bounds.at_interference {
            None => None,
            Some((hz, _)) => {
                Some(Replay::new(problem, Shaker::new(problem.stage, &variables.quantities, hz), hz, set)?)
            }
        };
        let headroom = match &problem.bounds.headroom {
            None => None,
            Some(headroom) => {
                let shaker = Shaker::new(problem.stage, &resistors_alone(problem.stage, &at_dc), 0.0);
                let Headroom { terminals, signals, reference_v, .. } = headroom;
                let margins =
                    Margins::record_for(problem.stage, shaker.slots(), terminals, (*signals, *reference_v), set)?;
                let deviations = vec![[0.0; LANES]; shaker.slots().len()];
                Some((shaker, margins, deviations))
            }
        };
        Ok(Self { set, dc, interference, headroom, margins: [f64::INFINITY; LANES] })
    }

    /// Evaluates boards, given a value for each variable.
    pub(super) fn run<V: Borrow<Block>>(&mut self, values: &[V]) {
        self.dc.run(values, self.set);
        if let Some(interference) = &mut self.interference {
            interference.run(values, self.set);
        }
        if let Some((shaker, margins, deviations)) = &mut self.headroom {
            shaker.fill::<f64, _, _>(values, deviations, self.set);
            self.margins = margins.replay(deviations);
        }
    }

    /// `A_d` and `A_cm` at dc.
    pub(super) const fn gains(&self) -> (&Block, &Block) {
        (&self.dc.out[0], &self.dc.out[1])
    }

    /// `A_d` and `A_cm` of one board at the interference frequency.
    pub(super) fn at_interference(&self, lane: usize) -> Option<(Complex64, Complex64)> {
        let out = &self.interference.as_ref()?.out;
        Some((Complex64::get(&out[0], lane), Complex64::get(&out[1], lane)))
    }

    /// `|A_d|²` and `|A_cm|²` there.
    pub(super) fn squares_at_interference(&self) -> Option<[Block; 2]> {
        let out = &self.interference.as_ref()?.out;
        Some([out[0].square(), out[1].square()])
    }
}

/// The limits in the form they are held against: no board needs a division or a logarithm.
#[derive(Clone, Copy, Debug)]
pub(super) struct Gates {
    gain: Option<(f64, f64)>,
    rejection: Option<f64>,
    square_at_interference: Option<f64>,
    margin: Option<f64>,
}

impl Gates {
    pub(super) fn new(problem: &Problem<'_>) -> Self {
        let bounds = &problem.bounds;
        let ends = |limit: f64| {
            let (one, other) = (problem.target_gain * (1.0 - limit), problem.target_gain * (1.0 + limit));
            (one.min(other), one.max(other))
        };
        Self {
            gain: bounds.gain_error.map(ends),
            rejection: bounds.rejection,
            square_at_interference: bounds.at_interference.map(|(_, ratio)| ratio * ratio),
            margin: bounds.headroom.as_ref().map(|headroom| headroom.least_v),
        }
    }

    /// For each limit, 1 for a board that meets it and 0 for one that does not; 1 where it is not set.
    #[inline(always)]
    pub(super) fn hold(&self, batch: &Batch, met: &mut [[u32; LANES]; 4]) {
        let (differential, common) = batch.gains();
        if let Some((low, high)) = self.gain {
            for (met, &gain) in met[0].iter_mut().zip(differential) {
                *met = u32::from(gain >= low) & u32::from(gain <= high);
            }
        }
        if let Some(ratio) = self.rejection {
            for ((met, &gain), &common) in met[1].iter_mut().zip(differential).zip(common) {
                *met = u32::from(gain.abs() >= ratio * common.abs());
            }
        }
        if let (Some(ratio), Some([gain, common])) = (self.square_at_interference, batch.squares_at_interference()) {
            for ((met, &gain), &common) in met[2].iter_mut().zip(&gain).zip(&common) {
                *met = u32::from(gain >= ratio * common);
            }
        }
        if let Some(least) = self.margin {
            for (met, &margin) in met[3].iter_mut().zip(&batch.margins) {
                *met = u32::from(margin >= least);
            }
        }
    }
}
