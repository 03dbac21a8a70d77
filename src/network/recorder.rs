//! Records what an elimination does, and makes a program of it.
use super::lanes::{BATCH, Lane};
use super::program::{self, Program};
use super::tape::{Step, Tape};

/// A value while recording; constants are folded as they arise.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Value(usize);

/// Records operations, each with the value it has on the nominal board.
#[derive(Clone, Debug)]
pub(super) struct Recorder<T> {
    steps: Vec<Step<T>>,
    shadow: Vec<T>,
}

impl<T: Lane> Recorder<T> {
    /// The value 0, which every recorder holds.
    pub(super) const ZERO: Value = Value(0);

    pub(super) fn new() -> Self {
        Self { steps: vec![Step::Constant(T::ZERO)], shadow: vec![T::ZERO] }
    }

    fn push(&mut self, step: Step<T>, shadow: T) -> Value {
        self.steps.push(step);
        self.shadow.push(shadow);
        Value(self.steps.len() - 1)
    }

    pub(super) fn constant(&mut self, value: T) -> Value {
        if value == T::ZERO { Self::ZERO } else { self.push(Step::Constant(value), value) }
    }

    /// The value on the nominal board, where all deltas are 0.
    pub(super) fn nominal(&self, value: Value) -> T {
        self.shadow[value.0]
    }

    pub(super) fn is_constant(&self, value: Value) -> bool {
        matches!(self.steps[value.0], Step::Constant(_))
    }

    pub(super) fn add_scaled(&mut self, a: Value, k: f64, delta: usize) -> Value {
        if k == 0.0 {
            return a;
        }
        self.push(Step::AddScaled { a: a.0, k, delta }, self.shadow[a.0])
    }

    pub(super) fn multiply(&mut self, a: Value, b: Value) -> Value {
        if a == Self::ZERO || b == Self::ZERO {
            return Self::ZERO;
        }
        let shadow = self.shadow[a.0] * self.shadow[b.0];
        if self.is_constant(a) && self.is_constant(b) {
            return self.constant(shadow);
        }
        for (one, other) in [(a, b), (b, a)] {
            if self.steps[one.0] == Step::Constant(T::ONE) {
                return other;
            }
        }
        self.push(Step::Multiply { a: a.0, b: b.0 }, shadow)
    }

    pub(super) fn multiply_subtract(&mut self, a: Value, b: Value, c: Value) -> Value {
        if b == Self::ZERO || c == Self::ZERO {
            return a;
        }
        let shadow = self.shadow[a.0] - self.shadow[b.0] * self.shadow[c.0];
        if self.is_constant(a) && self.is_constant(b) && self.is_constant(c) {
            return self.constant(shadow);
        }
        self.push(Step::MultiplySubtract { a: a.0, b: b.0, c: c.0 }, shadow)
    }

    /// The reciprocal of a pivot; a varying one is watched.
    pub(super) fn reciprocal(&mut self, a: Value) -> Value {
        let shadow = self.shadow[a.0].recip();
        if self.is_constant(a) {
            return self.constant(shadow);
        }
        self.push(Step::Reciprocal { a: a.0 }, shadow)
    }

    /// Keeps what `wanted` needs; joins sums that are used once and reciprocals that wait for nothing of
    /// each other; puts values into as few registers as will do.
    pub(super) fn finish(self, wanted: &[Value]) -> (Program<T>, Tape<T>) {
        let uses = self.uses(wanted);
        let (mut drafts, terms) = self.drafts(&uses);
        // Everything that needs no reciprocal of this level first, then its reciprocals, side by side.
        drafts.sort_by_key(|draft| (draft.level, draft.scale.is_some()));
        let places: Vec<usize> = wanted.iter().map(|value| value.0).collect();
        let program = self.allocate(&drafts, &terms, wanted);
        (program, Tape::new(self.steps, uses.into_iter().map(|uses| uses > 0).collect(), places))
    }

    /// Puts the constants of this recording into a program and its tape; gives itself back where they do other
    /// steps.
    pub(super) fn retune(self, wanted: &[Value], program: &mut Program<T>, tape: &mut Tape<T>) -> Result<(), Self> {
        let places: Vec<usize> = wanted.iter().map(|value| value.0).collect();
        if !tape.is_like(&self.steps, &places) {
            return Err(self);
        }
        program.retune(&self.steps, &self.shadow);
        tape.retune(self.steps);
        Ok(())
    }

    /// How often each step is used by those that are needed; what is wanted counts as used once more.
    fn uses(&self, wanted: &[Value]) -> Vec<usize> {
        let mut uses = vec![0; self.steps.len()];
        for value in wanted {
            uses[value.0] += 1;
        }
        for index in (0..self.steps.len()).rev().filter(|&index| !matches!(self.steps[index], Step::Constant(_))) {
            if uses[index] > 0 {
                for used in self.steps[index].uses() {
                    uses[used] += 1;
                }
            }
        }
        uses
    }

