//! Where the signal may be, and what the resistors see there.
use crate::designator::{Amp, Designator};
use crate::network::{Excitation, NetworkFault};
use crate::stage::{Role, Stage};

/// One state of the inputs and the reference, dc.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Operating {
    /// `v_p - v_n`, V.
    pub differential_v: f64,
    /// `(v_p + v_n)/2`, V.
    pub common_v: f64,
    /// Reference, V.
    pub reference_v: f64,
}

/// One resistor of the drawing at an operating point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ResistorVoltage {
    /// Which.
    pub name: Designator,
    /// Its value, Ω.
    pub ohm: f64,
    /// Voltage across it, V.
    pub volt: f64,
}

impl Operating {
    /// The EMFs of it.
    #[must_use]
    pub fn excitation(&self, stage: &Stage) -> Excitation {
        Excitation::emf(stage.ports.positive, self.common_v + self.differential_v / 2.0)
            .and_emf(stage.ports.negative, self.common_v - self.differential_v / 2.0)
            .and_emf(stage.ports.reference, self.reference_v)
    }
}

/// Voltage across every resistor of the drawing, nominally, dc; across a chip's RG stands the difference
/// of its inputs, less the share of RG's wiring.
///
/// # Errors
/// [`NetworkFault::Singular`].
pub fn resistor_voltages(stage: &Stage, at: &Operating) -> Result<Vec<ResistorVoltage>, NetworkFault> {
    let state = stage.network.at::<f64>(0.0)?.state(&at.excitation(stage));
    let mut all: Vec<ResistorVoltage> = stage
        .roles
        .iter()
        .filter_map(|&(role, element)| {
            let Role::Resistor(name) = role else { return None };
            let ((a, b), ohm) = (stage.network.ends(element)?, stage.network.ohm(element)?);
            Some(ResistorVoltage { name, ohm, volt: state.voltage(a) - state.voltage(b) })
        })
        .collect();
    let chip = stage.element(Role::Amp(Amp::A1)).and_then(|element| stage.network.pins(element));
    if let (Some(rg), Some((plus, minus, _))) = (stage.circuit.chip_gain_resistor(), chip) {
        let volt = (state.voltage(plus) - state.voltage(minus)) * rg.ohm / rg.total_ohm;
        all.push(ResistorVoltage { name: Designator::RG, ohm: rg.ohm, volt });
    }
    Ok(all)
}
