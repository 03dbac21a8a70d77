use super::crossing;
use super::poles::{Motion, PolesFault, grid};
use crate::designator::Amp;
use crate::network::Scalar;
use crate::stage::{Role, Stage};
use std::f64::consts::{FRAC_1_SQRT_2, TAU};

/// What the differential gain does over frequency, from the network's own poles and zeros.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Response {
    /// Lowest frequency where `|A_d|` is below `1/√2` of its dc value, Hz; `None`: it never is.
    pub small_signal_hz: Option<f64>,
    /// Greatest `|A_d(f)|` over its dc value, dB, 0 where it never rises; `None`: it grows without bound.
    pub peaking_db: Option<f64>,
    /// Where it is greatest, Hz; `None` without a peak.
    pub peak_hz: Option<f64>,
}

/// Small-signal bandwidth and peaking (figures.md, section 11). Means something for a stable network
/// only: ask [`Motion::is_stable`] first.
///
/// # Errors
/// [`PolesFault`].
pub fn response(stage: &Stage, motion: &Motion<'_>) -> Result<Response, PolesFault> {
    let gain = motion.transfer(&stage.differential(), stage.ports.output);
    let relative = |hz: f64| gain.at(hz).modulus() / gain.dc.abs();
    let sketch = |hz: f64| (hz, gain.sketch(hz).modulus() / gain.dc.abs());
    let points: Vec<(f64, f64)> = grid(&motion.poles(), &gain.zeros()?).into_iter().map(sketch).collect();
    let outside = |hz: f64| relative(hz) <= FRAC_1_SQRT_2;
    let (mut small_signal_hz, mut peak) = (None, (1.0, None));
    for (k, &(hz, here)) in points.iter().enumerate() {
        let before = k.checked_sub(1).map(|k| points[k]);
        let after = points.get(k + 1).copied();
        if let (Some((left, lower)), Some((right, upper))) = (before, after) {
            if here >= lower && here >= upper && here > peak.0 * 0.9 {
                let at = crossing::summit(left, right, relative);
                if relative(at) > peak.0 {
                    peak = (relative(at), Some(at));
                }
            }
            if small_signal_hz.is_none() && here <= lower && here <= upper && here < FRAC_1_SQRT_2 * 1.1 {
                let at = crossing::summit(left, right, |hz| -relative(hz));
                if outside(at) {
                    small_signal_hz = Some(crossing::edge(left, at, outside));
                }
            }
        }
        if here > peak.0 {
            peak = (relative(hz), Some(hz));
        }
        if small_signal_hz.is_none() && here <= FRAC_1_SQRT_2 {
            small_signal_hz = Some(before.map_or(hz, |(left, _)| crossing::edge(left, hz, outside)));
        }
    }
    // Far above every root the gain follows a power of the frequency, or is rounding.
    let grows = matches!(points[..], [.., (_, a), (_, b)] if b > a * 1.01 && b > 1e-6);
    Ok(Response {
        small_signal_hz,
        peaking_db: (!grows).then(|| 20.0 * libm::log10(peak.0)),
        // What rises by less than 1e-9 is rounding.
        peak_hz: peak.1.filter(|_| peak.0 > 1.0 + 1e-9),
    })
}

/// The op amp that runs out of slew rate first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FullPower {
    /// Highest frequency at which its largest output swing is still a sine, Hz.
    pub hz: f64,
    /// The op amp.
    pub amp: Amp,
}

/// Full-power bandwidth: the least `SR/(2π·V_peak)` over the op amps, `V_peak` half the swing of that
/// output for `width` volts of differential range. `None`: no slew rate is given, or nothing swings.
///
/// # Errors
/// [`PolesFault::Network`] when there is no solution at dc.
pub fn full_power(stage: &Stage, width: f64) -> Result<Option<FullPower>, PolesFault> {
    let state = stage.network.at::<f64>(0.0)?.state(&stage.differential());
    let mut least: Option<FullPower> = None;
    for &(role, element) in &stage.roles {
        let Role::Amp(amp) = role else { continue };
        let (Some(slew), Some((_, _, out))) = (stage.circuit.opamp(amp).slew_rate_v_per_s, stage.network.pins(element))
        else {
            continue;
        };
        let hz = slew / (TAU * state.voltage(out).abs() * width / 2.0);
        if hz.is_finite() && least.is_none_or(|one| hz < one.hz) {
            least = Some(FullPower { hz, amp });
        }
    }
    Ok(least)
}
