//! The error budget of a question: fills the ledger from the figures and the network.
use super::ledger::{BudgetFigure, Carried, Ledger, Remaining, StaticCommonMode};
use super::{NotPredicted, Question, Told, self_heating};
use crate::corners::{self, WorstCase};
use crate::designator::{Amp, Topology};
use crate::network::NetworkFault;
use crate::predict::{self, OffsetFigure, OffsetSource};
use crate::stage::{Lot, Stage};

/// What is known of a design when its budget is drawn up.
#[derive(Clone, Copy, Debug)]
pub struct Basis<'a> {
    /// The circuit.
    pub stage: &'a Stage,
    /// Its parts over temperature.
    pub lot: &'a Lot,
    /// Wanted gain, V/V.
    pub target_gain: f64,
    /// The reference voltage used, V.
    pub reference_v: f64,
    /// Worst case at dc, with the same lot.
    pub dc: &'a WorstCase,
    /// Worst case at the interference frequency, where one is stated.
    pub at_interference: Option<&'a WorstCase>,
    /// Offset, where it is predicted.
    pub offset: Option<&'a OffsetFigure>,
    /// Noise, peak to peak RTI, V, where it is predicted.
    pub noise_peak_to_peak_v: Option<f64>,
}

/// The error budget, figures.md section 12. Not predicted without a differential span; a line whose
/// inputs are missing is left out and named as `budget.<line>`. Stimuli that the spec does not mention
/// (interference, ripple) and effects not asked for make no line.
///
/// # Errors
/// [`NetworkFault::Singular`].
pub fn figure(question: &Question, basis: &Basis<'_>) -> Result<Told<BudgetFigure>, NetworkFault> {
    let full_scale_v = question.signal.differential.map_or(0.0, super::Span::width);
    if full_scale_v <= 0.0 {
        return Ok(Told::missing("budget", &["signal.differential with a span above 0 V"]));
    }
    let mut lacks = Vec::new();
    let nominal = predict::gains::<f64>(basis.stage, 0.0)?.differential.abs();
    let (gain_error, over_temperature) = gain_errors(basis)?;
    let mut ledger = Ledger {
        full_scale_v,
        lsb_v: question.converter.map(|adc| adc.range_v.width() / libm::exp2(f64::from(adc.bits)) / nominal),
        gain_error: Some(gain_error),
        gain_error_over_temperature: Some(over_temperature),
        reach_k: basis.lot.reach_k,
        noise_peak_to_peak_v: basis.noise_peak_to_peak_v,
        ..Ledger::default()
    };
    if ledger.noise_peak_to_peak_v.is_none() {
        lacks.push(lack("budget.noise", "what `noise` needs"));
    }
    match basis.offset {
        Some(offset) => offsets(question, basis.stage, offset, &mut ledger),
        None => lacks.push(lack("budget.offset", "what `offset` needs")),
    }
    match question.signal.common_mode {
        Some(range) => {
            let distance_v = (range.low - basis.reference_v).abs().max((range.high - basis.reference_v).abs());
            let rejection = basis.dc.rejection;
            ledger.common_mode = Some(StaticCommonMode { distance_v, width_v: range.width(), rejection });
        }
        None => lacks.push(lack("budget.common mode", "signal.common_mode")),
    }
    ledger.interference = question
        .interference
        .zip(basis.at_interference)
        .map(|(stated, worst)| Carried { amplitude_v: stated.amplitude_v, rti_per_volt: worst.common / nominal });
    ledger.ripple = ripple(question, basis.stage, &mut lacks)?;
    ledger.nonlinearity = nonlinearity(question, basis, full_scale_v, &mut lacks)?;
    Ok(Told { figure: Some(ledger.budget()), not_predicted: lacks, warnings: Vec::new() })
}

fn lack(figure: &str, needs: &str) -> NotPredicted {
    NotPredicted { figure: figure.to_owned(), needs: needs.to_owned() }
}

