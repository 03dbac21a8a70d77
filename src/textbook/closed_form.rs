use super::fault::{TextbookFault, not_negative, positive};
use crate::designator::Topology;
use crate::quantity::decibels;

/// What the handbook estimate of a circuit's rejection looks at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClosedForm {
    /// The circuit.
    pub topology: Topology,
    /// G1, V/V: what the stage before the difference stage amplifies the difference by (1 without
    /// one); of `two-op-amp` the whole gain G.
    pub stage_one_gain: f64,
    /// G2, V/V: R2/R1 of the difference stage; with R5, (R2 parallel R5)/R1. Not looked at by
    /// `two-op-amp` and `single-chip`.
    pub stage_two_gain: f64,
    /// Greatest relative deviation of R1 to R4, each as a fraction (half the match for a member of
    /// a network).
    pub bounds: [f64; 4],
    /// Rejection of A1, A2, A3, V/V; `None`: ideal.
    pub opamp_rejections: [Option<f64>; 3],
}

/// The handbook estimate of the worst rejection, dB; `None`: unbounded (above 200 dB).
///
/// ```text
/// 1/CMRR = 4t/(G1*(1 + G2)) + 1/CMRR_1 + 1/CMRR_2 + 1/(G1*CMRR_3)    three-op-amp, buffered-difference
/// 1/CMRR = 4t/(1 + G2)      + 1/CMRR_1                               difference
/// 1/CMRR = 4t/G             + 1/CMRR_1 + 1/CMRR_2                    two-op-amp
/// 1/CMRR = 1/CMRR_1                                                  single-chip
/// ```
///
/// `4t` is the sum of the four bounds. First order in them; RF1, RF2, RG, the source and the
/// reference are not in it.
///
/// # Errors
/// [`TextbookFault::OutsideDomain`] for a gain or rejection not above zero, a bound below zero.
///
/// docs/theory.md (17), (18), (19), (20), (21). Source: resistors, Sedra/Smith, *Microelectronic Circuits*, example 2.15, and the Texas
/// Instruments RES11A data sheet, SLPS785; two-op-amp, Analog Devices AD627 data sheet, Rev. E,
/// p. 19; reciprocals added as in SLPS785.
///
/// ```
/// use evenkeel::designator::Topology;
/// use evenkeel::textbook::{ClosedForm, closed_form_rejection};
///
/// let stage = ClosedForm {
///     topology: Topology::Difference,
///     stage_one_gain: 1.0,
///     stage_two_gain: 4.0,
///     bounds: [0.001; 4],
///     opamp_rejections: [None; 3],
/// };
/// let db = closed_form_rejection(&stage)?.expect("resistors bound it"); // SLPS785: approx. 62 dB
/// assert!((db - 61.94).abs() < 0.005);
/// # Ok::<(), evenkeel::textbook::TextbookFault>(())
/// ```
pub fn closed_form_rejection(of: &ClosedForm) -> Result<Option<f64>, TextbookFault> {
    let g1 = positive("G1", of.stage_one_gain)?;
    let g2 = positive("G2", of.stage_two_gain)?;
    let mut four_t = 0.0;
    for bound in of.bounds {
        four_t += not_negative("t", bound)?;
    }
    let mut inverse = [0.0; 3];
    for (inverse, rejection) in inverse.iter_mut().zip(of.opamp_rejections) {
        if let Some(rejection) = rejection {
            *inverse = 1.0 / positive("CMRR", rejection)?;
        }
    }
    let [c1, c2, c3] = inverse;
    let sum = match of.topology {
        Topology::Difference => four_t / (g1 * (1.0 + g2)) + c1,
        Topology::BufferedDifference | Topology::ThreeOpAmp => four_t / (g1 * (1.0 + g2)) + c1 + c2 + c3 / g1,
        Topology::TwoOpAmp => four_t / g1 + c1 + c2,
        Topology::SingleChip => c1,
    };
    Ok(rejection_db(1.0 / sum))
}

/// A rejection ratio in decibels; `None` above 200 dB, which counts as unbounded.
#[must_use]
pub fn rejection_db(ratio: f64) -> Option<f64> {
    let db = decibels(ratio);
    (db <= 200.0).then_some(db)
}
