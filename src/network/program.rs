//! A straight list of operations on registers: what an elimination becomes once it is recorded.
use super::lanes::{Aligned, BATCH, Base, Inverse};
use super::tape::{Step, Tape};
use super::{LANES, Lane};
use std::borrow::Borrow;

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
        let mut plans = self.plans(&uses);
        // Everything that needs no reciprocal of this level first, then its reciprocals, side by side.
        plans.sort_by_key(|plan| (plan.level, plan.batched()));
        let mut batches: Vec<Plan<T>> = Vec::new();
        for plan in plans {
            match batches.last_mut() {
                Some(last) if last.joins(&plan) => {
                    last.values.extend(plan.values);
                    last.operands.extend(plan.operands);
                    last.scales.extend(plan.scales);
                }
                _ => batches.push(plan),
            }
        }
        let places: Vec<usize> = wanted.iter().map(|value| value.0).collect();
        let program = self.allocate(&batches, wanted);
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

    fn plans(&self, uses: &[usize]) -> Vec<Plan<T>> {
        let mut levels = vec![0_usize; self.steps.len()];
        let mut absorbed = vec![false; self.steps.len()];
        let mut plans = Vec::new();
        for (index, step) in self.steps.iter().enumerate() {
            let level = step.uses().map(|used| levels[used]).max().unwrap_or(0);
            levels[index] = level + usize::from(matches!(step, Step::Reciprocal { .. }));
        }
        // From the end, so that a chain of sums is met at its last link.
        for index in (0..self.steps.len()).rev().filter(|&index| uses[index] > 0) {
            if absorbed[index] {
                continue;
            }
            let mut plan = Plan { values: vec![index], level: levels[index], ..Plan::default() };
            match self.steps[index] {
                Step::Constant(_) => continue,
                Step::MultiplySubtract { a, b, c } => plan.operands = vec![a, b, c],
                Step::Multiply { a, b } => plan.operands = vec![a, b],
                Step::Reciprocal { a } => {
                    plan.level -= 1;
                    plan.operands = vec![a];
                    plan.scales = vec![scale(self.shadow[a])];
                }
                Step::AddScaled { a, k, delta } => {
                    let mut base = a;
                    plan.terms.push((k, delta));
                    plan.origins.push(index);
                    while let Step::AddScaled { a, k, delta } = self.steps[base]
                        && uses[base] == 1
                        && plan.terms.len() < BATCH
                    {
                        absorbed[base] = true;
                        plan.terms.push((k, delta));
                        plan.origins.push(base);
                        base = a;
                    }
                    plan.terms.reverse();
                    plan.origins.reverse();
                    match self.steps[base] {
                        Step::Constant(value) => plan.base = Some((value, base)),
                        _ => plan.operands = vec![base],
                    }
                }
            }
            plans.push(plan);
        }
        plans.reverse();
        plans
    }

    fn allocate(&self, plans: &[Plan<T>], wanted: &[Value]) -> Program<T> {
        let mut last_use = vec![0; self.steps.len()];
        for (at, plan) in plans.iter().enumerate() {
            for &used in &plan.operands {
                last_use[used] = at;
            }
        }
        for value in wanted {
            last_use[value.0] = usize::MAX;
        }
        let mut program = Program {
            ops: Vec::new(),
            bases: Vec::new(),
            terms: Vec::new(),
            origins: Vec::new(),
            inverses: Vec::new(),
            pivots: Vec::new(),
            constants: Vec::new(),
            registers: 0,
            wanted: Vec::new(),
        };
        let mut register = vec![usize::MAX; self.steps.len()];
        let mut free: Vec<usize> = Vec::new();
        for (at, plan) in plans.iter().enumerate() {
            for &used in &plan.operands {
                program.hold(used, &self.steps[used], &mut register);
            }
            let gone = |&used: &usize| last_use[used] == at && !matches!(self.steps[used], Step::Constant(_));
            let freed: Vec<usize> = plan.operands.iter().copied().filter(gone).map(|used| register[used]).collect();
            let release = |free: &mut Vec<usize>| {
                for &place in &freed {
                    if !free.contains(&place) {
                        free.push(place);
                    }
                }
            };
            // A batch may write one result before it reads another operand; all else reads first.
            if !plan.batched() {
                release(&mut free);
            }
            for &value in &plan.values {
                register[value] = free.pop().unwrap_or_else(|| {
                    program.registers += 1;
                    program.registers - 1
                });
            }
            if plan.batched() {
                release(&mut free);
            }
            program.push(plan, &register);
        }
        for value in wanted {
            program.hold(value.0, &self.steps[value.0], &mut register);
        }
        program.wanted = wanted.iter().map(|value| register[value.0]).collect();
        program
    }
}

/// One operation before it has registers: a product, a sum of many terms, or a batch of reciprocals.
#[derive(Clone, Debug)]
struct Plan<T> {
    values: Vec<usize>,
    operands: Vec<usize>,
    terms: Vec<(f64, usize)>,
    /// The steps that the terms come from.
    origins: Vec<usize>,
    /// A constant, and its step.
    base: Option<(T, usize)>,
    scales: Vec<f64>,
    level: usize,
}

impl<T> Default for Plan<T> {
    fn default() -> Self {
        let (values, operands) = (Vec::new(), Vec::new());
        let (terms, origins, scales) = (Vec::new(), Vec::new(), Vec::new());
        Self { values, operands, terms, origins, base: None, scales, level: 0 }
    }
}

impl<T> Plan<T> {
    fn batched(&self) -> bool {
        !self.scales.is_empty()
    }

