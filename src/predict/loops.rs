use super::crossing;
use super::poles::{Motion, PolesFault, grid};
use crate::designator::Amp;
use crate::network::{Element, Excitation, Scalar};
use crate::stage::{Role, Stage};
use num_complex::Complex64;

/// How far one op amp's loop is from ringing for ever.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoopMargin {
    /// The op amp.
    pub amp: Amp,
    /// Least of `180° − |phase of T|` where `|T|` is 1; negative only in a network that oscillates.
    pub phase_margin_deg: f64,
    /// The frequency of that crossing, Hz.
    pub crossing_hz: f64,
}

/// The phase margin of every op amp whose loop gain falls through 1, the loop broken at its output
/// and all others closed.
///
/// An input error `e` of one op amp makes its output `H·e`, and its equation
/// `(v₊ − v₋) + e − a·v_out = 0` holds `v₊ − v₋ = −β·v_out`; so the return ratio is
/// `T = β/a = 1/(a·H) − 1`, with nothing cut and every load in place (return ratio: H. W. Bode,
/// "Network Analysis and Feedback Amplifier Design", 1945; from memory). In a network
/// that oscillates the phase is followed continuously from dc, where negative feedback has 0°, so that a
/// margin can be negative; in one that does not, turns around −1 are those that the other loops need.
///
/// # Errors
/// [`PolesFault`].
pub fn loop_margins(stage: &Stage, motion: &Motion<'_>) -> Result<Vec<LoopMargin>, PolesFault> {
    let mut all = Vec::new();
    for &(role, element) in &stage.roles {
        if let Role::Amp(amp) = role
            && let Some((phase_margin_deg, crossing_hz)) = worst_crossing(stage, motion, element)?
        {
            all.push(LoopMargin { amp, phase_margin_deg, crossing_hz });
        }
    }
    Ok(all)
}

fn worst_crossing(stage: &Stage, motion: &Motion<'_>, amp: Element) -> Result<Option<(f64, f64)>, PolesFault> {
    let (Some(value), Some((_, _, out))) = (stage.network.amplifier(amp), stage.network.pins(amp)) else {
        return Ok(None);
    };
    if value.inverse_gain == 0.0 && value.inverse_gbw_s == 0.0 {
        return Ok(None);
    }
    let closed = motion.transfer(&Excitation::default().and_offset(amp, 1.0), out);
    let return_ratio = |hz: f64, closed: Complex64| {
        let a = Complex64::new(value.inverse_gain, value.inverse_gbw_s * hz);
        (a * closed).recip() - Complex64::ONE
    };
    let ratio = |hz: f64| return_ratio(hz, closed.at(hz));
    let mut zeros = closed.zeros()?;
    if value.inverse_gain > 0.0 && value.inverse_gbw_s > 0.0 {
        zeros.push(Complex64::real(-value.inverse_gain / value.inverse_gbw_s * std::f64::consts::TAU));
    }
    let stable = motion.is_stable();
    let mut worst: Option<(f64, f64)> = None;
    let mut before: Option<(f64, Complex64, f64)> = None;
    for hz in grid(&motion.poles(), &zeros) {
        let here = return_ratio(hz, closed.sketch(hz));
        let phase = match before {
            None => degrees(here),
            Some((_, last, phase)) => phase + degrees(here * last.conj()),
        };
        if let Some((left, last, start)) = before
            && (last.modulus() > 1.0) != (here.modulus() > 1.0)
        {
            let above = last.modulus() > 1.0;
            let at = crossing::edge(left, hz, |hz| (ratio(hz).modulus() > 1.0) != above);
            let there = ratio(at);
            let phase = if stable { degrees(there) } else { start + degrees(there * last.conj()) };
            let margin = 180.0 - phase.abs();
            if worst.is_none_or(|(least, _)| margin < least) {
                worst = Some((margin, at));
            }
        }
        before = Some((hz, here, phase));
    }
    Ok(worst)
}

fn degrees(of: Complex64) -> f64 {
    libm::atan2(of.im, of.re).to_degrees()
}
