//! A network eliminated once, replayed over many boards.
use super::elimination::Elimination;
use super::interval::Interval;
use super::lanes::Aligned;
use super::program::Program;
use super::tape::{Enclosure, Tape};
use super::wiring::{Network, Node};
use super::{Excitation, Instructions, LANES, Lane, NetworkFault, Nominal, Slot, Solver, Task};
use std::borrow::Borrow;

/// A pivot that has shrunk below this share of its nominal size sends its board to pivoted LU.
const HEALTHY: f64 = 1e-3;

/// One node's voltage under several excitations, as a list of operations on the deviations of some
/// slots. What it computes is the change against the nominal state, to which it is then added:
/// no digits cancel, whatever the rejection.
#[derive(Clone, Debug)]
pub struct Plan<T: Lane> {
    program: Program<T>,
    tape: Tape<T>,
    nominal: Vec<T>,
    // For the fall-back: everything a pivoted solve of one board needs.
    network: Network,
    hz: f64,
    slots: Vec<usize>,
    drops: Vec<Vec<Vec<(usize, T)>>>,
    // For another frequency.
    order: Vec<(usize, usize)>,
    excitations: Vec<Excitation>,
    wanted: Node,
}

/// Buffers of one thread.
#[derive(Clone, Debug)]
pub struct Workspace<T: Lane> {
    instructions: Instructions,
    registers: Vec<Aligned<T::Block>>,
    /// Boards that fell back to pivoted LU so far.
    pub fallbacks: u64,
}

impl<T: Lane> Workspace<T> {
    /// The instructions it was made for.
    #[must_use]
    pub const fn instructions(&self) -> Instructions {
        self.instructions
    }

    /// Follows a plan that was retuned.
    pub fn retune(&mut self, plan: &Plan<T>) {
        if self.registers.len() == plan.program.registers {
            plan.program.restore(&mut self.registers);
        } else {
            self.registers = plan.program.workspace();
        }
    }
}

impl<T: Lane> Plan<T> {
    /// Records the elimination of `network` at `hz` with `varying` slots; `wanted` is the node asked for.
    ///
    /// # Errors
    /// [`NetworkFault::Singular`].
    pub fn record(
        network: &Network,
        hz: f64,
        varying: &[Slot],
        excitations: &[Excitation],
        wanted: Node,
    ) -> Result<Self, NetworkFault> {
        let slots: Vec<usize> = varying.iter().filter_map(|&slot| network.layout.slot_index(slot)).collect();
        let mut recording = Recording::new(network, hz, &slots, excitations, wanted)?;
        let mut order = Vec::new();
        let found = recording.work.eliminate(network, &mut order)?;
        let (program, tape) = recording.work.recorder.finish(&found);
        Ok(Self {
            program,
            tape,
            order,
            nominal: recording.nominal,
            drops: recording.drops,
            network: network.clone(),
            hz,
            slots,
            excitations: excitations.to_vec(),
            wanted,
        })
    }

    /// The same network, slots and question at another frequency: the pivots are kept while they are good
    /// ones there, the operations while they are the same. Workspaces must be [`Workspace::retune`]d.
    ///
    /// # Errors
    /// [`NetworkFault::Singular`]; the plan stays as it was.
    pub fn retune(&mut self, hz: f64) -> Result<(), NetworkFault> {
        let mut recording = Recording::new(&self.network, hz, &self.slots, &self.excitations, self.wanted)?;
        let mut order = self.order.clone();
        let found = recording.work.eliminate(&self.network, &mut order)?;
        if let Err(recorder) = recording.work.recorder.retune(&found, &mut self.program, &mut self.tape) {
            (self.program, self.tape) = recorder.finish(&found);
        }
        (self.nominal, self.drops, self.order, self.hz) = (recording.nominal, recording.drops, order, hz);
        Ok(())
    }

    /// The nominal voltage under each excitation.
    #[must_use]
    pub fn nominal(&self) -> &[T] {
        &self.nominal
    }

    /// Operations for one block of boards.
    #[must_use]
    pub fn operations(&self) -> usize {
        self.program.len()
    }

    /// Buffers for one thread that may use these instructions.
    #[must_use]
    pub fn workspace(&self, instructions: Instructions) -> Workspace<T> {
        Workspace { instructions, registers: self.program.workspace(), fallbacks: 0 }
    }

