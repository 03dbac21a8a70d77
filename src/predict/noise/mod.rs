//! Noise, referred to the input (figures.md, section 10).
mod integral;
mod sources;

pub use sources::{Excess, NoiseSource, amplifier_sources, chip_sources, excess_sources, thermal_sources};

use super::gain::gains;
use super::poles::{Motion, PolesFault};
use crate::network::Scalar;
use crate::stage::Stage;
use num_complex::Complex64;
use std::f64::consts::TAU;

/// Where the density is told, Hz.
const DENSITY_AT_HZ: f64 = 1e3;

/// Noise of a stage, all referred to the input by the nominal dc gain.
#[derive(Clone, Debug, PartialEq)]
pub struct Noise {
    /// Density at 1 kHz, V/√Hz.
    pub density_v_per_rthz: f64,
    /// Over the band, V; `None` without one.
    pub rms_v: Option<f64>,
    /// `6.6·rms`, V: exceeded one part in a thousand of the time by Gaussian noise.
    pub peak_to_peak_v: Option<f64>,
    /// Bound on the relative error of the integral.
    pub integration_error: f64,
    /// By cause, in the order of the sources; the squares add up to the square of the whole.
    pub causes: Vec<NoiseLine>,
}

/// One cause of noise.
#[derive(Clone, Debug, PartialEq)]
pub struct NoiseLine {
    /// Its name: `RG`, `A1 voltage`, `A1 + current`, `source`.
    pub cause: String,
    /// Density at 1 kHz, V/√Hz.
    pub density_v_per_rthz: f64,
    /// Over the band, V.
    pub rms_v: Option<f64>,
}

/// Peak-to-peak over rms.
const CREST: f64 = 6.6;

/// Carries every source to the output and refers it to the input.
///
/// At a frequency one solution of the transposed equations gives the transfer `H_i` of each source, so
/// the squared density there is `Σ |H_i|²·(white_i + flicker_i/f)/A_d²`. Over `band` (lowest and highest
/// frequency, Hz, with `0 < low < high`) it is integrated on a logarithmic scale, where 1/f noise is a
/// constant, in panels that end at the network's own poles and are halved until the error is below 1e-9.
///
/// Sources of one name make one line.
///
/// # Errors
/// [`PolesFault`].
pub fn noise(stage: &Stage, sources: &[NoiseSource], band: Option<(f64, f64)>) -> Result<Noise, PolesFault> {
    let gain = gains::<f64>(stage, 0.0)?.differential.abs();
    let mut names: Vec<&str> = Vec::new();
    let line: Vec<usize> = sources
        .iter()
        .map(|source| {
            names.iter().position(|name| *name == source.cause).unwrap_or_else(|| {
                names.push(&source.cause);
                names.len() - 1
            })
        })
        .collect();
    let squares = |hz: f64| -> Result<Vec<f64>, PolesFault> {
        let adjoint = stage.network.at::<Complex64>(hz)?.adjoint(stage.ports.output);
        let mut all = vec![0.0; names.len()];
        for (source, &line) in sources.iter().zip(&line) {
            let transfer = adjoint.effect(&source.drive).modulus() / gain;
            all[line] += transfer * transfer * (source.white + source.flicker / hz);
        }
        Ok(all)
    };
    let density = squares(DENSITY_AT_HZ)?;
    let integral = match band {
        None => None,
        Some((low, high)) => {
            let breaks = breaks(stage, low, high)?;
            Some(integral::over_decades(&breaks, names.len(), squares)?)
        }
    };
    let rms = |line: usize| integral.as_ref().map(|one| one.parts[line].sqrt());
    let rms_v = integral.as_ref().map(|one| one.parts.iter().sum::<f64>().sqrt());
    Ok(Noise {
        density_v_per_rthz: density.iter().sum::<f64>().sqrt(),
        rms_v,
        peak_to_peak_v: rms_v.map(|rms| CREST * rms),
        integration_error: integral.as_ref().map_or(0.0, |one| one.error),
        causes: names
            .iter()
            .enumerate()
            .map(|(k, name)| NoiseLine {
                cause: (*name).to_owned(),
                density_v_per_rthz: density[k].sqrt(),
                rms_v: rms(k),
            })
            .collect(),
    })
}

/// Ends of the first panels: the band, a decade apart at most, and all poles in it, resonances flanked
/// by their widths.
fn breaks(stage: &Stage, low: f64, high: f64) -> Result<Vec<f64>, PolesFault> {
    let motion = Motion::of(&stage.network)?;
    let mut all = vec![low, high];
    for pole in motion.poles() {
        let (width, centre) = (pole.re.abs() / TAU, pole.im.abs() / TAU);
        if centre > width {
            all.extend([centre - 4.0 * width, centre - width, centre, centre + width, centre + 4.0 * width]);
        } else {
            all.push(pole.modulus() / TAU);
        }
    }
    let decades = libm::ceil(libm::log10(high / low));
    for k in 1..decades as usize {
        all.push(low * libm::pow(high / low, k as f64 / decades));
    }
    all.retain(|hz| (low..=high).contains(hz));
    all.sort_by(f64::total_cmp);
    all.dedup_by(|b, a| *b <= *a * (1.0 + 1e-9));
    Ok(all)
}
