use crate::designator::{Amp, Designator, Ohms, Topology};
use crate::part::{Chip, OpAmp};
use std::collections::BTreeMap;

/// A front end as drawn: values, op amps and what is around them. Nominal values only;
/// how far they may be off is told by a [`super::Lot`].
#[derive(Clone, Debug, PartialEq)]
pub struct Circuit {
    /// The circuit.
    pub topology: Topology,
    /// Its resistors; RG absent is open.
    pub ohms: Ohms,
    /// Its op amps; one that is not in the map is ideal.
    pub opamps: BTreeMap<Amp, OpAmp>,
    /// The chip of a `single-chip` circuit; what it shares with op amps (currents, swings, input,
    /// supply rejection) stands under A1 in `opamps`.
    pub chip: Option<Chip>,
    /// What is around it.
    pub surroundings: Surroundings,
}

impl Circuit {
    /// An op amp's data; ideal where none is given. A chip tells what an op amp would at its gain
    /// ([`Chip::at_gain`]), so that no figure has to know it from one.
    #[must_use]
    pub fn opamp(&self, amp: Amp) -> OpAmp {
        let stated = self.opamps.get(&amp).cloned().unwrap_or_default();
        match (&self.chip, self.chip_gain()) {
            (Some(chip), Some(gain)) => chip.at_gain(gain, stated),
            _ => stated,
        }
    }

    /// Gain of the stage in front of the difference stage, with ideal op amps; 1 where there is none.
    #[must_use]
    pub fn has_input_stage(&self) -> bool {
        matches!(self.topology, Topology::BufferedDifference | Topology::ThreeOpAmp)
    }

    /// The op amps of the first stage (two-op-amp: A1, figures.md section 6).
    #[must_use]
    pub fn first_stage(&self) -> &'static [Amp] {
        match self.topology {
            Topology::Difference | Topology::SingleChip => &[],
            Topology::TwoOpAmp => &[Amp::A1],
            Topology::BufferedDifference | Topology::ThreeOpAmp => &[Amp::A1, Amp::A2],
        }
    }

    /// True for RG, RF1 and RF2.
    #[must_use]
    pub const fn sets_gain(name: Designator) -> bool {
        matches!(name, Designator::RG | Designator::RF1 | Designator::RF2)
    }
}

/// What is around the amplifier.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Surroundings {
    /// The source.
    pub source: Source,
    /// The filter in front, when there is one.
    pub filter: Option<InputFilter>,
    /// Wiring around RG.
    pub strays: Strays,
    /// Resistance of whatever drives the reference, Ω; 0: none.
    pub reference_resistance_ohm: f64,
}

/// What the signal comes from.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Source {
    /// Resistance of each leg, Ω.
    pub resistance_ohm: f64,
    /// Greatest difference between the legs, Ω; below twice the resistance.
    pub imbalance_ohm: f64,
    /// No dc path of its own to the supplies.
    pub floating: bool,
    /// Resistor from each amplifier input to the reference voltage, Ω.
    pub bias_return_ohm: Option<f64>,
    /// Its tolerance, a fraction; the resistors' unless given.
    pub bias_return_tolerance: Option<f64>,
    /// Capacitance of each leg to ground at the source, F.
    pub cable_capacitance_f: Option<f64>,
    /// Its tolerance, a fraction.
    pub cable_tolerance: f64,
    /// The source may be a person.
    pub on_body: bool,
    /// The source is connected to the mains.
    pub mains_connected: bool,
}

/// Wiring and strays around RG.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Strays {
    /// Wiring in series with RG, Ω.
    pub rg_resistance_ohm: f64,
    /// Difference between the capacitances of RG's ends to ground, F.
    pub rg_capacitance_f: f64,
    /// Thermal EMF of a joint against copper, V/K, when stated.
    pub thermal_emf_v_per_k: Option<f64>,
    /// Temperature difference between the joints of one input leg, K.
    pub leg_gradient_k: f64,
    /// Temperature difference between the ends of RG, K.
    pub rg_gradient_k: f64,
}

/// The filter in front of the amplifier.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InputFilter {
    /// Resistor in each leg, Ω.
    pub resistor_ohm: f64,
    /// From each input to ground, F.
    pub common_capacitor_f: f64,
    /// Across the inputs, F.
    pub differential_capacitor_f: f64,
    /// Tolerance of the resistors, a fraction.
    pub resistor_tolerance: f64,
    /// Tolerance of the capacitors, a fraction.
    pub capacitor_tolerance: f64,
    /// Voltage the inputs must survive, V.
    pub fault_voltage_v: Option<f64>,
    /// Current the inputs survive, A.
    pub fault_current_a: Option<f64>,
}
