//! Closed forms of single causes, each a rejection referred to the input, V/V (infinite: unbounded).
use super::fault::{TextbookFault, not_negative, positive};
use std::f64::consts::PI;

type Ratio = Result<f64, TextbookFault>;

/// Worst rejection of a difference amplifier of gain `G` (V/V, above zero) whose four resistors are
/// off by at most `t` (fraction, zero or more, below 1); exact.
///
/// `CMRR = (1 + G - (G - 1)*t^2)/(4*t)`, no R5, no R6, ideal op amp.
///
/// # Errors
/// [`TextbookFault::OutsideDomain`].
///
/// docs/theory.md (17). Source: textbook result, `(1 + G)/(4t)` of Sedra/Smith example 2.15 carried to second order.
pub fn difference_worst(gain: f64, t: f64) -> Ratio {
    positive("G", gain)?;
    if not_negative("t", t)? >= 1.0 {
        return Err(TextbookFault::OutsideDomain { symbol: "t", value: t, right: "a tolerance below 1" });
    }
    Ok((1.0 + gain - (gain - 1.0) * t * t) / (4.0 * t))
}

/// Rejection of a difference amplifier of gain `G` with one resistor off by `x` (fraction).
///
/// `CMRR = (1 + G)/x`, first order in `x`. A resistance `r` in the reference lead is `x = r/R4`.
///
/// # Errors
/// [`TextbookFault::OutsideDomain`].
///
/// docs/theory.md (17). Source: Analog Devices MT-061 (from memory).
pub fn difference_one_resistor(gain: f64, x: f64) -> Ratio {
    Ok((1.0 + positive("G", gain)?) / not_negative("x", x.abs())?)
}

/// Common-mode gain over differential gain from the op amps of a three-op-amp circuit, signed.
///
/// `A_cm/A_d = -c1 + c2 + c3/G1`, `c = ±1/CMRR` of A1, A2, A3, `G1` the gain of stage one, V/V.
///
/// # Errors
/// [`TextbookFault::OutsideDomain`].
///
/// docs/theory.md (19). Source: textbook result; superposition of input errors.
pub fn opamps_three(c: [f64; 3], stage_one_gain: f64) -> Ratio {
    Ok(c[1] - c[0] + c[2] / positive("G1", stage_one_gain)?)
}

/// The same of a two-op-amp circuit: `A_cm/A_d = -c1 + c2`.
///
/// docs/theory.md (20). Source: textbook result; superposition of input errors.
#[must_use]
pub fn opamps_two(c: [f64; 2]) -> f64 {
    c[1] - c[0]
}

/// `A_cm/A_d` of a three-op-amp circuit whose first two op amps have open-loop gains `A1`, `A2`
/// (V/V, above zero): `1/A1 - 1/A2`, first order, signed.
///
/// # Errors
/// [`TextbookFault::OutsideDomain`].
///
/// docs/theory.md (22). Source: textbook result.
pub fn loop_gain_three(first: f64, second: f64) -> Ratio {
    Ok(1.0 / positive("A1", first)? - 1.0 / positive("A2", second)?)
}

/// Rejection of a two-op-amp circuit from the open-loop gain `A1` of its first op amp:
/// `CMRR = A1/(1 + R2/R1)`.
///
/// # Errors
/// [`TextbookFault::OutsideDomain`].
///
/// docs/theory.md (23). Source: textbook result.
pub fn loop_gain_two(first: f64, r2_over_r1: f64) -> Ratio {
    Ok(positive("A1", first)? / (1.0 + positive("R2/R1", r2_over_r1)?))
}

/// Rejection of a difference stage of gain `G` with `r` Ω in the lead of R4 (Ω):
/// `CMRR = (1 + G)*R4/r`.
///
/// # Errors
/// [`TextbookFault::OutsideDomain`].
///
/// docs/theory.md (24). Source: textbook result; its instance G = 1, 5 Ω, 25 kΩ, 80 dB in the Burr-Brown INA114 data
/// sheet, p. 8.
pub fn reference_difference(gain: f64, r4: f64, r: f64) -> Ratio {
    Ok((1.0 + positive("G", gain)?) * positive("R4", r4)? / not_negative("r", r)?)
}

/// Rejection of a two-op-amp circuit of gain `G` with `r` Ω in the lead of R1 (Ω): `CMRR = G*R1/r`.
///
/// # Errors
/// [`TextbookFault::OutsideDomain`].
///
/// docs/theory.md (25). Source: textbook result.
pub fn reference_two(gain: f64, r1: f64, r: f64) -> Ratio {
    Ok(positive("G", gain)? * positive("R1", r1)? / not_negative("r", r)?)
}

/// Rejection from a source imbalance `dR` (Ω) into a capacitance `C` (F) from each input to ground
/// at `f` (Hz): `CMRR = 1/(2*pi*f*C*dR)`, well below the corner.
///
/// # Errors
/// [`TextbookFault::OutsideDomain`].
///
/// docs/theory.md (26). Source: Ott, *Noise Reduction Techniques in Electronic Systems* (from memory).
pub fn source_imbalance(hz: f64, farad: f64, imbalance_ohm: f64) -> Ratio {
    cable_mismatch(hz, (0.0, imbalance_ohm), (farad, 0.0))
}

/// Rejection from a cable at `f` (Hz): `CMRR = 1/(2*pi*f*(R_s*dC + C*dR))`, well below the corner.
///
/// `resistance`: `R_s` of a leg and `dR` between the legs, Ω; `capacitance`: `C` of a leg and `dC`
/// between the legs, F.
///
/// # Errors
/// [`TextbookFault::OutsideDomain`].
///
/// docs/theory.md (27). Source: textbook result.
pub fn cable_mismatch(hz: f64, resistance: (f64, f64), capacitance: (f64, f64)) -> Ratio {
    let (r, dr) = (not_negative("R_s", resistance.0)?, not_negative("dR", resistance.1)?);
    let (c, dc) = (not_negative("C", capacitance.0)?, not_negative("dC", capacitance.1)?);
    Ok(1.0 / (2.0 * PI * positive("f", hz)? * (r * dc + c * dr)))
}

/// Rejection of a three-op-amp circuit with `dC` (F) more to ground at one end of RG than at the
/// other, at `f` (Hz): `CMRR = G1/(2*pi*f*RF*dC)`.
///
/// # Errors
/// [`TextbookFault::OutsideDomain`].
///
/// docs/theory.md (28). Source: textbook result.
pub fn stray_at_gain_resistor(hz: f64, stage_one_gain: f64, feedback_ohm: f64, farad: f64) -> Ratio {
    let w = 2.0 * PI * positive("f", hz)?;
    Ok(positive("G1", stage_one_gain)? / (w * positive("RF", feedback_ohm)? * not_negative("dC", farad)?))
}

/// Rejection from bias-return resistors `R_b` (Ω) that are off by at most `t` (fraction) behind a
/// source of `R_s` Ω a leg: `CMRR = R_b/(2*t*R_s)`, `R_s` much below `R_b`.
///
/// # Errors
/// [`TextbookFault::OutsideDomain`].
///
/// docs/theory.md (29). Source: textbook result.
pub fn bias_return_mismatch(return_ohm: f64, t: f64, source_ohm: f64) -> Ratio {
    Ok(positive("R_b", return_ohm)? / (2.0 * not_negative("t", t)? * not_negative("R_s", source_ohm)?))
}
