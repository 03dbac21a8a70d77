//! A network eliminated once, replayed over many boards.
use super::interval::Interval;
use super::lanes::Aligned;
use super::program::{Program, Recorder};
use super::tape::{Enclosure, Tape};
use super::wiring::{Network, Node};
use super::{Excitation, Instructions, LANES, Lane, NetworkFault, Nominal, Slot, Solver, Task, eliminate};
use std::borrow::Borrow;

/// Entries below this share of their column's largest are no pivots: multipliers stay below ten.
const THRESHOLD: f64 = 0.1;

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
        if self.registers.len() == plan.program.registers() {
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
        let mut order = std::mem::take(&mut self.order);
        let found = recording.work.eliminate(&self.network, &mut order);
        self.order = order;
        let found = found?;
        if let Err(recorder) = recording.work.recorder.retune(&found, &mut self.program, &mut self.tape) {
            (self.program, self.tape) = recorder.finish(&found);
        }
        (self.nominal, self.drops, self.hz) = (recording.nominal, recording.drops, hz);
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

/// The equations while they are being eliminated: entries are recorded values.
struct Elimination<T> {
    /// Column of the node asked for.
    output: Option<usize>,
    recorder: Recorder<T>,
    size: usize,
    /// `size` rows of the matrix, then as many columns of right-hand sides.
    entries: Vec<super::program::Value>,
    width: usize,
    rows: Vec<usize>,
    columns: Vec<usize>,
}

impl<T: Lane> Elimination<T> {
    fn assemble(network: &Network, hz: f64, slots: &[usize], drops: &[Vec<Vec<(usize, T)>>], wanted: Node) -> Self {
        let layout = &network.layout;
        let (size, width) = (layout.size, layout.size + drops.len());
        let values = network.slot_values::<T>(hz);
        let mut constant = vec![T::ZERO; size * width];
        for stamp in &layout.stamps {
            let value = stamp.slot.map_or(T::ONE, |slot| values[slot]);
            constant[stamp.row * width + stamp.column] += value.scale(stamp.coefficient);
        }
        let mut recorder = Recorder::new();
        let mut entries: Vec<_> = constant.into_iter().map(|value| recorder.constant(value)).collect();
        for stamp in &layout.stamps {
            let varying = slots.iter().position(|&slot| stamp.slot == Some(slot));
            if let Some(delta) = varying {
                let place = stamp.row * width + stamp.column;
                entries[place] = recorder.add_scaled(entries[place], stamp.coefficient, delta);
            }
        }
        for (index, drops) in drops.iter().enumerate() {
            for (delta, rows) in drops.iter().enumerate() {
                for &(row, drop) in rows {
                    let place = row * width + size + index;
                    let drop = drop.to_complex();
                    // A complex factor is a real and an imaginary one; dc has the real one only.
                    entries[place] = recorder.add_scaled(entries[place], -drop.re, delta);
                    if drop.im != 0.0 {
                        let zero = Recorder::<T>::ZERO;
                        let plain = recorder.add_scaled(zero, drop.im, delta);
                        let turn = recorder.constant(T::complex(num_complex::Complex64::new(0.0, 1.0)));
                        entries[place] = recorder.multiply_subtract(entries[place], turn, plain);
                    }
                }
            }
        }
        let (rows, columns) = ((0..size).collect(), (0..size).collect());
        Self { output: wanted.0.checked_sub(1), recorder, size, entries, width, rows, columns }
    }

    fn at(&self, row: usize, column: usize) -> super::program::Value {
        self.entries[row * self.width + column]
    }

    fn is_zero(&self, row: usize, column: usize) -> bool {
        self.at(row, column) == Recorder::<T>::ZERO
    }

    /// Eliminates all but the node asked for, which is left for last so that nothing has to be substituted
    /// back. `order` holds the pivots that served before; from the first that does not serve here new ones
    /// are sought and put in their place.
    fn eliminate(
        &mut self,
        network: &Network,
        order: &mut Vec<(usize, usize)>,
    ) -> Result<Vec<super::program::Value>, NetworkFault> {
        let scales = eliminate::Scales::of(self.size, |row, column| self.recorder.nominal(self.at(row, column)).size());
        let mut forbidden = network.layout.own_gain.clone();
        let Some(output) = self.output else { return Ok(vec![Recorder::<T>::ZERO; self.width - self.size]) };
        let mut step = 0;
        loop {
            let known = order.get(step).copied().filter(|&place| self.serves(place, &scales, &forbidden));
            let (row, column) = match known {
                Some(place) => place,
                None => {
                    let Some(place) = self.pivot(&scales, &forbidden, output) else {
                        let left = self.columns.first().copied().unwrap_or(output);
                        return Err(NetworkFault::Singular { unknown: network.unknown_name(left) });
                    };
                    order.truncate(step);
                    order.push(place);
                    place
                }
            };
            let inverse = {
                let pivot = self.at(row, column);
                self.recorder.reciprocal(pivot)
            };
            if column == output {
                return Ok((self.size..self.width)
                    .map(|side| {
                        let rhs = self.at(row, side);
                        self.recorder.multiply(rhs, inverse)
                    })
                    .collect());
            }
            self.rows.retain(|&one| one != row);
            self.columns.retain(|&one| one != column);
            let targets: Vec<usize> = self.rows.iter().copied().filter(|&r| !self.is_zero(r, column)).collect();
            let sources: Vec<usize> =
                self.columns.iter().copied().chain(self.size..self.width).filter(|&c| !self.is_zero(row, c)).collect();
            for &target in &targets {
                let below = self.at(target, column);
                let factor = self.recorder.multiply(below, inverse);
                for &source in &sources {
                    let (a, c) = (self.at(target, source), self.at(row, source));
                    self.entries[target * self.width + source] = self.recorder.multiply_subtract(a, factor, c);
                    // What has been filled in is more than the amplifier's own gain.
                    forbidden.retain(|&place| place != (target, source));
                }
            }
            step += 1;
        }
    }

    /// Whether a place holds a pivot that is large enough beside its column.
    fn serves(&self, (row, column): (usize, usize), scales: &eliminate::Scales, forbidden: &[(usize, usize)]) -> bool {
        let size = |row: usize| scales.scaled(row, column, self.recorder.nominal(self.at(row, column)).size());
        let most = self.rows.iter().map(|&row| size(row)).fold(0.0, f64::max);
        let here = size(row);
        here >= THRESHOLD * most && here > 1e-30 && !forbidden.contains(&(row, column))
    }

    /// The pivot that costs the fewest recorded operations among those large enough.
    fn pivot(&self, scales: &eliminate::Scales, forbidden: &[(usize, usize)], output: usize) -> Option<(usize, usize)> {
        let mut best: Option<((usize, f64), (usize, usize))> = None;
        for &column in &self.columns {
            if column == output && self.columns.len() > 1 {
                continue;
            }
            let size = |row: usize| scales.scaled(row, column, self.recorder.nominal(self.at(row, column)).size());
            let most = self.rows.iter().map(|&row| size(row)).fold(0.0, f64::max);
            for &row in &self.rows {
                let here = size(row);
                if !(here >= THRESHOLD * most && here > 1e-30) || forbidden.contains(&(row, column)) {
                    continue;
                }
                let cost = self.cost(row, column);
                let better = match best {
                    None => true,
                    Some(((least, large), _)) => cost < least || (cost == least && here > large),
                };
                if better {
                    best = Some(((cost, here), (row, column)));
                }
            }
        }
        best.map(|(_, place)| place)
    }

    /// Operations that eliminating here would record: those that are not constant.
    fn cost(&self, row: usize, column: usize) -> usize {
        let constant = |row, column| self.recorder.is_constant(self.at(row, column));
        let pivot_constant = constant(row, column);
        let sources: Vec<usize> = self
            .columns
            .iter()
            .copied()
            .chain(self.size..self.width)
            .filter(|&c| c != column && !self.is_zero(row, c))
            .collect();
        let mut cost = usize::from(!pivot_constant);
        for &target in self.rows.iter().filter(|&&r| r != row && !self.is_zero(r, column)) {
            let factor_constant = pivot_constant && constant(target, column);
            cost += usize::from(!factor_constant);
            cost += sources.iter().filter(|&&c| !(factor_constant && constant(row, c) && constant(target, c))).count();
        }
        cost
    }
}
