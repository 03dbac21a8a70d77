//! Supply ripple at the output.
use crate::designator::Amp;
use crate::network::{AmplifierValue, Excitation, NetworkFault};
use crate::stage::{Role, Stage};
use num_complex::Complex64;

/// What a ripple of the supply does, RTI (figures.md, section 12).
#[derive(Clone, Debug, PartialEq)]
pub struct RippleFigure {
    /// Sum over the op amps, volts at the input per volt of ripple.
    pub rti_per_volt: f64,
    /// Each op amp that states a supply rejection.
    pub causes: Vec<(Amp, f64)>,
}

/// Ripple of 1 V at `hz`, each op amp's `1/supply_rejection·(1 + j·f/corner)` (at most 0.1, figures.md
/// section 4) carried to the output as an offset voltage, the magnitudes added, over the nominal `|A_d|`
/// at dc.
///
/// # Errors
/// [`NetworkFault::Singular`].
pub fn ripple(stage: &Stage, hz: f64) -> Result<RippleFigure, NetworkFault> {
    let output = stage.ports.output;
    let gain = stage.network.at::<f64>(0.0)?.adjoint(output).effect(&stage.differential());
    let to_output = stage.network.at::<Complex64>(hz)?.adjoint(output);
    let mut causes = Vec::new();
    for &amp in stage.circuit.topology.amps() {
        let data = stage.circuit.opamp(amp);
        let (Some(element), Some(rejection)) = (stage.element(Role::Amp(amp)), data.supply_rejection) else { continue };
        let error = AmplifierValue {
            common_mode: 1.0 / rejection,
            inverse_corner_s: data.supply_rejection_corner_hz.map_or(0.0, |corner| 1.0 / corner),
            ..AmplifierValue::default()
        };
        let carried = error.common_mode_at(hz) * to_output.effect(&Excitation::default().and_offset(element, 1.0));
        causes.push((amp, libm::hypot(carried.re, carried.im) / gain.abs()));
    }
    Ok(RippleFigure { rti_per_volt: causes.iter().map(|&(_, rti)| rti).sum(), causes })
}
