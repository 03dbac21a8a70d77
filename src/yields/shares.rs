//! What moves the yield: each part's share of the spread, and the yield if it were better.
use super::batch::{Batch, Problem, Temperature};
use super::run::{CHUNK, Dice, Effort};
use super::shape::Shape;
use super::slopes::Slopes;
use super::stream::Stream;
use super::tally::Counter;
use super::variable::Variables;
use crate::network::{LANES, NetworkFault};

/// One part's hand in the spread.
#[derive(Clone, Debug, PartialEq)]
pub struct PartShare {
    /// A resistor, the members of a network, an op amp; else what is uncertain.
    pub part: String,
    /// Share of the variance of the gain error, to first order.
    pub of_gain_variance: f64,
    /// Share of the variance of `A_cm` at dc, to first order.
    pub of_common_mode_variance: f64,
}

/// The shares of all parts, in the order in which they are drawn. Variances of quantities drawn
/// independently add: `Σ (slope · bound)²` times that of the shape.
///
/// # Errors
/// [`NetworkFault::Singular`] when the nominal network has no solution.
pub fn shares(problem: &Problem<'_>, effort: &Effort) -> Result<Vec<PartShare>, NetworkFault> {
    let variables = Variables::new(problem.stage, problem.lot, problem.hz());
    let slopes = Slopes::new(&variables, &mut Batch::new(problem, &variables, effort.instructions)?);
    let (first, second) = distance_moments(problem);
    let mut gain = vec![0.0; variables.parts.len()];
    let mut common = gain.clone();
    for (k, variable) in variables.all.iter().enumerate() {
        let shape = if variable.one_sided { Shape::Uniform } else { problem.shape };
        let (t, d) = (variable.tolerance, variable.drift);
        // E[(t + dτ)²], as a share of the bound at the farthest temperature.
        let heat = (t * t + 2.0 * t * d * first + d * d * second) / ((t + d) * (t + d));
        let variance = |slope: f64| slope * slope * shape.variance() * heat;
        gain[variable.part] += variance(slopes.differential.by[k]);
        common[variable.part] += variance(slopes.common.by[k]);
    }
    let share = |of: &[f64], part: usize| {
        let whole: f64 = of.iter().sum();
        if whole > 0.0 { of[part] / whole } else { 0.0 }
    };
    Ok(variables
        .parts
        .iter()
        .enumerate()
        .map(|(part, name)| PartShare {
            part: name.clone(),
            of_gain_variance: share(&gain, part),
            of_common_mode_variance: share(&common, part),
        })
        .collect())
}

/// Means of τ and τ², the distance from calibration as a share of the farthest.
fn distance_moments(problem: &Problem<'_>) -> (f64, f64) {
    let reach = problem.lot.reach_k;
    match problem.temperature {
        Temperature::Uniform { low_k, high_k } if reach > 0.0 && high_k > low_k => {
            let (a, b) = (low_k / reach, high_k / reach);
            ((b * b.abs() - a * a.abs()) / (2.0 * (b - a)), (b * b * b - a * a * a) / (3.0 * (b - a)))
        }
        Temperature::Uniform { low_k, .. } if reach > 0.0 => {
            let a = low_k / reach;
            (a.abs(), a * a)
        }
        _ => (1.0, 1.0),
    }
}

/// Yields with the tolerance (not the tempco) of a group of parts halved, on the same boards.
#[derive(Clone, Debug, PartialEq)]
pub struct Halved {
    /// Boards that were drawn.
    pub boards: u64,
    /// How many pass as they are.
    pub pass: u64,
    /// How many pass with each group halved.
    pub pass_halved: Vec<u64>,
    /// How many boards each group's halving lets pass or fail that did not before.
    pub changed: Vec<u64>,
}

impl Halved {
    fn of_groups(groups: usize) -> Self {
        Self { boards: 0, pass: 0, pass_halved: vec![0; groups], changed: vec![0; groups] }
    }

    /// By how much halving a group moves the yield. Boards that change sides in both directions about
    /// as often are noise, and the yield has not moved.
    #[must_use]
    pub fn moved(&self, group: usize) -> f64 {
        let gained = self.pass_halved[group] as f64 - self.pass as f64;
        if gained * gained <= 4.0 * self.changed[group] as f64 { 0.0 } else { gained / self.boards as f64 }
    }
}

/// Draws the boards that [`super::run`] draws first, and counts how many pass as they are and with
/// each group of parts (by name) halved.
///
/// # Errors
/// [`NetworkFault::Singular`] when the nominal network has no solution.
pub fn halved(problem: &Problem<'_>, groups: &[Vec<String>], effort: &Effort) -> Result<Halved, NetworkFault> {
    let variables = Variables::new(problem.stage, problem.lot, problem.hz());
    let batch = Batch::new(problem, &variables, effort.instructions)?;
    let members: Vec<Vec<usize>> = groups
        .iter()
        .map(|group| {
            (0..variables.all.len()).filter(|&k| group.contains(&variables.parts[variables.all[k].part])).collect()
        })
        .collect();
    let chunks = effort.boards.div_ceil(CHUNK);
    let threads = effort.threads.clamp(1, usize::try_from(chunks.max(1)).unwrap_or(usize::MAX)) as u64;
    let one = |first: u64| {
        let mut work = Work {
            dice: Dice::new(problem, &variables.all, effort.instructions),
            batch: batch.clone(),
            counter: Counter::new(problem),
            members: &members,
            found: Halved::of_groups(groups.len()),
        };
        for chunk in (first..chunks).step_by(threads as usize) {
            work.chunk(effort.seed, chunk, CHUNK.min(effort.boards - chunk * CHUNK));
        }
        work.found
    };
    let mut all = Halved::of_groups(groups.len());
    std::thread::scope(|scope| {
        let others: Vec<_> = (1..threads).map(|first| scope.spawn(move || one(first))).collect();
        let here = one(0);
        for part in others.into_iter().filter_map(|other| other.join().ok()).chain([here]) {
            all.boards += part.boards;
            all.pass += part.pass;
            let sums = all.pass_halved.iter_mut().chain(&mut all.changed);
            for (sum, part) in sums.zip(part.pass_halved.into_iter().chain(part.changed)) {
                *sum += part;
            }
        }
    });
    Ok(all)
}

struct Work<'v> {
    dice: Dice<'v>,
    batch: Batch,
    counter: Counter,
    members: &'v [Vec<usize>],
    found: Halved,
}

impl Work<'_> {
    fn chunk(&mut self, seed: u64, chunk: u64, boards: u64) {
        let mut stream = Stream::new(seed, chunk);
        let mut left = boards;
        while left > 0 {
            let now = left.min(LANES as u64) as usize;
            self.dice.throw(&mut stream);
            self.dice.all_values();
            self.batch.run(&self.dice.values);
            self.found.boards += now as u64;
            let count = |pass: &[u32]| u64::from(pass.iter().sum::<u32>());
            let before = *self.counter.passing(&self.batch, now);
            self.found.pass += count(&before);
            for (at, group) in self.members.iter().enumerate() {
                for &k in group {
                    self.dice.value(k, 0.5);
                }
                self.batch.run(&self.dice.values);
                let after = self.counter.passing(&self.batch, now);
                self.found.pass_halved[at] += count(after);
                self.found.changed[at] += after.iter().zip(&before).map(|(a, b)| u64::from(a ^ b)).sum::<u64>();
                for &k in group {
                    self.dice.value(k, 1.0);
                }
            }
            left -= now as u64;
        }
    }
}
