use super::batch::{Batch, Block, DrawnLimit, Gates, Problem};
use super::histogram::{GainScale, Histogram, RATIO_BINS, gain_counts, ratio_bin};
use crate::network::{LANES, Task};

/// What is counted over the boards: sums alone, so that any order gives the same.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tally {
    /// Boards.
    pub boards: u64,
    /// Boards that meet every limit.
    pub pass: u64,
    /// Boards that meet a limit, in the order of [`DrawnLimit::ALL`].
    pub by_limit: [u64; 4],
    gains: Vec<u64>,
    ratios: Vec<u64>,
}

impl Tally {
    pub(super) fn new() -> Self {
        Self { boards: 0, pass: 0, by_limit: [0; 4], gains: vec![0; gain_counts()], ratios: vec![0; RATIO_BINS] }
    }

    /// The count of one limit.
    #[must_use]
    pub const fn meeting(&self, limit: DrawnLimit) -> u64 {
        self.by_limit[limit as usize]
    }

    pub(super) fn add(&mut self, other: &Self) {
        let sum = |to: &mut [u64], from: &[u64]| {
            for (to, from) in to.iter_mut().zip(from) {
                *to += from;
            }
        };
        self.boards += other.boards;
        self.pass += other.pass;
        sum(&mut self.by_limit, &other.by_limit);
        sum(&mut self.gains, &other.gains);
        sum(&mut self.ratios, &other.ratios);
    }

    /// Gain errors.
    #[must_use]
    pub fn gain_errors(&self, problem: &Problem<'_>) -> Histogram {
        Histogram::of_gains(&self.gains, &scale(problem), problem.target_gain)
    }

    /// Rejections at dc, dB.
    #[must_use]
    pub fn rejections(&self) -> Histogram {
        Histogram::of_rejection(&self.ratios)
    }
}

pub(super) fn scale(problem: &Problem<'_>) -> GainScale {
    GainScale::new(problem.gain_span.0, problem.gain_span.1)
}

/// Counts the boards of one block after another.
#[derive(Clone)]
pub(super) struct Counter {
    gates: Gates,
    scale: GainScale,
    met: [[u32; LANES]; 4],
    bins: [[u32; LANES]; 2],
    all: [u32; LANES],
}

impl Counter {
    pub(super) fn new(problem: &Problem<'_>) -> Self {
        Self {
            gates: Gates::new(problem),
            scale: scale(problem),
            met: [[1; LANES]; 4],
            bins: [[0; LANES]; 2],
            all: [0; LANES],
        }
    }

    /// Counts the first `boards` of the block.
    pub(super) fn count(&mut self, batch: &Batch, boards: usize, tally: &mut Tally) {
        batch.set.run(Count { counter: self, batch, boards });
        tally.boards += boards as u64;
        tally.pass += u64::from(self.all.iter().sum::<u32>());
        for (sum, met) in tally.by_limit.iter_mut().zip(&self.met) {
            *sum += u64::from(met.iter().sum::<u32>());
        }
        for (&gain, &ratio) in self.bins[0].iter().zip(&self.bins[1]).take(boards) {
            tally.gains[gain as usize] += 1;
            tally.ratios[ratio as usize] += 1;
        }
        if boards < LANES {
            self.met = [[1; LANES]; 4];
        }
    }

    /// Which of the first `boards` pass, without histograms.
    pub(super) fn passing(&mut self, batch: &Batch, boards: usize) -> &[u32; LANES] {
        batch.set.run(Pass { counter: self, batch, boards });
        if boards < LANES {
            self.met = [[1; LANES]; 4];
        }
        &self.all
    }

    /// For each limit which boards meet it.
    pub(super) fn verdicts(&mut self, batch: &Batch) -> &[[u32; LANES]; 4] {
        self.gates.hold(batch, &mut self.met);
        &self.met
    }

    #[inline(always)]
    fn hold(&mut self, batch: &Batch, boards: usize) {
        self.gates.hold(batch, &mut self.met);
        if boards < LANES {
            for met in &mut self.met {
                met[boards..].fill(0);
            }
        }
        let [a, b, c, d] = &self.met;
        for ((((all, a), b), c), d) in self.all.iter_mut().zip(a).zip(b).zip(c).zip(d) {
            *all = a & b & c & d;
        }
    }
}

struct Pass<'a> {
    counter: &'a mut Counter,
    batch: &'a Batch,
    boards: usize,
}

impl Task for Pass<'_> {
    type Output = ();
    #[inline(always)]
    fn run(self) {
        self.counter.hold(self.batch, self.boards);
    }
}

struct Count<'a> {
    counter: &'a mut Counter,
    batch: &'a Batch,
    boards: usize,
}

impl Task for Count<'_> {
    type Output = ();
    #[inline(always)]
    fn run(self) {
        let Self { counter, batch, boards } = self;
        counter.hold(batch, boards);
        let (differential, common) = batch.gains();
        let scale = counter.scale;
        let [gains, ratios] = &mut counter.bins;
        place(gains, ratios, &scale, (differential, common));
    }
}

#[inline(always)]
fn place(
    gains: &mut [u32; LANES],
    ratios: &mut [u32; LANES],
    scale: &GainScale,
    (differential, common): (&Block, &Block),
) {
    for lane in 0..LANES {
        gains[lane] = scale.bin(differential[lane]);
        ratios[lane] = ratio_bin((common[lane] / differential[lane]).abs());
    }
}
