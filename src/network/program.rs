//! A straight list of operations on registers: what an elimination becomes once it is recorded.
use super::{LANES, Lane};

/// A value while recording; constants are folded as they arise.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Value(usize);

#[derive(Clone, Copy, Debug, PartialEq)]
enum Step<T> {
    Constant(T),
    AddScaled { a: usize, k: f64, delta: usize },
    MultiplySubtract { a: usize, b: usize, c: usize },
    Multiply { a: usize, b: usize },
    Reciprocal { a: usize },
}

/// Records operations, each with the value it has on the nominal board.
#[derive(Clone, Debug)]
pub(super) struct Recorder<T> {
    steps: Vec<Step<T>>,
    shadow: Vec<T>,
    /// Pivots to watch: (value, 1/nominal size).
    watched: Vec<(usize, f64)>,
}

impl<T: Lane> Recorder<T> {
    /// The value 0, which every recorder holds.
    pub(super) const ZERO: Value = Value(0);

    pub(super) fn new() -> Self {
        Self { steps: vec![Step::Constant(T::ZERO)], shadow: vec![T::ZERO], watched: Vec::new() }
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
        self.watched.push((a.0, 1.0 / self.shadow[a.0].size()));
        self.push(Step::Reciprocal { a: a.0 }, shadow)
    }

    /// Keeps what `wanted` needs, puts values into as few registers as will do.
    pub(super) fn finish(self, wanted: &[Value]) -> Program<T> {
        let Self { steps, watched, .. } = self;
        let mut last_use = vec![None; steps.len()];
        let mut live = vec![false; steps.len()];
        for value in wanted {
            live[value.0] = true;
            last_use[value.0] = Some(usize::MAX);
        }
        // A watched pivot is kept only where its reciprocal is needed.
        for index in (0..steps.len()).rev() {
            if live[index] {
                for used in steps[index].uses() {
                    live[used] = true;
                    last_use[used] = last_use[used].max(Some(index));
                }
            }
        }
        let mut program = Program { ops: Vec::new(), constants: Vec::new(), registers: 0, wanted: Vec::new() };
        let mut register = vec![usize::MAX; steps.len()];
        let mut free: Vec<usize> = Vec::new();
        for (index, step) in steps.iter().enumerate().filter(|&(index, _)| live[index]) {
            if let Step::Constant(value) = step {
                register[index] = program.registers;
                program.constants.push((program.registers, *value));
                program.registers += 1;
                continue;
            }
            if let Step::Reciprocal { a } = *step
                && let Some(&(_, scale)) = watched.iter().find(|&&(value, _)| value == a)
            {
                program.ops.push(Op::Watch { a: register[a], scale });
            }
            let operands: Vec<usize> = step.uses().collect();
            for &used in &operands {
                if last_use[used] == Some(index) && !matches!(steps[used], Step::Constant(_)) {
                    let gone = register[used];
                    if !free.contains(&gone) {
                        free.push(gone);
                    }
                }
            }
            let to = free.pop().unwrap_or_else(|| {
                program.registers += 1;
                program.registers - 1
            });
            register[index] = to;
            program.ops.push(match *step {
                Step::AddScaled { a, k, delta } => Op::AddScaled { to, a: register[a], k, delta },
                Step::MultiplySubtract { a, b, c } => {
                    Op::MultiplySubtract { to, a: register[a], b: register[b], c: register[c] }
                }
                Step::Multiply { a, b } => Op::Multiply { to, a: register[a], b: register[b] },
                Step::Reciprocal { a } => Op::Reciprocal { to, a: register[a] },
                Step::Constant(_) => continue,
            });
        }
        program.wanted = wanted.iter().map(|value| register[value.0]).collect();
        program
    }
}

impl<T> Step<T> {
    fn uses(&self) -> impl Iterator<Item = usize> + use<T> {
        let all: [Option<usize>; 3] = match *self {
            Self::Constant(_) => [None; 3],
            Self::AddScaled { a, .. } | Self::Reciprocal { a } => [Some(a), None, None],
            Self::Multiply { a, b } => [Some(a), Some(b), None],
            Self::MultiplySubtract { a, b, c } => [Some(a), Some(b), Some(c)],
        };
        all.into_iter().flatten()
    }
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Op {
    AddScaled { to: usize, a: usize, k: f64, delta: usize },
    MultiplySubtract { to: usize, a: usize, b: usize, c: usize },
    Multiply { to: usize, a: usize, b: usize },
    Reciprocal { to: usize, a: usize },
    Watch { a: usize, scale: f64 },
}

/// A recorded list of operations.
#[derive(Clone, Debug)]
pub(super) struct Program<T> {
    ops: Vec<Op>,
    constants: Vec<(usize, T)>,
    registers: usize,
    wanted: Vec<usize>,
}

impl<T: Lane> Program<T> {
    /// Registers with the constants in place.
    pub(super) fn workspace(&self) -> Vec<T::Block> {
        let mut registers = vec![T::ZERO.splat(); self.registers];
        for &(register, value) in &self.constants {
            registers[register] = value.splat();
        }
        registers
    }

    /// Runs over one block of boards; returns the least ratio of a pivot to its nominal size, board by board.
    #[inline(always)]
    pub(super) fn run(&self, registers: &mut [T::Block], deltas: &[T::Block]) -> [f64; LANES] {
        let mut health = [f64::INFINITY; LANES];
        for op in &self.ops {
            match *op {
                Op::AddScaled { to, a, k, delta } => T::add_scaled(registers, to, a, k, &deltas[delta]),
                Op::MultiplySubtract { to, a, b, c } => T::multiply_subtract(registers, to, [a, b, c]),
                Op::Multiply { to, a, b } => T::multiply(registers, to, [a, b]),
                Op::Reciprocal { to, a } => T::reciprocal(registers, to, a),
                Op::Watch { a, scale } => T::least(&mut health, &registers[a], scale),
            }
        }
        health
    }

    /// A wanted value of the last run.
    pub(super) fn wanted<'r>(&self, registers: &'r [T::Block], index: usize) -> &'r T::Block {
        &registers[self.wanted[index]]
    }

    /// Operations for one block.
    pub(super) fn len(&self) -> usize {
        self.ops.len()
    }
}
