//! Failures too rare to be seen: importance sampling along the sensitivities.
//!
//! Boards are drawn from a mixture: for every way to miss the limit a tilt whose mean lies on it, and
//! a share of untilted boards that keeps every weight bounded. Each board counts with the ratio of the
//! true density to the mixture's (Owen, "Monte Carlo theory, methods and examples", chapter 9.11), so the
//! estimate is unbiased whatever the network does; the straight lines only make it sharp.
use super::batch::{Batch, DrawnLimit, Problem};
use super::direction::directions;
use super::run::{Dice, Effort};
use super::shape::Shape;
use super::slopes::Slopes;
use super::stream::{STREAMS, Stream};
use super::tally::Counter;
use super::tilt::{Tilt, sample};
use super::variable::Variables;
use crate::network::{LANES, NetworkFault};

/// Boards drawn from the mixtures, in each of two rounds.
const BOARDS: usize = 32_768;
/// Share of untilted boards.
const UNTILTED: f64 = 0.05;
/// Least share of a direction.
const LEAST: f64 = 0.02;
/// Strengths of the tilt in the two rounds: they have to agree.
const STRENGTHS: [f64; 2] = [1.0, 0.85];
/// 95 % of a normal distribution lie within so many standard errors.
const WITHIN: f64 = 1.959_963_984_540_054;

/// What is known of one limit before sampling.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TailWish {
    /// The limit.
    pub limit: DrawnLimit,
    /// Whether the worst board of all misses it.
    pub possible: bool,
    /// Whether that board is known for sure to be the worst.
    pub certain: bool,
    /// Boards that were drawn plainly.
    pub boards: u64,
    /// How many of them miss the limit.
    pub missing: u64,
}

/// Probability that a board misses a limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Tail {
    /// The limit.
    pub limit: DrawnLimit,
    /// Probability of a miss; 0 where not even the worst board of all misses it.
    pub probability: f64,
    /// Lower end of the 95 % interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Failing boards of equal weight that would tell as much.
    pub effective_samples: f64,
    /// Whether the figure can be relied on.
    pub trusted: bool,
    /// Why not, where it can't.
    pub doubt: Option<&'static str>,
}

/// The probability that a board misses one limit.
///
/// # Errors
/// [`NetworkFault::Singular`] when the nominal network has no solution.
pub fn tail(problem: &Problem<'_>, wish: &TailWish, effort: &Effort) -> Result<Tail, NetworkFault> {
    if !wish.possible {
        let doubt = (!wish.certain).then_some("the worst board was searched for, not proven");
        return Ok(Tail {
            limit: wish.limit,
            probability: 0.0,
            low: 0.0,
            high: 0.0,
            effective_samples: 0.0,
            trusted: wish.certain,
            doubt,
        });
    }
    let variables = Variables::new(problem.stage, problem.lot, problem.hz());
    let mut batch = Batch::new(problem, &variables, effort.instructions)?;
    let slopes = Slopes::new(&variables, &mut batch);
    let ways = directions(problem, wish.limit, &slopes, &variables, effort.instructions)?;
    let shapes: Vec<Shape> =
        variables.all.iter().map(|variable| if variable.one_sided { Shape::Uniform } else { problem.shape }).collect();
    let mut sampler = Sampler {
        dice: Dice::new(problem, &variables.all, effort.instructions),
        counter: Counter::new(problem),
        batch,
        shapes: &shapes,
        limit: wish.limit,
    };
    let rounds: Vec<Round> = STRENGTHS
        .iter()
        .zip(0..)
        .map(|(&strength, round)| {
            let tilts: Vec<Tilt> = ways.iter().filter_map(|way| Tilt::toward(way, &shapes, strength)).collect();
            // Counted down from the end, where no chunk of boards is.
            sampler.round(&tilts, &mut Stream::new(effort.seed, u64::MAX - wish.limit as u64 * 8 - round))
        })
        .collect();
    Ok(settle(wish, &rounds))
}

/// Sums of weights of failing boards.
#[derive(Clone, Copy, Debug, Default)]
struct Round {
    boards: f64,
    sum: f64,
    squares: f64,
}

impl Round {
    fn mean(&self) -> f64 {
        self.sum / self.boards
    }
    fn variance(&self) -> f64 {
        ((self.squares / self.boards - self.mean() * self.mean()) / self.boards).max(0.0)
    }
}

