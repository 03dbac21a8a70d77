//! A straight list of operations on registers: what an elimination becomes once it is recorded.
use super::lanes::{Aligned, Base, Inverse};
use super::recorder::{Draft, Term};
use super::tape::Step;
use super::{LANES, Lane};
use std::borrow::Borrow;

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
    pub(super) registers: usize,
    pub(super) wanted: Vec<usize>,
}

/// What brings a pivot near 1.
pub(super) fn scale<T: Lane>(pivot: T) -> f64 {
    1.0 / pivot.size()
}

impl<T: Lane> Program<T> {
    pub(super) const fn empty() -> Self {
        Self {
            ops: Vec::new(),
            bases: Vec::new(),
            terms: Vec::new(),
            origins: Vec::new(),
            inverses: Vec::new(),
            pivots: Vec::new(),
            constants: Vec::new(),
            registers: 0,
            wanted: Vec::new(),
        }
    }

    /// Gives a constant that is read from a register one of its own.
    pub(super) fn hold(&mut self, index: usize, step: &Step<T>, register: &mut [usize]) {
        if let Step::Constant(value) = step
            && register[index] == usize::MAX
        {
            register[index] = self.registers;
            self.constants.push((self.registers, *value, index));
            self.registers += 1;
        }
    }

    /// What is done at once: one operation, or reciprocals.
    pub(super) fn push(&mut self, group: &[Draft<T>], terms: &[Term], register: &[usize]) {
        let [draft, ..] = group else { return };
        let to = register[draft.value];
        let place = |operand: usize| register[draft.operands()[operand]];
        let first = (self.inverses.len(), self.terms.len());
        for one in group {
            if let (Some(scale), &[a]) = (one.scale, one.operands()) {
                self.inverses.push(Inverse { to: register[one.value], a: register[a], scale });
                self.pivots.push(a);
            }
        }
        if draft.scale.is_some() {
            self.ops.push(Op::Invert { batch: (first.0, self.inverses.len()) });
            return;
        }
        let (from, end) = draft.terms;
        match (from < end, draft.operands()) {
            (true, operands) => {
                self.terms.extend(terms[from..end].iter().map(|term| (term.k, term.delta)));
                self.origins.extend(terms[from..end].iter().map(|term| term.origin));
                let base = match (draft.base, operands) {
                    (None, [_]) => Base::Register(place(0)),
                    (None, _) => Base::Constant(T::ZERO),
                    (Some((value, step)), _) => {
                        self.bases.push((self.ops.len(), step));
                        Base::Constant(value)
                    }
                };
                self.ops.push(Op::Affine { to, base, terms: (first.1, self.terms.len()) });
            }
            (false, [_, _, _]) => self.ops.push(Op::MultiplySubtract { to, a: place(0), b: place(1), c: place(2) }),
            (false, [_, _]) => self.ops.push(Op::Multiply { to, a: place(0), b: place(1) }),
            (false, _) => {}
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
    pub(super) fn retune(&mut self, steps: &[Step<T>], shadow: &[T]) {
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

    /// Operations for one block.
    pub(super) fn len(&self) -> usize {
        self.ops.len()
    }
}
