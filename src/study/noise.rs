//! Noise of a design (figures.md, sections 10 and 14).
use super::told::STABLE;
use super::{Question, Signal, Told};
use crate::predict::{Excess, Motion, PolesFault};
use crate::predict::{amplifier_sources, chip_sources, excess_sources, noise, thermal_sources};
use crate::stage::Stage;
use crate::topology::BuildFault;
use std::f64::consts::FRAC_PI_2;

use crate::predict::Noise;

/// Where noise is counted from unless the spec says otherwise, Hz.
pub(super) const NOISE_FROM_HZ: f64 = 0.1;

/// Noise, referred to the input, of a stage built for a question.
///
/// Without `signal.bandwidth` the density is told and the integral is not (`noise.rms_v`). A noise index
/// that can't be used for want of a signal range leaves the whole figure untold, and so does a circuit
/// that oscillates.
///
/// # Errors
/// [`BuildFault`] when the circuit has no solution.
pub fn figure(question: &Question, stage: &Stage, reference_v: f64) -> Result<Told<Noise>, BuildFault> {
    Told::with_poles("noise", carried(question, stage, reference_v))
}

fn carried(question: &Question, stage: &Stage, reference_v: f64) -> Result<Told<Noise>, PolesFault> {
    if !Motion::of(&stage.network)?.is_stable() {
        return Ok(Told::missing("noise", &[STABLE]));
    }
    let kelvin = question.environment.calibrated_at_k();
    let mut sources = thermal_sources(stage, kelvin);
    sources.extend(amplifier_sources(stage));
    sources.extend(chip_sources(stage, kelvin));
    if let Some(index_db) = question.resistors.noise_index_db {
        let Signal { differential: Some(difference), common_mode: Some(common), .. } = question.signal else {
            return Ok(Told::missing("noise", &["signal.differential", "signal.common_mode"]));
        };
        let excess = Excess {
            index_db,
            differential_v: (difference.low, difference.high),
            common_mode_v: (common.low, common.high),
            reference_v,
        };
        sources.extend(excess_sources(stage, &excess)?);
    }
    match band(&question.signal) {
        Ok(band) => Ok(Told::figure(noise(stage, &sources, Some(band))?)),
        Err(needs) => Ok(Told::figure(noise(stage, &sources, None)?).lacking("noise.rms_v", needs)),
    }
}

/// Lowest and highest frequency of the integral, Hz.
fn band(signal: &Signal) -> Result<(f64, f64), &'static str> {
    let bandwidth = signal.bandwidth_hz.ok_or("signal.bandwidth")?;
    let high = if signal.single_pole_noise { bandwidth * FRAC_PI_2 } else { bandwidth };
    let low = signal.noise_from_hz.unwrap_or(NOISE_FROM_HZ);
    if low < high { Ok((low, high)) } else { Err("signal.noise_from below signal.bandwidth") }
}
