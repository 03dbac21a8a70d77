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

/// All that was recorded, and which of it leads to what is wanted.
#[derive(Clone, Debug)]
pub(super) struct Tape<T> {
    steps: Vec<Step<T>>,
    used: Vec<bool>,
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
    pub(super) const fn new(steps: Vec<Step<T>>, used: Vec<bool>, wanted: Vec<usize>) -> Self {
        Self { steps, used, wanted }
    }

    /// Whether other steps do the same with other constants.
    pub(super) fn is_like(&self, steps: &[Step<T>], wanted: &[usize]) -> bool {
        let alike = |(one, other): (&Step<T>, &Step<T>)| match (*one, *other) {
            (Step::Constant(_), Step::Constant(_)) => true,
            (Step::AddScaled { a, delta, .. }, Step::AddScaled { a: other, delta: along, .. }) => {
                a == other && delta == along
            }
            (Step::MultiplySubtract { a, b, c }, Step::MultiplySubtract { a: x, b: y, c: z }) => (a, b, c) == (x, y, z),
            (Step::Multiply { a, b }, Step::Multiply { a: x, b: y }) => (a, b) == (x, y),
            (Step::Reciprocal { a }, Step::Reciprocal { a: other }) => a == other,
            _ => false,
        };
        self.wanted == wanted && self.steps.len() == steps.len() && self.steps.iter().zip(steps).all(alike)
    }

    /// Takes the constants of other steps that do the same.
    pub(super) fn retune(&mut self, steps: Vec<Step<T>>) {
        self.steps = steps;
    }
}

impl Tape<f64> {
    /// Forward for the values, backward for the slopes; `None` where a pivot can vanish.
    pub(super) fn enclose(&self, deltas: &[Interval]) -> Option<Vec<Enclosure>> {
        let mut values: Vec<Interval> = Vec::with_capacity(self.steps.len());
        for (step, &used) in self.steps.iter().zip(&self.used) {
            values.push(match *step {
                _ if !used => Interval::default(),
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
