//! What was recorded, step by step, and what it and its slopes can be anywhere in a box.
use super::interval::Interval;

/// One recorded step: each refers to earlier ones.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Step<T> {
    Constant(T),
    AddScaled { a: usize, k: f64, delta: usize },
    MultiplySubtract { a: usize, b: usize, c: usize },
    Multiply { a: usize, b: usize },
    Reciprocal { a: usize },
}

impl<T> Step<T> {
    /// The steps it reads.
    pub(super) fn uses(&self) -> impl Iterator<Item = usize> + use<T> {
        let all: [Option<usize>; 3] = match *self {
            Self::Constant(_) => [None; 3],
            Self::AddScaled { a, .. } | Self::Reciprocal { a } => [Some(a), None, None],
            Self::Multiply { a, b } => [Some(a), Some(b), None],
            Self::MultiplySubtract { a, b, c } => [Some(a), Some(b), Some(c)],
        };
        all.into_iter().flatten()
    }
}

/// The steps that lead to what is wanted.
#[derive(Clone, Debug)]
pub(super) struct Tape<T> {
    steps: Vec<Step<T>>,
    wanted: Vec<usize>,
}

/// What a wanted value can be in a box of deviations, and its slope along each of them.
#[derive(Clone, Debug, PartialEq)]
pub struct Enclosure {
    /// The value.
    pub value: Interval,
    /// Its slopes, in the order of the deviations.
    pub slopes: Vec<Interval>,
}

impl<T: Copy> Tape<T> {
    /// Of all `steps` those that are used.
    pub(super) fn new(steps: &[Step<T>], uses: &[usize], wanted: &[usize]) -> Self {
        let mut place = vec![0; steps.len()];
        let mut kept = Vec::new();
        for (index, step) in steps.iter().enumerate().filter(|&(index, _)| uses[index] > 0) {
            place[index] = kept.len();
            kept.push(match *step {
                Step::Constant(value) => Step::Constant(value),
                Step::AddScaled { a, k, delta } => Step::AddScaled { a: place[a], k, delta },
                Step::MultiplySubtract { a, b, c } => Step::MultiplySubtract { a: place[a], b: place[b], c: place[c] },
                Step::Multiply { a, b } => Step::Multiply { a: place[a], b: place[b] },
                Step::Reciprocal { a } => Step::Reciprocal { a: place[a] },
            });
        }
        Self { steps: kept, wanted: wanted.iter().map(|&one| place[one]).collect() }
    }
}

impl Tape<f64> {
    /// Forward for the values, backward for the slopes; `None` where a pivot can vanish.
    pub(super) fn enclose(&self, deltas: &[Interval]) -> Option<Vec<Enclosure>> {
        let mut values: Vec<Interval> = Vec::with_capacity(self.steps.len());
        for step in &self.steps {
            values.push(match *step {
                Step::Constant(value) => Interval::point(value),
                Step::AddScaled { a, k, delta } => values[a] + deltas[delta].scale(k),
                Step::MultiplySubtract { a, b, c } => values[a] - values[b] * values[c],
                Step::Multiply { a, b } => values[a] * values[b],
                Step::Reciprocal { a } => values[a].recip()?,
            });
        }
        let slopes = |wanted: usize| {
            let mut slopes = vec![Interval::default(); deltas.len()];
            let mut along = vec![Interval::default(); self.steps.len()];
            along[wanted] = Interval::point(1.0);
            for (index, step) in self.steps.iter().enumerate().take(wanted + 1).rev() {
                let here = along[index];
                if here == Interval::default() {
                    continue;
                }
                match *step {
                    Step::Constant(_) => {}
                    Step::AddScaled { a, k, delta } => {
                        along[a] += here;
                        slopes[delta] += here.scale(k);
                    }
                    Step::MultiplySubtract { a, b, c } => {
                        along[a] += here;
                        along[b] -= here * values[c];
                        along[c] -= here * values[b];
                    }
                    Step::Multiply { a, b } => {
                        along[a] += here * values[b];
                        along[b] += here * values[a];
                    }
                    Step::Reciprocal { a } => along[a] -= here * values[index].square(),
                }
            }
            slopes
        };
        Some(self.wanted.iter().map(|&wanted| Enclosure { value: values[wanted], slopes: slopes(wanted) }).collect())
    }
}
