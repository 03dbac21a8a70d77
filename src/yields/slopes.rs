//! What each drawn number does to the figures, to first order about the middle of the box.
use super::batch::{Batch, Block, Headroom, Problem};
use super::variable::{Variable, Variables};
use crate::network::{Instructions, LANES, Lane, NetworkFault};
use crate::predict::{Margins, Terminal};
use num_complex::Complex64;

/// Half the distance over which a slope is taken, as a share of the bound. Boards are changes against
/// the nominal state, so nothing cancels.
const HALF: f64 = 1.0 / 64.0;

/// Values in the middle of the box, and their slopes by drawn number.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Slope<T> {
    pub(super) middle: T,
    pub(super) by: Vec<T>,
}

#[derive(Clone, Debug)]
pub(super) struct Slopes {
    /// Of `A_d` at dc.
    pub(super) differential: Slope<f64>,
    /// Of `A_cm` at dc.
    pub(super) common: Slope<f64>,
    /// Of `A_cm/A_d` at dc.
    pub(super) ratio: Slope<f64>,
    /// Of `A_cm/A_d` at the interference frequency.
    pub(super) at_interference: Option<Slope<Complex64>>,
}

/// Blocks whose boards are the middle and, in turn, each variable a little below and above it.
struct Probe<'v> {
    variables: &'v [Variable],
}

impl Probe<'_> {
    /// Calls `read` with the values of a block and the boards in it.
    fn each(&self, mut read: impl FnMut(&[Block], std::ops::Range<usize>)) {
        let count = 1 + 2 * self.variables.len();
        for first in (0..count).step_by(LANES) {
            let boards = first..count.min(first + LANES);
            let values: Vec<Block> = self
                .variables
                .iter()
                .enumerate()
                .map(|(k, variable)| {
                    let mut block = [0.0; LANES];
                    for (lane, value) in block.iter_mut().enumerate() {
                        let drawn = match first + lane {
                            board if board == 2 * k + 1 => -HALF,
                            board if board == 2 * k + 2 => HALF,
                            _ => 0.0,
                        };
                        *value = variable.value(drawn, 1.0);
                    }
                    block
                })
                .collect();
            read(&values, boards);
        }
    }
}

fn slope<T: Lane>(boards: &[T]) -> Slope<T> {
    let by = boards[1..].chunks_exact(2).map(|pair| (pair[1] - pair[0]).scale(0.5 / HALF)).collect();
    Slope { middle: boards[0], by }
}

impl Slopes {
    pub(super) fn new(variables: &Variables, batch: &mut Batch) -> Self {
        let (mut differential, mut common, mut ratio) = (Vec::new(), Vec::new(), Vec::new());
        let mut at_interference = Vec::new();
        Probe { variables: &variables.all }.each(|values, boards| {
            batch.run(values);
            for lane in 0..boards.len() {
                let (d, c) = (batch.gains().0[lane], batch.gains().1[lane]);
                differential.push(d);
                common.push(c);
                ratio.push(c / d);
                at_interference.extend(batch.at_interference(lane).map(|(d, c)| c / d));
            }
        });
        Self {
            differential: slope(&differential),
            common: slope(&common),
            ratio: slope(&ratio),
            at_interference: (!at_interference.is_empty()).then(|| slope(&at_interference)),
        }
    }
}

/// Slopes of the margin of each terminal to each of its two limits, V.
pub(super) fn of_margins(
    problem: &Problem<'_>,
    headroom: &Headroom,
    variables: &Variables,
    set: Instructions,
) -> Result<Vec<Slope<f64>>, NetworkFault> {
    let quantities = super::variable::resistors_alone(problem.stage, &variables.at_dc(problem.stage, problem.lot));
    let shaker = crate::stage::Shaker::new(problem.stage, &quantities, 0.0);
    let mut found = Vec::new();
    for terminal in &headroom.terminals {
        let sides = [
            Terminal { high_limit_v: f64::INFINITY, ..terminal.clone() },
            Terminal { low_limit_v: f64::NEG_INFINITY, ..terminal.clone() },
        ];
        for side in sides {
            let conditions = (headroom.signals, headroom.reference_v);
            let mut margins = Margins::record_for(problem.stage, shaker.slots(), &[side], conditions, set)?;
            let mut boards = Vec::new();
            let mut deviations = vec![[0.0; LANES]; shaker.slots().len()];
            Probe { variables: &variables.all }.each(|values, range| {
                shaker.fill::<f64, _, _>(values, &mut deviations, set);
                boards.extend_from_slice(&margins.replay(&deviations)[..range.len()]);
            });
            found.push(slope(&boards));
        }
    }
    Ok(found)
}