    /// What is to be done, and the terms of its sums.
    fn drafts(&self, uses: &[usize]) -> (Vec<Draft<T>>, Vec<Term>) {
        let mut levels = vec![0_usize; self.steps.len()];
        let mut absorbed = vec![false; self.steps.len()];
        let (mut drafts, mut terms) = (Vec::new(), Vec::new());
        for (index, step) in self.steps.iter().enumerate() {
            let level = step.uses().map(|used| levels[used]).max().unwrap_or(0);
            levels[index] = level + usize::from(matches!(step, Step::Reciprocal { .. }));
        }
        // From the end, so that a chain of sums is met at its last link.
        for index in (0..self.steps.len()).rev().filter(|&index| uses[index] > 0) {
            if absorbed[index] {
                continue;
            }
            let draft = |operands: &[usize]| Draft::new(index, operands, levels[index]);
            drafts.push(match self.steps[index] {
                Step::Constant(_) => continue,
                Step::MultiplySubtract { a, b, c } => draft(&[a, b, c]),
                Step::Multiply { a, b } => draft(&[a, b]),
                Step::Reciprocal { a } => {
                    Draft { level: levels[index] - 1, scale: Some(program::scale(self.shadow[a])), ..draft(&[a]) }
                }
                Step::AddScaled { a, k, delta } => {
                    let first = terms.len();
                    let mut base = a;
                    terms.push(Term { k, delta, origin: index });
                    while let Step::AddScaled { a, k, delta } = self.steps[base]
                        && uses[base] == 1
                        && terms.len() - first < BATCH
                    {
                        absorbed[base] = true;
                        terms.push(Term { k, delta, origin: base });
                        base = a;
                    }
                    terms[first..].reverse();
                    let sum = Draft { terms: (first, terms.len()), ..draft(&[]) };
                    match self.steps[base] {
                        Step::Constant(value) => Draft { base: Some((value, base)), ..sum },
                        _ => Draft { terms: sum.terms, ..draft(&[base]) },
                    }
                }
            });
        }
        drafts.reverse();
        (drafts, terms)
    }

    fn allocate(&self, drafts: &[Draft<T>], terms: &[Term], wanted: &[Value]) -> Program<T> {
        let groups = || Draft::groups(drafts);
        let mut last_use = vec![0; self.steps.len()];
        for (at, group) in groups().enumerate() {
            for &used in group.iter().flat_map(Draft::operands) {
                last_use[used] = at;
            }
        }
        for value in wanted {
            last_use[value.0] = usize::MAX;
        }
        let mut made = Program::empty();
        let mut register = vec![usize::MAX; self.steps.len()];
        let (mut free, mut freed): (Vec<usize>, Vec<usize>) = (Vec::new(), Vec::new());
        for (at, group) in groups().enumerate() {
            for &used in group.iter().flat_map(Draft::operands) {
                made.hold(used, &self.steps[used], &mut register);
            }
            let gone = |&used: &usize| last_use[used] == at && !matches!(self.steps[used], Step::Constant(_));
            freed.clear();
            freed.extend(group.iter().flat_map(Draft::operands).copied().filter(gone).map(|used| register[used]));
            let release = |free: &mut Vec<usize>| {
                for &place in &freed {
                    if !free.contains(&place) {
                        free.push(place);
                    }
                }
            };
            // A batch may write one result before it reads another operand; all else reads first.
            let batched = group.iter().any(|draft| draft.scale.is_some());
            if !batched {
                release(&mut free);
            }
            for draft in group {
                register[draft.value] = free.pop().unwrap_or_else(|| {
                    made.registers += 1;
                    made.registers - 1
                });
            }
            if batched {
                release(&mut free);
            }
            made.push(group, terms, &register);
        }
        for value in wanted {
            made.hold(value.0, &self.steps[value.0], &mut register);
        }
        made.wanted = wanted.iter().map(|value| register[value.0]).collect();
        made
    }
}

/// A term of a sum, and the step it comes from.
#[derive(Clone, Copy, Debug)]
pub(super) struct Term {
    pub(super) k: f64,
    pub(super) delta: usize,
    pub(super) origin: usize,
}

/// One operation before it has registers: a product, a sum of many terms, or a reciprocal.
#[derive(Clone, Copy, Debug)]
pub(super) struct Draft<T> {
    pub(super) value: usize,
    operands: [usize; 3],
    count: usize,
    /// From one place to another in the list of terms.
    pub(super) terms: (usize, usize),
    /// A constant, and its step.
    pub(super) base: Option<(T, usize)>,
    /// What brings the operand of a reciprocal near 1.
    pub(super) scale: Option<f64>,
    level: usize,
}

impl<T> Draft<T> {
    fn new(value: usize, of: &[usize], level: usize) -> Self {
        let mut operands = [0; 3];
        operands[..of.len()].copy_from_slice(of);
        Self { value, operands, count: of.len(), terms: (0, 0), base: None, scale: None, level }
    }

    pub(super) fn operands(&self) -> &[usize] {
        &self.operands[..self.count]
    }

    /// What is done at once: reciprocals of one level are, as many as there is room for.
    fn groups(drafts: &[Self]) -> impl Iterator<Item = &[Self]> {
        let joins = |one: &Self, other: &Self| one.scale.is_some() && other.scale.is_some() && one.level == other.level;
        drafts.chunk_by(joins).flat_map(|group| group.chunks(BATCH))
    }
}
