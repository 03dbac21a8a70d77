//! The offset figure of a question.
use super::{Environment, Question, Told, Warning};
use crate::designator::Topology;
use crate::network::NetworkFault;
use crate::predict::{self, Excursion, OffsetFigure};
use crate::quantity::{Unit, or_zero, rounded};
use crate::stage::Stage;

impl Environment {
    /// How far the operating temperatures go above and below the calibration.
    #[must_use]
    pub const fn excursion(&self) -> Excursion {
        Excursion {
            rise_k: (self.temperature_c.high - self.calibrated_at_c).max(0.0),
            fall_k: (self.calibrated_at_c - self.temperature_c.low).max(0.0),
        }
    }
}

/// Offset and drift, figures.md section 9.
///
/// Not predicted where no op amp states an offset voltage, a bias or an offset current; what single ones
/// leave out counts as 0. A bias current without an offset current raises `offset-current-not-given`.
///
/// # Errors
/// [`NetworkFault::Singular`].
pub fn figure(question: &Question, stage: &Stage) -> Result<Told<OffsetFigure>, NetworkFault> {
    let mut figure = predict::offset(stage, question.environment.excursion())?;
    if figure.causes.is_empty() && figure.drift_v_per_k == 0.0 {
        let needs = match stage.circuit.topology {
            Topology::SingleChip => "chip.offset_in, chip.offset_out, chip.bias_current or chip.offset_current",
            _ => "opamp.all.offset, opamp.all.bias_current or opamp.all.offset_current",
        };
        return Ok(Told::missing("offset", &[needs]));
    }
    for cause in &mut figure.causes {
        cause.rti_v = or_zero(cause.rti_v, figure.rti_worst_v);
        cause.after_calibration_v = or_zero(cause.after_calibration_v, figure.rti_worst_v);
    }
    let mut told = Told::figure(figure);
    for &amp in stage.circuit.topology.amps() {
        let data = stage.circuit.opamp(amp);
        if let (Some(ampere), None) = (data.bias_current_a, data.offset_current_a) {
            told.warnings.push(Warning {
                code: "offset-current-not-given",
                message: format!(
                    "{amp} states a bias current of {} and no offset current: both inputs are taken to draw the same",
                    rounded(ampere, Unit::Ampere, 4)
                ),
                advice: "give `offset_current`; bias-cancelled and CMOS inputs differ by as much as they draw"
                    .to_owned(),
            });
        }
    }
    Ok(told)
}
