//! Excess noise of resistors that carry a dc voltage.
use super::offset::in_series;
use super::operating::ResistorVoltage;
use crate::designator::Designator;
use crate::network::{Excitation, NetworkFault};
use crate::stage::Stage;
use num_complex::Complex64;

/// Excess noise RTI: output over the nominal `|A_d|` at dc.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ExcessNoise {
    /// Density at 1 kHz, V/√Hz.
    pub density_v_per_rthz: f64,
    /// Over the band, rms, V.
    pub rms_v: f64,
    /// Each resistor's part, rms, V.
    pub causes: Vec<(Designator, f64)>,
}

/// Halvings of the logarithm of the band at most.
const DEPTH: u32 = 14;
/// Relative error of the integral that is aimed at.
const PRECISION: f64 = 1e-9;

/// Noise index `NI` in dB: `10^(NI/20)` µV rms in each decade for each volt across (IEC 60195, from
/// memory), so `S(f) = (10^(NI/20)·1 µV/V·V)²/(f·ln 10)` in series with the resistor, all independent.
/// `across` holds the dc voltages, the band is `(from, to)` in Hz, `0 < from < to`.
///
/// # Errors
/// [`NetworkFault::Singular`].
pub fn excess_noise(
    stage: &Stage,
    across: &[ResistorVoltage],
    noise_index_db: f64,
    band_hz: (f64, f64),
) -> Result<ExcessNoise, NetworkFault> {
    let output = stage.ports.output;
    let gain = stage.network.at::<f64>(0.0)?.adjoint(output).effect(&stage.differential());
    let per_volt = 1e-6 * libm::pow(10.0, noise_index_db / 20.0) / std::f64::consts::LN_10.sqrt();
    let sources: Vec<(Designator, Excitation)> =
        across.iter().filter_map(|at| Some((at.name, in_series(stage, at.name, per_volt * at.volt / gain)?))).collect();
    // f·S(f) at the input, by resistor: the integrand over ln f.
    let at = |log_hz: f64| -> Result<Vec<f64>, NetworkFault> {
        let to_output = stage.network.at::<Complex64>(libm::exp(log_hz))?.adjoint(output);
        Ok(sources.iter().map(|(_, drive)| square(to_output.effect(drive))).collect())
    };
    let thousand = libm::log(1e3);
    let density = (at(thousand)?.iter().sum::<f64>() / 1e3).sqrt();
    let (low, high) = (libm::log(band_hz.0), libm::log(band_hz.1));
    let middle = f64::midpoint(low, high);
    let ends = [at(low)?, at(middle)?, at(high)?];
    let mut squares = vec![0.0; sources.len()];
    simpson(&at, (low, high), &ends, DEPTH, &mut squares)?;
    Ok(ExcessNoise {
        density_v_per_rthz: density,
        rms_v: squares.iter().sum::<f64>().max(0.0).sqrt(),
        causes: sources.iter().zip(&squares).map(|((name, _), &square)| (*name, square.max(0.0).sqrt())).collect(),
    })
}

fn square(value: Complex64) -> f64 {
    value.re * value.re + value.im * value.im
}

/// Adaptive Simpson with Richardson's correction, of all resistors at once; adds to `into`.
fn simpson(
    at: &impl Fn(f64) -> Result<Vec<f64>, NetworkFault>,
    (low, high): (f64, f64),
    [a, m, b]: &[Vec<f64>; 3],
    depth: u32,
    into: &mut [f64],
) -> Result<(), NetworkFault> {
    let middle = f64::midpoint(low, high);
    let (left, right) = (at(f64::midpoint(low, middle))?, at(f64::midpoint(middle, high))?);
    let width = high - low;
    let mut parts = vec![0.0; into.len()];
    let (mut total, mut error) = (0.0_f64, 0.0_f64);
    for (k, part) in parts.iter_mut().enumerate() {
        let coarse = width / 6.0 * (a[k] + 4.0 * m[k] + b[k]);
        let fine = width / 12.0 * (a[k] + 4.0 * left[k] + 2.0 * m[k] + 4.0 * right[k] + b[k]);
        *part = fine + (fine - coarse) / 15.0;
        total += fine;
        error += (fine - coarse).abs() / 15.0;
    }
    if depth == 0 || error <= PRECISION * total {
        for (sum, part) in into.iter_mut().zip(parts) {
            *sum += part;
        }
        return Ok(());
    }
    simpson(at, (low, middle), &[a.clone(), left, m.clone()], depth - 1, into)?;
    simpson(at, (middle, high), &[m.clone(), right, b.clone()], depth - 1, into)
}
