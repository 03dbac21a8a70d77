//! Offset, referred to the input, cause by cause.
use crate::designator::{Amp, Designator};
use crate::network::{Excitation, GROUND, Network, NetworkFault, Node};
use crate::part::OpAmp;
use crate::stage::{Leg, Role, Stage};
use std::fmt;

/// Offset RTI (figures.md, section 9): output error over the nominal `|A_d|` at dc.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OffsetFigure {
    /// Sum of the magnitudes of all causes, V.
    pub rti_worst_v: f64,
    /// Root of the sum of their squares, V.
    pub rti_rss_v: f64,
    /// Sum of the magnitudes of the offset-voltage drifts, V/K.
    pub drift_v_per_k: f64,
    /// What was stated, op amp by op amp, then thermal EMFs.
    pub causes: Vec<OffsetCause>,
}

/// One cause of offset.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OffsetCause {
    /// Which it is.
    pub source: OffsetSource,
    /// Its magnitude RTI, V.
    pub rti_v: f64,
    /// What a calibration leaves of it, RTI, V.
    pub after_calibration_v: f64,
}

/// Where an offset comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OffsetSource {
    /// Offset voltage of an op amp.
    Voltage(Amp),
    /// Bias current into both inputs of an op amp.
    BiasCurrent(Amp),
    /// Half the offset current into one input of an op amp, out of the other.
    OffsetCurrent(Amp),
    /// Thermal EMF in one input leg.
    ThermalLeg(Leg),
    /// Thermal EMF in series with RG.
    ThermalGainResistor,
}

impl fmt::Display for OffsetSource {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Voltage(amp) => write!(f, "{amp} offset voltage"),
            Self::BiasCurrent(amp) => write!(f, "{amp} bias current"),
            Self::OffsetCurrent(amp) => write!(f, "{amp} offset current"),
            Self::ThermalLeg(Leg::Positive) => f.write_str("thermal EMF, positive leg"),
            Self::ThermalLeg(Leg::Negative) => f.write_str("thermal EMF, negative leg"),
            Self::ThermalGainResistor => f.write_str("thermal EMF at RG"),
        }
    }
}

/// How far the temperature goes from the calibration; 0 K and more.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Excursion {
    /// Above it, K.
    pub rise_k: f64,
    /// Below it, K.
    pub fall_k: f64,
}

impl Excursion {
    /// Factor of a current that doubles every so many kelvin at the hot end, and the greatest change on
    /// the way there or to the cold end; 1 and 0 where no doubling is stated.
    #[must_use]
    pub fn growth(self, opamp: &OpAmp) -> (f64, f64) {
        opamp.bias_current_doubling_k.map_or((1.0, 0.0), |doubling| {
            let (hot, cold) = (libm::exp2(self.rise_k / doubling), libm::exp2(-self.fall_k / doubling));
            (hot, (hot - 1.0).max(1.0 - cold))
        })
    }
}

/// Offset of a stage with everything that was stated; what was not is left out.
///
/// * offset voltage: `v_os` in the op amp's equation;
/// * bias current: `I_b` drawn from both input nodes; offset current: `I_os/2` drawn from one and fed
///   into the other. Where the bias current doubles every so many kelvin (FET inputs), the stated
///   currents hold at the calibration temperature, the figure is that of the hot end, and the
///   calibration leaves the change;
/// * thermal EMF: µV/K times gradient, as an EMF in each leg and in series with RG; gradients come and
///   go, so calibration leaves all of it.
///
/// Each is carried to the output by one adjoint solution at dc with nominal values. Source for bias and
/// offset currents as generators at the two inputs: any op-amp text (from memory).
///
/// # Errors
/// [`NetworkFault::Singular`].
pub fn offset(stage: &Stage, excursion: Excursion) -> Result<OffsetFigure, NetworkFault> {
    let solver = stage.network.at::<f64>(0.0)?;
    let to_output = solver.adjoint(stage.ports.output);
    let gain = to_output.effect(&stage.differential());
    let rti = |of: &Excitation| (to_output.effect(of) / gain).abs();
    let cause = |drive: Drive| OffsetCause {
        source: drive.source,
        rti_v: rti(&drive.by) * drive.hot,
        after_calibration_v: rti(&drive.by) * drive.change,
    };
    let causes: Vec<OffsetCause> = drives(stage, excursion).into_iter().map(cause).collect();
    Ok(OffsetFigure {
        rti_worst_v: causes.iter().map(|cause| cause.rti_v).sum(),
        rti_rss_v: causes.iter().map(|cause| cause.rti_v * cause.rti_v).sum::<f64>().sqrt(),
        drift_v_per_k: drifts(stage).iter().map(rti).sum(),
        causes,
    })
}

