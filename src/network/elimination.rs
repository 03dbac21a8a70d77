//! A network's equations while they are being eliminated: entries are recorded values.
use super::recorder::{Recorder, Value};
use super::scales::Scales;
use super::wiring::{Network, Node};
use super::{Lane, NetworkFault};

/// Entries below this share of their column's largest are no pivots: multipliers stay below ten.
const THRESHOLD: f64 = 0.1;

/// The equations.
pub(super) struct Elimination<T> {
    /// Column of the node asked for.
    output: Option<usize>,
    pub(super) recorder: Recorder<T>,
    size: usize,
    /// `size` rows of the matrix, then as many columns of right-hand sides.
    entries: Vec<Value>,
    width: usize,
    rows: Vec<usize>,
    columns: Vec<usize>,
}

impl<T: Lane> Elimination<T> {
    pub(super) fn assemble(
        network: &Network,
        hz: f64,
        slots: &[usize],
        drops: &[Vec<Vec<(usize, T)>>],
        wanted: Node,
    ) -> Self {
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

    fn at(&self, row: usize, column: usize) -> Value {
        self.entries[row * self.width + column]
    }

    fn is_zero(&self, row: usize, column: usize) -> bool {
        self.at(row, column) == Recorder::<T>::ZERO
    }

    /// Eliminates all but the node asked for, which is left for last so that nothing has to be substituted
    /// back. `order` holds the pivots that served before; from the first that does not serve here new ones
    /// are sought and put in their place.
    pub(super) fn eliminate(
        &mut self,
        network: &Network,
        order: &mut Vec<(usize, usize)>,
    ) -> Result<Vec<Value>, NetworkFault> {
        let scales = Scales::of(self.size, |row, column| self.recorder.nominal(self.at(row, column)).size());
        let scaled =
            |work: &Self, row, column| scales.scaled(row, column, work.recorder.nominal(work.at(row, column)).size());
        let mut sizes: Vec<f64> =
            (0..self.size * self.size).map(|place| scaled(self, place / self.size, place % self.size)).collect();
        let mut forbidden = network.layout.own_gain.clone();
        let Some(output) = self.output else { return Ok(vec![Recorder::<T>::ZERO; self.width - self.size]) };
        let mut step = 0;
        loop {
            let known = order.get(step).copied().filter(|&place| self.serves(place, &sizes, &forbidden));
            let (row, column) = match known {
                Some(place) => place,
                None => {
                    let Some(place) = self.pivot(&sizes, &forbidden, output) else {
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
                    if source < self.size {
                        sizes[target * self.size + source] = scaled(self, target, source);
                    }
                    // What has been filled in is more than the amplifier's own gain.
                    forbidden.retain(|&place| place != (target, source));
                }
            }
            step += 1;
        }
    }

    /// Whether a place holds a pivot that is large enough beside its column.
    fn serves(&self, (row, column): (usize, usize), sizes: &[f64], forbidden: &[(usize, usize)]) -> bool {
        let size = |row: usize| sizes[row * self.size + column];
        let most = self.rows.iter().map(|&row| size(row)).fold(0.0, f64::max);
        let here = size(row);
        here >= THRESHOLD * most && here > 1e-30 && !forbidden.contains(&(row, column))
    }

    /// The pivot that costs the fewest recorded operations among those large enough.
    fn pivot(&self, sizes: &[f64], forbidden: &[(usize, usize)], output: usize) -> Option<(usize, usize)> {
        let mut best: Option<((usize, f64), (usize, usize))> = None;
        for &column in &self.columns {
            if column == output && self.columns.len() > 1 {
                continue;
            }
            let size = |row: usize| sizes[row * self.size + column];
            let most = self.rows.iter().map(|&row| size(row)).fold(0.0, f64::max);
            for &row in &self.rows {
                let here = size(row);
                if !(here >= THRESHOLD * most && here > 1e-30) || forbidden.contains(&(row, column)) {
                    continue;
                }
                let cost = self.cost(row, column, best.map_or(usize::MAX, |((least, _), _)| least));
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

    /// Operations that eliminating here would record: those that are not constant. Not counted on where they are
    /// more than `most` already.
    fn cost(&self, row: usize, column: usize, most: usize) -> usize {
        let constant = |row, column| self.recorder.is_constant(self.at(row, column));
        let sources = || self.columns.iter().copied().chain(self.size..self.width);
        let pivot_constant = constant(row, column);
        let mut cost = usize::from(!pivot_constant);
        for &target in self.rows.iter().filter(|&&r| r != row && !self.is_zero(r, column)) {
            if cost > most {
                break;
            }
            let factor_constant = pivot_constant && constant(target, column);
            let recorded = |c: usize| !(factor_constant && constant(row, c) && constant(target, c));
            let here = sources().filter(|&c| c != column && !self.is_zero(row, c) && recorded(c)).count();
            cost += usize::from(!factor_constant) + here;
        }
        cost
    }
}