fn settle(wish: &TailWish, rounds: &[Round]) -> Tail {
    let all = rounds.iter().fold(Round::default(), |all, one| Round {
        boards: all.boards + one.boards,
        sum: all.sum + one.sum,
        squares: all.squares + one.squares,
    });
    let probability = all.mean().clamp(0.0, 1.0);
    // Spread of each round about its own mean, and of the rounds about each other.
    let variance = rounds.iter().map(Round::variance).sum::<f64>() / (rounds.len() * rounds.len()) as f64;
    let error = variance.sqrt();
    let effective = if all.squares > 0.0 { all.sum * all.sum / all.squares } else { 0.0 };
    let apart = rounds.iter().map(|one| (one.mean() - probability).abs()).fold(0.0, f64::max);
    let expected = probability * wish.boards as f64;
    let seen = wish.missing as f64;
    let brute_error = (expected.max(seen) + (error * wish.boards as f64) * (error * wish.boards as f64)).sqrt() + 1.0;
    let doubt = if !(effective >= 100.0) {
        Some("too few failing boards carry the weight")
    } else if apart > 4.0 * error + 1e-3 * probability {
        Some("two samplings disagree")
    } else if expected.max(seen) >= 10.0 && (expected - seen).abs() > 4.0 * brute_error {
        Some("boards drawn plainly disagree")
    } else {
        None
    };
    Tail {
        limit: wish.limit,
        probability,
        low: (probability - WITHIN * error).max(0.0),
        high: (probability + WITHIN * error).min(1.0),
        effective_samples: effective,
        trusted: doubt.is_none(),
        doubt,
    }
}

struct Sampler<'a> {
    dice: Dice<'a>,
    batch: Batch,
    counter: Counter,
    shapes: &'a [Shape],
    limit: DrawnLimit,
}

impl Sampler<'_> {
    fn round(&mut self, tilts: &[Tilt], stream: &mut Stream) -> Round {
        let mixture = mixture(tilts, self.shapes);
        let mut round = Round::default();
        for (blocks, tilt, _) in &mixture {
            for _ in 0..*blocks {
                self.block(tilt, &mixture, stream, &mut round);
            }
        }
        round
    }

    fn block(&mut self, tilt: &Tilt, mixture: &[(usize, Tilt, f64)], stream: &mut Stream, round: &mut Round) {
        let mut boards = vec![vec![0.0; self.shapes.len()]; LANES];
        for (k, (&shape, &theta)) in self.shapes.iter().zip(&tilt.theta).enumerate() {
            for first in (0..LANES).step_by(STREAMS) {
                for (unit, lane) in stream.unit().into_iter().zip(first..) {
                    boards[lane][k] = sample(shape, theta, unit);
                    self.dice.drawn[k].0[lane] = boards[lane][k];
                }
            }
        }
        self.dice.temper(stream);
        self.dice.all_values();
        self.batch.run(&self.dice.values);
        let met = &self.counter.verdicts(&self.batch)[self.limit as usize];
        for (board, &met) in boards.iter().zip(met) {
            if met == 0 {
                let density: f64 =
                    mixture.iter().map(|(_, tilt, share)| share * libm::exp(tilt.log_ratio(board))).sum();
                round.sum += 1.0 / density;
                round.squares += 1.0 / (density * density);
            }
        }
        round.boards += LANES as f64;
    }
}

/// Blocks, tilt and share of each component; the untilted one first.
fn mixture(tilts: &[Tilt], shapes: &[Shape]) -> Vec<(usize, Tilt, f64)> {
    let likeliest = tilts.iter().map(|tilt| tilt.log_bound).fold(f64::NEG_INFINITY, f64::max);
    let wish = |tilt: &Tilt| libm::exp(tilt.log_bound - likeliest).max(LEAST);
    let whole: f64 = tilts.iter().map(wish).sum();
    let blocks = (BOARDS / LANES) as f64;
    let untilted = if tilts.is_empty() { 1.0 } else { UNTILTED };
    let mut all = vec![(libm::ceil(untilted * blocks) as usize, Tilt::none(shapes), 0.0)];
    for tilt in tilts {
        let share = (1.0 - untilted) * wish(tilt) / whole;
        all.push((libm::ceil(share * blocks) as usize, tilt.clone(), 0.0));
    }
    let drawn: usize = all.iter().map(|(blocks, ..)| blocks).sum();
    for (blocks, _, share) in &mut all {
        *share = *blocks as f64 / drawn as f64;
    }
    all
}
