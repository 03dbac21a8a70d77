//! The physics: a linear network of resistors, capacitors, voltage sources and amplifiers, solved
//! exactly by one engine, real at dc and complex at a frequency.
//!
//! * [`Network`] holds wiring and values; [`Builder`] makes one and refuses what has no answer.
//! * [`Solver`] answers single questions: node voltages, currents, and by one adjoint solution the
//!   effect of every source on one node.
//! * [`Plan`] eliminates a network once, with the pivot order and all that does not vary folded into
//!   constants, and replays it over many boards, lane by lane.
//!
//! The equations are modified nodal analysis (Ho, Ruehli, Brennan, "The modified nodal approach to
//! network analysis", IEEE Trans. Circuits and Systems, 1975; from memory): Kirchhoff's current law at
//! every node, one row for each voltage source, one for each amplifier.
//!
//! ```
//! use evenkeel::network::{Builder, Excitation, GROUND};
//! # fn main() -> Result<(), evenkeel::network::NetworkFault> {
//! let mut b = Builder::new();
//! let (top, tap) = (b.node("top"), b.node("tap"));
//! let emf = b.source("E", top, GROUND);
//! b.resistor("R1", top, tap, 1e3);
//! b.resistor("R2", tap, GROUND, 3e3);
//! let network = b.finish()?;
//! let state = network.at::<f64>(0.0)?.state(&Excitation::emf(emf, 4.0));
//! assert!((state.voltage(tap) - 3.0).abs() < 1e-12);
//! # Ok(()) }
//! ```
mod check;
mod elimination;
mod instructions;
mod interval;
mod lanes;
mod nominal;
mod plan;
mod program;
mod recorder;
mod scalar;
mod scales;
mod solve;
mod stamps;
mod tape;
mod wiring;

pub use instructions::Instructions;
pub(crate) use instructions::Task;
pub use interval::Interval;
pub use lanes::{Aligned, Base, CHUNK, Inverse, LANES, Lane};
pub(crate) use lanes::{BATCH, CHUNKS, Chunk, by_length, each, load, reciprocals};
pub use nominal::Nominal;
pub use plan::{Plan, Workspace};
pub use scalar::Scalar;
pub use solve::{Adjoint, Solver, State};
pub use stamps::{Excitation, Slot};
pub use tape::Enclosure;
pub use wiring::{AmplifierValue, Builder, Element, GROUND, Network, Node};

/// Why a network has no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NetworkFault {
    /// No element ties the node to the rest.
    #[error("node {node} floats: no resistor, source or amplifier output holds it")]
    FloatingNode {
        /// Name of the node.
        node: String,
    },
    /// Ideal sources (or amplifier outputs) in a ring, or two on one node.
    #[error("{element} closes a loop of ideal sources")]
    SourceLoop {
        /// Name of the element that closes the loop.
        element: String,
    },
    /// Nothing leads from the amplifier's output back to its inputs.
    #[error("{element} has no feedback: nothing leads from its output to its inputs")]
    NoFeedback {
        /// Name of the amplifier.
        element: String,
    },
    /// A value outside its domain.
    #[error("{element} has the value {value}: {needs}")]
    Value {
        /// Name of the element.
        element: String,
        /// What was given, SI.
        value: f64,
        /// What would be right.
        needs: &'static str,
    },
    /// The equations have no single solution.
    #[error("the network has no single solution: nothing decides {unknown}")]
    Singular {
        /// The voltage or current that is left undecided.
        unknown: String,
    },
}
