use crate::designator::{Ohms, Topology};
use crate::textbook::{GainLaw, TextbookFault, gains};

/// Least and greatest gain over all corners of the resistors, each off by `tolerance` either way,
/// V/V; op amps ideal.
///
/// The gain is a ratio of polynomials of first degree in each resistor, so its extremes lie at
/// corners.
pub(super) fn spread(topology: Topology, ohms: &Ohms, tolerance: f64) -> Result<(f64, f64), TextbookFault> {
    let nominal: Vec<_> = ohms.present().collect();
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for corner in 0..1_u32 << nominal.len() {
        let factor = |k: usize| if corner >> k & 1 == 1 { 1.0 + tolerance } else { 1.0 - tolerance };
        let shaken: Ohms = nominal.iter().enumerate().map(|(k, &(name, ohm))| (name, ohm * factor(k))).collect();
        let gain = gains(topology, &shaken)?.differential;
        low = low.min(gain);
        high = high.max(gain);
    }
    Ok((low, high))
}

/// The same of a chip: only RG is off, its gain law holds.
pub(super) fn chip_spread(law: GainLaw, ohm: Option<f64>, tolerance: f64) -> (f64, f64) {
    let at = |factor: f64| law.gain(ohm.map(|ohm| ohm * factor));
    (at(1.0 + tolerance), at(1.0 - tolerance))
}