    fn joins(&self, other: &Self) -> bool {
        self.batched() && other.batched() && self.level == other.level && self.values.len() < BATCH
    }
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Op<T> {
    /// Terms from one place to another.
    Affine {
        to: usize,
        base: Base<T>,
        terms: (usize, usize),
    },
    MultiplySubtract {
        to: usize,
        a: usize,
        b: usize,
        c: usize,
    },
    Multiply {
        to: usize,
        a: usize,
        b: usize,
    },
    /// Reciprocals from one place to another.
    Invert {
        batch: (usize, usize),
    },
}

/// A recorded list of operations.
#[derive(Clone, Debug)]
pub(super) struct Program<T> {
    ops: Vec<Op<T>>,
    /// Operations with a constant base, and its step.
    bases: Vec<(usize, usize)>,
    terms: Vec<(f64, usize)>,
    /// The step of each term.
    origins: Vec<usize>,
    inverses: Vec<Inverse>,
    /// The step that each inverse is taken of.
    pivots: Vec<usize>,
    /// Registers that hold a constant, and its step.
    constants: Vec<(usize, T, usize)>,
    registers: usize,
    wanted: Vec<usize>,
}

/// What brings a pivot near 1.
fn scale<T: Lane>(pivot: T) -> f64 {
    1.0 / pivot.size()
}

impl<T: Lane> Program<T> {
    /// Gives a constant that is read from a register one of its own.
    fn hold(&mut self, index: usize, step: &Step<T>, register: &mut [usize]) {
        if let Step::Constant(value) = step
            && register[index] == usize::MAX
        {
            register[index] = self.registers;
            self.constants.push((self.registers, *value, index));
            self.registers += 1;
        }
    }

    fn push(&mut self, plan: &Plan<T>, register: &[usize]) {
        let place = |value: &usize| register[*value];
        let Some(to) = plan.values.first().map(place) else { return };
        let operands: Vec<usize> = plan.operands.iter().map(place).collect();
        if plan.batched() {
            let first = self.inverses.len();
            for ((value, &a), &scale) in plan.values.iter().zip(&operands).zip(&plan.scales) {
                self.inverses.push(Inverse { to: register[*value], a, scale });
            }
            self.pivots.extend(&plan.operands);
            self.ops.push(Op::Invert { batch: (first, self.inverses.len()) });
        } else if !plan.terms.is_empty() {
            let first = self.terms.len();
            self.terms.extend(&plan.terms);
            self.origins.extend(&plan.origins);
            let base = match (plan.base, operands.as_slice()) {
                (None, &[a]) => Base::Register(a),
                (None, _) => Base::Constant(T::ZERO),
                (Some((value, step)), _) => {
                    self.bases.push((self.ops.len(), step));
                    Base::Constant(value)
                }
            };
            self.ops.push(Op::Affine { to, base, terms: (first, self.terms.len()) });
        } else {
            match *operands.as_slice() {
                [a, b, c] => self.ops.push(Op::MultiplySubtract { to, a, b, c }),
                [a, b] => self.ops.push(Op::Multiply { to, a, b }),
                _ => {}
            }
        }
    }

    /// Registers with the constants in place.
    pub(super) fn workspace(&self) -> Vec<Aligned<T::Block>> {
        let mut registers = vec![Aligned(T::ZERO.splat()); self.registers];
        self.restore(&mut registers);
        registers
    }

    /// Puts the constants into their registers.
    pub(super) fn restore(&self, registers: &mut [Aligned<T::Block>]) {
        for &(register, value, _) in &self.constants {
            registers[register] = Aligned(value.splat());
        }
    }

    /// Takes the constants of steps that do the same.
    fn retune(&mut self, steps: &[Step<T>], shadow: &[T]) {
        for (_, value, step) in &mut self.constants {
            *value = shadow[*step];
        }
        for &(op, step) in &self.bases {
            if let Op::Affine { base: Base::Constant(value), .. } = &mut self.ops[op] {
                *value = shadow[step];
            }
        }
        for ((by, _), &step) in self.terms.iter_mut().zip(&self.origins) {
            if let Step::AddScaled { k, .. } = steps[step] {
                *by = k;
            }
        }
        for (inverse, &pivot) in self.inverses.iter_mut().zip(&self.pivots) {
            inverse.scale = scale(shadow[pivot]);
        }
    }

    /// Runs over one block of boards; returns the least ratio of a pivot to its nominal size, board by board.
    #[inline(always)]
    pub(super) fn run<D: Borrow<T::Block>>(&self, registers: &mut [Aligned<T::Block>], deltas: &[D]) -> [f64; LANES] {
        let mut health = [f64::INFINITY; LANES];
        for op in &self.ops {
            match *op {
                Op::Affine { to, base, terms: (first, end) } => {
                    T::affine(registers, to, base, &self.terms[first..end], deltas);
                }
                Op::MultiplySubtract { to, a, b, c } => T::multiply_subtract(registers, to, [a, b, c]),
                Op::Multiply { to, a, b } => T::multiply(registers, to, [a, b]),
                Op::Invert { batch: (first, end) } => {
                    T::invert(registers, &self.inverses[first..end], &mut health);
                }
            }
        }
        health
    }

    /// A wanted value of the last run.
    #[inline(always)]
    pub(super) fn wanted<'r>(&self, registers: &'r [Aligned<T::Block>], index: usize) -> &'r T::Block {
        &registers[self.wanted[index]].0
    }

    /// Registers of a workspace.
    pub(super) const fn registers(&self) -> usize {
        self.registers
    }

    /// Operations for one block.
    pub(super) fn len(&self) -> usize {
        self.ops.len()
    }
}
