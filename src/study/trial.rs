//! One set of values held against the limits: only what the limits ask for is predicted.
use super::aim::Aim;
use super::bench::{Bench, unsolved};
use super::limits::{self, Predictions};
use super::rejection::decibels;
use super::{LimitLine, Question, StudyFault, bandwidth, budget, headroom, impedance, noise, offset};
use crate::corners::{self, ENUMERATED_AT_FREQUENCY};
use crate::topology::BuildFault;

/// What a set of values comes to.
#[derive(Clone, Debug)]
pub(super) struct Trial {
    pub(super) lines: Vec<LimitLine>,
    /// The signal stays inside every limit of the op amps, where that can be told.
    pub(super) fits: bool,
    /// How far it stays from them, V.
    pub(super) margin_v: Option<f64>,
}

impl Trial {
    /// The first limit that is missed and by how much; `headroom` where the signal has to fit and does not.
    pub(super) fn first_missed(&self, fit: bool) -> Option<(&'static str, f64)> {
        let missed = self.lines.iter().find(|line| line.met == Some(false));
        let told = missed.map(|line| (line.limit, line.margin.map_or(f64::INFINITY, |margin| -margin)));
        told.or_else(|| self.margin_v.filter(|_| fit && !self.fits).map(|margin| ("headroom", -margin)))
    }

    /// The limits that are missed; those not predicted can't be met by other values.
    pub(super) fn missed(&self) -> usize {
        self.lines.iter().filter(|line| line.met == Some(false)).count()
    }

    pub(super) fn holds(&self) -> bool {
        self.missed() == 0 && self.fits
    }
}

pub(super) fn trial(question: &Question, aim: &Aim, bench: &Bench) -> Result<Trial, StudyFault> {
    let run = || -> Result<Trial, BuildFault> {
        let margin = headroom::margin(question, &bench.stage, aim.reference_v)?;
        let predicted = predictions(question, aim, bench, margin)?;
        Ok(Trial {
            lines: limits::lines(&question.limits, &predicted),
            fits: margin.is_none_or(|margin| margin >= 0.0),
            margin_v: margin,
        })
    };
    run().map_err(|fault| unsolved(&fault))
}

fn predictions(
    question: &Question,
    aim: &Aim,
    bench: &Bench,
    margin_v: Option<f64>,
) -> Result<Predictions, BuildFault> {
    let (limits, stage, worst) = (&question.limits, &bench.stage, &bench.worst);
    let error = |gain: f64| (gain / aim.gain - 1.0).abs();
    let mut out = Predictions {
        gain_error: Some(Some(error(worst.gain_low).max(error(worst.gain_high)))),
        rejection_db: Some(decibels(worst.rejection)),
        headroom_v: margin_v.map(Some),
        ..Predictions::default()
    };
    if let (Some(_), Some(interference)) = (limits.rejection_at_interference_db, question.interference) {
        let hz = interference.frequency_hz;
        let quantities = stage.quantities(&bench.lot, hz);
        let at = corners::at_frequency(stage, &quantities, hz, ENUMERATED_AT_FREQUENCY)?;
        out.rejection_at_interference_db = Some(decibels(at.rejection));
    }
    let whole = limits.total_error.is_some();
    let offset = if limits.offset_v.is_some() || whole { offset::figure(question, stage)?.figure } else { None };
    out.offset_v = offset.as_ref().map(|figure| Some(figure.rti_worst_v));
    let noise =
        if limits.noise_v.is_some() || whole { noise::figure(question, stage, aim.reference_v)?.figure } else { None };
    out.noise_v = noise.as_ref().and_then(|figure| figure.rms_v.map(Some));
    if whole {
        let at_interference = match question.interference {
            Some(at) => {
                let quantities = stage.quantities(&bench.lot, at.frequency_hz);
                Some(corners::at_frequency(stage, &quantities, at.frequency_hz, ENUMERATED_AT_FREQUENCY)?)
            }
            None => None,
        };
        let basis = budget::Basis {
            stage,
            lot: &bench.lot,
            target_gain: aim.gain,
            reference_v: aim.reference_v,
            dc: worst,
            at_interference: at_interference.as_ref(),
            offset: offset.as_ref(),
            noise_peak_to_peak_v: noise.as_ref().and_then(|figure| figure.peak_to_peak_v),
        };
        let told = budget::figure(question, &basis)?;
        // a sum that lacks a line is no bound
        let complete = told.not_predicted.is_empty();
        out.total_error = told.figure.filter(|_| complete).map(|figure| Some(figure.sum_ppm / 1e6));
    }
    if limits.bandwidth_hz.is_some() {
        out.bandwidth_hz = bandwidth::figure(question, stage)?.figure.map(|figure| figure.small_signal_hz);
    }
    if limits.differential_impedance_ohm.is_some() {
        out.differential_impedance_ohm = Some(impedance::figure(stage)?.differential_ohm);
    }
    Ok(out)
}
