//! A network, its ports, and which part is behind each element: the contract between the floors.
//!
//! [`crate::topology`] makes a [`Stage`] from a [`Circuit`]; [`crate::predict`] puts questions to it,
//! [`crate::corners`] shakes the [`Quantity`]s that [`Stage::quantities`] lists.
mod chip;
mod circuit;
mod enclose;
mod quantity;
mod shaker;

pub use chip::ChipGainResistor;
pub use circuit::{Circuit, InputFilter, Source, Strays, Surroundings};
pub use quantity::{Cause, Effect, Lot, Quantity};
pub use shaker::Shaker;

use crate::designator::{Amp, Designator};
use crate::network::{Element, Excitation, Network, Node};

/// One of the two wires.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "the two wires")]
pub enum Leg {
    Positive,
    Negative,
}

/// One of an amplifier's two inputs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "the two inputs")]
pub enum Pin {
    Plus,
    Minus,
}

/// What an element of the network stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    /// A resistor on the drawing.
    Resistor(Designator),
    /// An op amp, or the chip.
    Amp(Amp),
    /// EMF of one wire.
    Emf(Leg),
    /// The reference voltage.
    Reference,
    /// Source resistance of one leg.
    SourceLeg(Leg),
    /// Capacitance of one leg's cable.
    Cable(Leg),
    /// Filter resistor of one leg.
    FilterResistor(Leg),
    /// Filter capacitor from one input to ground.
    CommonCapacitor(Leg),
    /// Filter capacitor across the inputs.
    DifferentialCapacitor,
    /// Bias-return resistor of one input.
    BiasReturn(Leg),
    /// Resistance of whatever drives the reference.
    ReferenceResistance,
    /// Wiring in series with RG.
    RgWiring,
    /// Stray capacitance at one end of RG.
    RgStray,
    /// An amplifier input's resistance to ground.
    InputResistance(Amp, Pin),
    /// An amplifier input's capacitance to ground.
    InputCapacitance(Amp, Pin),
}

/// Where a stage is driven and read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ports {
    /// EMF of the positive wire.
    pub positive: Element,
    /// EMF of the negative wire.
    pub negative: Element,
    /// The reference voltage.
    pub reference: Element,
    /// The output.
    pub output: Node,
    /// The amplifier's inputs, behind source and filter.
    pub inputs: (Node, Node),
}

/// A network with names.
#[derive(Clone, Debug, PartialEq)]
pub struct Stage {
    /// What it was made from.
    pub circuit: Circuit,
    /// The physics.
    pub network: Network,
    /// Where to drive and read it.
    pub ports: Ports,
    /// What each element stands for.
    pub roles: Vec<(Role, Element)>,
}

impl Stage {
    /// The element with a role.
    #[must_use]
    pub fn element(&self, role: Role) -> Option<Element> {
        self.roles.iter().find(|(one, _)| *one == role).map(|&(_, element)| element)
    }

    /// The role of an element.
    #[must_use]
    pub fn role(&self, element: Element) -> Option<Role> {
        self.roles.iter().find(|(_, one)| *one == element).map(|&(role, _)| role)
    }

    /// 1 V of difference, symmetric about 0.
    #[must_use]
    pub fn differential(&self) -> Excitation {
        Excitation::emf(self.ports.positive, 0.5).and_emf(self.ports.negative, -0.5)
    }

    /// 1 V of common mode.
    #[must_use]
    pub fn common(&self) -> Excitation {
        Excitation::emf(self.ports.positive, 1.0).and_emf(self.ports.negative, 1.0)
    }

    /// 1 V of reference.
    #[must_use]
    pub fn reference(&self) -> Excitation {
        Excitation::emf(self.ports.reference, 1.0)
    }
}