    /// Voltages of one block of boards. `deltas[k]` holds the deviations of the `k`th varying slot, in
    /// the slot's own unit; `out[e]` receives the voltage under the `e`th excitation.
    pub fn replay<D: Borrow<T::Block>>(&self, work: &mut Workspace<T>, deltas: &[D], out: &mut [T::Block]) {
        let run = Run { plan: self, registers: &mut work.registers, deltas, out };
        let (health, well) = work.instructions.run(run);
        if well {
            return;
        }
        for (lane, &health) in health.iter().enumerate() {
            if !(health > HEALTHY) {
                work.fallbacks += 1;
                let one: Vec<T> = deltas.iter().map(|block| T::get(block.borrow(), lane)).collect();
                for (index, value) in self.pivoted(&one).into_iter().enumerate() {
                    T::set(&mut out[index], lane, value);
                }
            }
        }
    }

    /// The same for one board by pivoted LU; not-a-number where that board has no single solution.
    #[must_use]
    pub fn pivoted(&self, deltas: &[T]) -> Vec<T> {
        let mut values = self.network.slot_values::<T>(self.hz);
        for (&slot, &delta) in self.slots.iter().zip(deltas) {
            values[slot] += delta;
        }
        let Ok(solver) = Solver::factor(&self.network, &values) else {
            return vec![T::real(f64::NAN); self.nominal.len()];
        };
        let column = |x: &[T]| self.wanted.0.checked_sub(1).map_or(T::ZERO, |column| x[column]);
        self.nominal
            .iter()
            .zip(&self.drops)
            .map(|(&nominal, drops)| {
                let mut rhs = vec![T::ZERO; self.network.layout.size];
                for (rows, &delta) in drops.iter().zip(deltas) {
                    for &(row, drop) in rows {
                        rhs[row] -= drop * delta;
                    }
                }
                nominal + column(&solver.solve(&rhs))
            })
            .collect()
    }
}

impl Plan<f64> {
    /// What the voltages and their slopes can be while each deviation is anywhere in its interval; `None`
    /// where that can't be told, because a pivot might vanish.
    #[must_use]
    pub fn enclose(&self, deltas: &[Interval]) -> Option<Vec<Enclosure>> {
        let mut found = self.tape.enclose(deltas)?;
        for (one, &nominal) in found.iter_mut().zip(&self.nominal) {
            one.value += Interval::point(nominal);
        }
        Some(found)
    }
}

struct Run<'r, T: Lane, D> {
    plan: &'r Plan<T>,
    registers: &'r mut [Aligned<T::Block>],
    deltas: &'r [D],
    out: &'r mut [T::Block],
}

impl<T: Lane, D: Borrow<T::Block>> Task for Run<'_, T, D> {
    /// Health of each board, and whether all are well.
    type Output = ([f64; LANES], bool);
    #[inline(always)]
    fn run(self) -> Self::Output {
        let Self { plan, registers, deltas, out } = self;
        let health = plan.program.run(registers, deltas);
        for (index, (out, &nominal)) in out.iter_mut().zip(&plan.nominal).enumerate() {
            T::shifted(out, nominal, plan.program.wanted(registers, index));
        }
        let ill: u32 = health.iter().map(|&health| u32::from(!(health > HEALTHY))).sum();
        (health, ill == 0)
    }
}

/// What is known before the elimination.
struct Recording<T> {
    nominal: Vec<T>,
    drops: Vec<Vec<Vec<(usize, T)>>>,
    work: Elimination<T>,
}

impl<T: Lane> Recording<T> {
    fn new(
        network: &Network,
        hz: f64,
        slots: &[usize],
        excitations: &[Excitation],
        wanted: Node,
    ) -> Result<Self, NetworkFault> {
        let solver = network.at::<T>(hz)?;
        let states: Vec<Nominal> = excitations.iter().map(|one| Nominal::refine(network, hz, one, &solver)).collect();
        let drops: Vec<Vec<Vec<(usize, T)>>> =
            states.iter().map(|state| slots.iter().map(|&slot| state.drops(network, slot)).collect()).collect();
        Ok(Self {
            nominal: states.iter().map(|state| state.voltage(wanted)).collect(),
            work: Elimination::assemble(network, hz, slots, &drops, wanted),
            drops,
        })
    }
}
