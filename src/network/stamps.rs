//! Assembly: which value stands where in the equations.
use super::Scalar;
use super::wiring::{Element, Item, Kind, Network, Node};
use num_complex::Complex64;

/// A value of the network that may vary: where it enters the equations, everything else is fixed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Slot {
    /// Admittance of a resistor or capacitor, S.
    Admittance(Element),
    /// `a` of an amplifier, V/V.
    InverseGain(Element),
    /// `c` of an amplifier, V/V.
    CommonMode(Element),
}

/// What drives the network: a weighted sum of sources.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Excitation(pub(super) Vec<(Drive, f64)>);

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Drive {
    Emf(Element),
    Offset(Element),
    Current { from: Node, into: Node },
}

impl Excitation {
    /// EMF of a voltage source, V.
    #[must_use]
    pub fn emf(source: Element, volt: f64) -> Self {
        Self::default().and_emf(source, volt)
    }

    /// One more EMF, V.
    #[must_use]
    pub fn and_emf(mut self, source: Element, volt: f64) -> Self {
        self.0.push((Drive::Emf(source), volt));
        self
    }

    /// Input offset voltage of an amplifier, V, as `v_os` in its equation.
    #[must_use]
    pub fn and_offset(mut self, amplifier: Element, volt: f64) -> Self {
        self.0.push((Drive::Offset(amplifier), volt));
        self
    }

    /// A current taken from one node and fed into another, A.
    #[must_use]
    pub fn and_current(mut self, from: Node, into: Node, ampere: f64) -> Self {
        self.0.push((Drive::Current { from, into }, ampere));
        self
    }
}

/// One contribution to the matrix: `coefficient * value(slot)` at row, column.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stamp {
    pub(super) row: usize,
    pub(super) column: usize,
    pub(super) coefficient: f64,
    pub(super) slot: Option<usize>,
}

/// Numbering of unknowns and values. Unknown `k` is the voltage of node `k + 1`, then come the
/// currents of sources and amplifier outputs; rows likewise.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Layout {
    pub(super) size: usize,
    pub(super) stamps: Vec<Stamp>,
    pub(super) slots: Vec<Slot>,
    /// Row and column of an element's own equation and current.
    pub(super) branch: Vec<Option<usize>>,
    /// Matrix places where only an amplifier's own `-a` stands: never a pivot.
    pub(super) own_gain: Vec<(usize, usize)>,
}

impl Layout {
    pub(super) fn new(nodes: usize, items: &[Item]) -> Self {
        let mut layout = Self { size: nodes - 1, branch: vec![None; items.len()], ..Self::default() };
        for (index, item) in items.iter().enumerate() {
            layout.element(Element(index), item);
        }
        layout
    }

    fn slot(&mut self, slot: Slot) -> Option<usize> {
        self.slots.push(slot);
        Some(self.slots.len() - 1)
    }

    fn put(&mut self, row: Option<usize>, column: Option<usize>, coefficient: f64, slot: Option<usize>) {
        if let (Some(row), Some(column)) = (row, column) {
            self.stamps.push(Stamp { row, column, coefficient, slot });
        }
    }

    fn element(&mut self, element: Element, item: &Item) {
        let at = |node: Node| node.0.checked_sub(1);
        match item.kind {
            Kind::Resistor { a, b, .. } | Kind::Capacitor { a, b, .. } => {
                let slot = self.slot(Slot::Admittance(element));
                for (row, column, sign) in [(a, a, 1.0), (a, b, -1.0), (b, a, -1.0), (b, b, 1.0)] {
                    self.put(at(row), at(column), sign, slot);
                }
            }
            Kind::Source { plus, minus } => {
                let own = Some(self.branch(element));
                for (node, sign) in [(plus, 1.0), (minus, -1.0)] {
                    self.put(at(node), own, sign, None);
                    self.put(own, at(node), sign, None);
                }
            }
            Kind::Amplifier { plus, minus, out, base, needs_feedback, .. } => {
                let own = Some(self.branch(element));
                for (node, sign) in [(out, 1.0), (base, -1.0)] {
                    self.put(at(node), own, sign, None);
                }
                self.put(own, at(plus), 1.0, None);
                self.put(own, at(minus), -1.0, None);
                let a = self.slot(Slot::InverseGain(element));
                self.put(own, at(out), -1.0, a);
                self.put(own, at(base), 1.0, a);
                let c = self.slot(Slot::CommonMode(element));
                self.put(own, at(plus), 0.5, c);
                self.put(own, at(minus), 0.5, c);
                if let (Some(row), Some(column), true) = (own, at(out), needs_feedback && out != plus && out != minus) {
                    self.own_gain.push((row, column));
                }
            }
        }
    }

    fn branch(&mut self, element: Element) -> usize {
        self.size += 1;
        self.branch[element.0] = Some(self.size - 1);
        self.size - 1
    }

    pub(super) fn slot_index(&self, slot: Slot) -> Option<usize> {
        self.slots.iter().position(|&one| one == slot)
    }

    /// The right-hand side of an excitation.
    pub(super) fn rhs(&self, excitation: &Excitation) -> Vec<f64> {
        let mut rhs = vec![0.0; self.size];
        for (row, value) in self.drives(excitation) {
            rhs[row] += value;
        }
        rhs
    }

    /// The excitation as (row, value) pairs.
    pub(super) fn drives(&self, excitation: &Excitation) -> Vec<(usize, f64)> {
        let mut all = Vec::new();
        for &(drive, weight) in &excitation.0 {
            match drive {
                Drive::Emf(source) => all.extend(self.branch[source.0].map(|row| (row, weight))),
                Drive::Offset(amplifier) => all.extend(self.branch[amplifier.0].map(|row| (row, -weight))),
                Drive::Current { from, into } => {
                    all.extend(from.0.checked_sub(1).map(|row| (row, -weight)));
                    all.extend(into.0.checked_sub(1).map(|row| (row, weight)));
                }
            }
        }
        all
    }
}

impl Network {
    /// What a slot holds at a frequency, nominally.
    #[must_use]
    pub fn slot_value(&self, slot: Slot, hz: f64) -> Complex64 {
        let (Slot::Admittance(element) | Slot::InverseGain(element) | Slot::CommonMode(element)) = slot;
        match (slot, self.items[element.0].kind) {
            (Slot::Admittance(_), Kind::Resistor { ohm, .. }) => Complex64::new(1.0 / ohm, 0.0),
            (Slot::Admittance(_), Kind::Capacitor { farad, .. }) => {
                Complex64::new(0.0, std::f64::consts::TAU * hz * farad)
            }
            (Slot::InverseGain(_), Kind::Amplifier { value, .. }) => value.a(hz),
            (Slot::CommonMode(_), Kind::Amplifier { value, .. }) => value.common_mode_at(hz),
            _ => Complex64::new(0.0, 0.0),
        }
    }

    pub(super) fn slot_values<T: Scalar>(&self, hz: f64) -> Vec<T> {
        self.layout.slots.iter().map(|&slot| T::complex(self.slot_value(slot, hz))).collect()
    }

    /// Name of an unknown, for messages.
    pub(super) fn unknown_name(&self, column: usize) -> String {
        if column + 1 < self.nodes.len() {
            return format!("the voltage of {}", self.nodes[column + 1]);
        }
        let owner = self.layout.branch.iter().position(|&own| own == Some(column));
        owner.map_or_else(String::new, |index| format!("the current of {}", self.items[index].name))
    }
}