/// Greatest relative gain error at the calibration temperature, and over temperature.
fn gain_errors(basis: &Basis<'_>) -> Result<(f64, f64), NetworkFault> {
    let greatest = |low: f64, high: f64| {
        let error = |gain: f64| (gain / basis.target_gain - 1.0).abs();
        error(low).max(error(high))
    };
    let over_temperature = greatest(basis.dc.gain_low, basis.dc.gain_high);
    if basis.lot.reach_k == 0.0 {
        return Ok((over_temperature, over_temperature));
    }
    let still = Lot { reach_k: 0.0, ..basis.lot.clone() };
    let (low, high) = corners::gain_range(basis.stage, &basis.stage.quantities(&still, 0.0))?;
    Ok((greatest(low, high), over_temperature))
}

fn offsets(question: &Question, stage: &Stage, offset: &OffsetFigure, ledger: &mut Ledger) {
    let sum = |wanted: fn(OffsetSource) -> bool| {
        let mut chosen = offset.causes.iter().filter(|cause| wanted(cause.source)).peekable();
        chosen.peek()?;
        Some(
            chosen.fold((0.0, 0.0), |(before, after), cause| (before + cause.rti_v, after + cause.after_calibration_v)),
        )
    };
    ledger.offset_v = sum(|source| matches!(source, OffsetSource::Voltage(_))).map(|both| both.0);
    ledger.thermal_emf_v =
        sum(|source| matches!(source, OffsetSource::ThermalLeg(_) | OffsetSource::ThermalGainResistor)).map(|b| b.0);
    ledger.offset_drift_v_per_k = (offset.drift_v_per_k > 0.0).then_some(offset.drift_v_per_k);
    let currents = sum(|source| matches!(source, OffsetSource::BiasCurrent(_) | OffsetSource::OffsetCurrent(_)));
    if let Some((before, after)) = currents {
        let (imbalance_v, imbalance_after_v) = bias_through_imbalance(question, stage);
        ledger.bias_current = Some(Remaining { before_v: before + imbalance_v, after_v: after + imbalance_after_v });
    }
}

/// `I_b·imbalance`, before and after calibration; `I_b` is the mean of the op amps at the two inputs.
fn bias_through_imbalance(question: &Question, stage: &Stage) -> (f64, f64) {
    let at_inputs: &[Amp] = match stage.circuit.topology {
        Topology::Difference | Topology::SingleChip => &[Amp::A1],
        Topology::BufferedDifference | Topology::ThreeOpAmp | Topology::TwoOpAmp => &[Amp::A1, Amp::A2],
    };
    let excursion = question.environment.excursion();
    let share = stage.circuit.surroundings.source.imbalance_ohm / at_inputs.len() as f64;
    at_inputs.iter().fold((0.0, 0.0), |(before, after), &amp| {
        let data = stage.circuit.opamp(amp);
        let (hot, change) = excursion.growth(&data);
        let volt = data.bias_current_a.unwrap_or(0.0) * share;
        (before + volt * hot, after + volt * change)
    })
}

fn ripple(question: &Question, stage: &Stage, lacks: &mut Vec<NotPredicted>) -> Result<Option<Carried>, NetworkFault> {
    let Some(supply) = question.supply.filter(|supply| supply.ripple_v > 0.0) else { return Ok(None) };
    let stated = stage.circuit.topology.amps().iter().any(|&amp| stage.circuit.opamp(amp).supply_rejection.is_some());
    let (true, Some(hz)) = (stated, supply.ripple_frequency_hz) else {
        lacks.push(lack("budget.ripple", "supply.ripple_frequency and a supply_rejection"));
        return Ok(None);
    };
    let rti_per_volt = predict::ripple(stage, hz)?.rti_per_volt;
    Ok(Some(Carried { amplitude_v: supply.ripple_v, rti_per_volt }))
}

/// What the chip states, and self-heating where asked.
fn nonlinearity(
    question: &Question,
    basis: &Basis<'_>,
    full_scale_v: f64,
    lacks: &mut Vec<NotPredicted>,
) -> Result<Option<f64>, NetworkFault> {
    let circuit = &basis.stage.circuit;
    let stated = circuit.chip_gain().and(circuit.chip.as_ref()).and_then(|chip| chip.nonlinearity);
    let warmed = self_heating::figure(question, basis.stage, basis.reference_v)?;
    lacks.extend(warmed.not_predicted);
    let warmed = warmed.figure.map(|heating| heating.rti_v / full_scale_v);
    Ok(match (stated, warmed) {
        (None, None) => None,
        (stated, warmed) => Some(stated.unwrap_or(0.0) + warmed.unwrap_or(0.0)),
    })
}