/// How far the causes of [`offset()`] move the voltage of any node together, V: the sum of their magnitudes there,
/// offset voltages drifting over `reach_k`.
///
/// # Errors
/// [`NetworkFault::Singular`].
pub fn offset_at(stage: &Stage, node: Node, excursion: Excursion, reach_k: f64) -> Result<f64, NetworkFault> {
    let solver = stage.network.at::<f64>(0.0)?;
    let to_node = solver.adjoint(node);
    let moves = |of: &Excitation| to_node.effect(of).abs();
    let still: f64 = drives(stage, excursion).iter().map(|drive| moves(&drive.by) * drive.hot).sum();
    Ok(still + reach_k * drifts(stage).iter().map(moves).sum::<f64>())
}

/// What makes an offset.
struct Drive {
    source: OffsetSource,
    by: Excitation,
    /// How much more it is at the hot end.
    hot: f64,
    /// What a calibration leaves of it, a fraction.
    change: f64,
}

fn drives(stage: &Stage, excursion: Excursion) -> Vec<Drive> {
    let mut all = Vec::new();
    for &amp in stage.circuit.topology.amps() {
        let Some(element) = stage.element(Role::Amp(amp)) else { continue };
        let Some((plus, minus, _)) = stage.network.pins(element) else { continue };
        let data = stage.circuit.opamp(amp);
        let (hot, change) = excursion.growth(&data);
        let drawn = |from_plus: f64, from_minus: f64| {
            Excitation::default().and_current(plus, GROUND, from_plus).and_current(minus, GROUND, from_minus)
        };
        if let Some(volt) = data.offset_v {
            let by = Excitation::default().and_offset(element, volt);
            all.push(Drive { source: OffsetSource::Voltage(amp), by, hot: 1.0, change: 0.0 });
        }
        if let Some(ampere) = data.bias_current_a {
            all.push(Drive { source: OffsetSource::BiasCurrent(amp), by: drawn(ampere, ampere), hot, change });
        }
        if let Some(ampere) = data.offset_current_a {
            let by = drawn(ampere / 2.0, -ampere / 2.0);
            all.push(Drive { source: OffsetSource::OffsetCurrent(amp), by, hot, change });
        }
    }
    all.extend(thermal(stage).into_iter().map(|(source, by)| Drive { source, by, hot: 1.0, change: 1.0 }));
    all
}

/// The drift of each op amp's offset voltage, per kelvin.
fn drifts(stage: &Stage) -> Vec<Excitation> {
    let drift = |&amp| {
        let volt = stage.circuit.opamp(amp).offset_drift_v_per_k?;
        Some(Excitation::default().and_offset(stage.element(Role::Amp(amp))?, volt))
    };
    stage.circuit.topology.amps().iter().filter_map(drift).collect()
}

/// Thermal EMFs; nothing where no coefficient or no gradient is stated.
fn thermal(stage: &Stage) -> Vec<(OffsetSource, Excitation)> {
    let strays = &stage.circuit.surroundings.strays;
    let Some(coefficient) = strays.thermal_emf_v_per_k else { return Vec::new() };
    let (leg, rg) = (coefficient * strays.leg_gradient_k, coefficient * strays.rg_gradient_k);
    let mut all = Vec::new();
    if leg != 0.0 {
        let ports = &stage.ports;
        for (side, emf) in [(Leg::Positive, ports.positive), (Leg::Negative, ports.negative)] {
            all.push((OffsetSource::ThermalLeg(side), Excitation::emf(emf, leg)));
        }
    }
    let at_rg = (rg != 0.0).then(|| in_series(stage, Designator::RG, rg)).flatten();
    all.extend(at_rg.map(|drive| (OffsetSource::ThermalGainResistor, drive)));
    all
}

/// A voltage in series with a resistor of the drawing: the current it would drive through a short,
/// between the resistor's ends; at a chip, its share at the input. `None` where the resistor is absent.
pub(super) fn in_series(stage: &Stage, name: Designator, volt: f64) -> Option<Excitation> {
    if let (Designator::RG, Some(rg)) = (name, stage.circuit.chip_gain_resistor()) {
        let chip = stage.element(Role::Amp(Amp::A1))?;
        return Some(Excitation::default().and_offset(chip, volt * rg.share));
    }
    let element = stage.element(Role::Resistor(name))?;
    let network: &Network = &stage.network;
    let ((a, b), ohm) = (network.ends(element)?, network.ohm(element)?);
    Some(Excitation::default().and_current(a, b, volt / ohm))
}
