//! Gain that moves with the signal because resistors warm up.
use super::operating::{Operating, resistor_voltages};
use crate::designator::{Amp, Designator};
use crate::network::{Excitation, NetworkFault};
use crate::stage::{Role, Stage};
use std::collections::BTreeMap;

/// Self-heating as a nonlinearity of the gain, RTI.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SelfHeating {
    /// Greatest over the operating points: `|v_d|` times the sum of what the resistors do, V.
    pub rti_v: f64,
    /// That operating point's resistors: what each does to the gain, a fraction.
    pub causes: Vec<(Designator, f64)>,
}

/// Each resistor's `|S|·tempco·thermal resistance·power`, added up; `S = (R/A_d)·dA_d/dR` at dc, exact,
/// from one state and one adjoint solution. Signs of tempcos are not known, so magnitudes add. For the
/// corners of a signal rectangle it is the worst inside: power is convex in the signal.
///
/// `tempco_per_k` holds 1/K by resistor, those left out do not move; `kelvin_per_watt` is the thermal
/// resistance of every resistor.
///
/// # Errors
/// [`NetworkFault::Singular`].
pub fn self_heating(
    stage: &Stage,
    points: &[Operating],
    tempco_per_k: &BTreeMap<Designator, f64>,
    kelvin_per_watt: f64,
) -> Result<SelfHeating, NetworkFault> {
    let slopes = gain_slopes(stage)?;
    let mut worst = SelfHeating::default();
    for point in points {
        let voltages = resistor_voltages(stage, point)?;
        let causes: Vec<(Designator, f64)> = voltages
            .iter()
            .filter_map(|at| {
                let slope = slopes.iter().find(|(name, _)| *name == at.name)?.1;
                let tempco = tempco_per_k.get(&at.name)?;
                Some((at.name, (slope * tempco * kelvin_per_watt * at.volt * at.volt / at.ohm).abs()))
            })
            .collect();
        let rti_v = point.differential_v.abs() * causes.iter().map(|&(_, change)| change).sum::<f64>();
        if rti_v > worst.rti_v || worst.causes.is_empty() {
            worst = SelfHeating { rti_v, causes };
        }
    }
    Ok(worst)
}

/// Relative change of the dc gain by the relative change of each resistor of the drawing.
///
/// # Errors
/// [`NetworkFault::Singular`].
pub fn gain_slopes(stage: &Stage) -> Result<Vec<(Designator, f64)>, NetworkFault> {
    let network = &stage.network;
    let solver = network.at::<f64>(0.0)?;
    let (state, to_output) = (solver.state(&stage.differential()), solver.adjoint(stage.ports.output));
    let gain = state.voltage(stage.ports.output);
    let mut all: Vec<(Designator, f64)> = stage
        .roles
        .iter()
        .filter_map(|&(role, element)| {
            let Role::Resistor(name) = role else { return None };
            let ((a, b), ohm) = (network.ends(element)?, network.ohm(element)?);
            let less_current = (state.voltage(a) - state.voltage(b)) / ohm;
            Some((name, to_output.effect(&Excitation::default().and_current(b, a, less_current)) / gain))
        })
        .collect();
    if let (Some(rg), Some(_)) = (stage.circuit.chip_gain_resistor(), stage.element(Role::Amp(Amp::A1))) {
        all.push((Designator::RG, -rg.share * rg.ohm / rg.total_ohm));
    }
    Ok(all)
}
