//! Many boards on several threads.
use super::batch::{Batch, Block, Problem, Temperature};
use super::shape::{Shape, cut};
use super::stream::Stream;
use super::tally::{Counter, Tally};
use super::variable::{Variable, Variables};
use crate::network::{Aligned, Instructions, LANES, NetworkFault, Task};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

/// Boards that share a seed.
pub const CHUNK: u64 = 65_536;

/// How many boards, from which seed, by what means; the means change no byte of the answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Effort {
    /// Boards.
    pub boards: u64,
    /// Seed.
    pub seed: u64,
    /// Threads, one at least.
    pub threads: usize,
    /// Vector instructions.
    pub instructions: Instructions,
}

/// Draws boards and counts. `go_on` is told on the calling thread how many are done; when it answers
/// false the run ends, and the tally holds fewer boards than were asked for.
///
/// # Errors
/// [`NetworkFault::Singular`] when the nominal network has no solution.
pub fn run(problem: &Problem<'_>, effort: &Effort, go_on: &mut dyn FnMut(u64) -> bool) -> Result<Tally, NetworkFault> {
    let variables = Variables::new(problem.stage, problem.lot, problem.hz());
    let worker = Worker::new(problem, &variables, effort)?;
    let next = AtomicU64::new(0);
    let done = AtomicU64::new(0);
    let stop = AtomicBool::new(false);
    let chunks = effort.boards.div_ceil(CHUNK);
    let threads = effort.threads.clamp(1, usize::try_from(chunks).unwrap_or(usize::MAX).max(1));
    let work = |mut worker: Worker<'_>, tell: &mut dyn FnMut(u64) -> bool| {
        let mut tally = Tally::new();
        while !stop.load(Ordering::Relaxed) {
            let chunk = next.fetch_add(1, Ordering::Relaxed);
            if chunk >= chunks {
                break;
            }
            let boards = CHUNK.min(effort.boards - chunk * CHUNK);
            worker.chunk(effort.seed, chunk, boards, &mut tally);
            let all = done.fetch_add(boards, Ordering::Relaxed) + boards;
            if !tell(all) {
                stop.store(true, Ordering::Relaxed);
            }
        }
        tally
    };
    let mut tally = Tally::new();
    std::thread::scope(|scope| {
        let others: Vec<_> = (1..threads)
            .map(|_| {
                let worker = worker.clone();
                scope.spawn(|| work(worker, &mut |_| true))
            })
            .collect();
        tally.add(&work(worker.clone(), go_on));
        for other in others {
            if let Ok(part) = other.join() {
                tally.add(&part);
            }
        }
    });
    Ok(tally)
}

/// One thread's buffers.
#[derive(Clone)]
struct Worker<'v> {
    dice: Dice<'v>,
    batch: Batch,
    counter: Counter,
}

impl<'v> Worker<'v> {
    fn new(problem: &Problem<'_>, variables: &'v Variables, effort: &Effort) -> Result<Self, NetworkFault> {
        Ok(Self {
            dice: Dice::new(problem, &variables.all, effort.instructions),
            batch: Batch::new(problem, variables, effort.instructions)?,
            counter: Counter::new(problem),
        })
    }

    fn chunk(&mut self, seed: u64, chunk: u64, boards: u64, tally: &mut Tally) {
        let mut stream = Stream::new(seed, chunk);
        let mut left = boards;
        while left > 0 {
            let now = left.min(LANES as u64);
            self.dice.throw(&mut stream);
            self.dice.all_values();
            self.batch.run(&self.dice.values);
            self.counter.count(&self.batch, now as usize, tally);
            left -= now;
        }
    }
}

/// Draws the quantities of a block of boards.
#[derive(Clone)]
pub(super) struct Dice<'v> {
    variables: &'v [Variable],
    shape: Shape,
    /// Middle and half of the temperatures, as shares of the greatest distance.
    temperature: Option<(f64, f64)>,
    set: Instructions,
    /// Drawn numbers in (-1, 1), shaped; where temperatures are drawn, the last block holds them.
    pub(super) drawn: Vec<Aligned<Block>>,
    tau: Block,
    /// Values of the quantities.
    pub(super) values: Vec<Aligned<Block>>,
}

impl<'v> Dice<'v> {
    pub(super) fn new(problem: &Problem<'_>, variables: &'v [Variable], set: Instructions) -> Self {
        let reach = problem.lot.reach_k;
        let temperature = match problem.temperature {
            Temperature::Uniform { low_k, high_k } if reach > 0.0 => {
                Some(((low_k + high_k) / (2.0 * reach), (high_k - low_k) / (2.0 * reach)))
            }
            _ => None,
        };
        Self {
            variables,
            shape: problem.shape,
            temperature,
            set,
            drawn: vec![Aligned([0.0; LANES]); variables.len() + usize::from(temperature.is_some())],
            tau: [1.0; LANES],
            values: vec![Aligned([0.0; LANES]); variables.len()],
        }
    }

    /// Draws the numbers of the next block.
    pub(super) fn throw(&mut self, stream: &mut Stream) {
        self.set.run(Throw { dice: self, stream });
    }

    /// Draws temperatures alone, where they are drawn.
    pub(super) fn temper(&mut self, stream: &mut Stream) {
        if let (Some((middle, half)), Some(drawn)) = (self.temperature, self.drawn.last_mut()) {
            stream.fill(std::slice::from_mut(drawn));
            for (tau, drawn) in self.tau.iter_mut().zip(&drawn.0) {
                *tau = (middle + half * drawn).abs();
            }
        }
    }

    /// Values of all quantities.
    pub(super) fn all_values(&mut self) {
        for k in 0..self.variables.len() {
            self.value(k, 1.0);
        }
    }

    /// Values of one quantity, with its tolerance multiplied by `share`.
    pub(super) fn value(&mut self, k: usize, share: f64) {
        let tau = self.temperature.is_some().then_some(&self.tau);
        let (variable, drawn, out) = (&self.variables[k], &self.drawn[k].0, &mut self.values[k].0);
        self.set.run(Value { variable, drawn, tau, share, out });
    }
}

struct Throw<'a, 'v> {
    dice: &'a mut Dice<'v>,
    stream: &'a mut Stream,
}

impl Task for Throw<'_, '_> {
    type Output = ();
    #[inline(always)]
    fn run(self) {
        let Self { dice, stream } = self;
        stream.fill(&mut dice.drawn);
        if dice.shape == Shape::Normal {
            for (variable, drawn) in dice.variables.iter().zip(&mut dice.drawn) {
                if !variable.one_sided {
                    cut(&mut drawn.0);
                }
            }
        }
        if let (Some((middle, half)), Some(drawn)) = (dice.temperature, dice.drawn.last()) {
            for (tau, drawn) in dice.tau.iter_mut().zip(&drawn.0) {
                *tau = (middle + half * drawn).abs();
            }
        }
    }
}

struct Value<'a> {
    variable: &'a Variable,
    drawn: &'a Block,
    tau: Option<&'a Block>,
    share: f64,
    out: &'a mut Block,
}

impl Task for Value<'_> {
    type Output = ();
    #[inline(always)]
    fn run(self) {
        self.variable.values(self.drawn, self.tau, self.share, self.out);
    }
}
