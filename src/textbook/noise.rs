use super::fault::{TextbookFault, need, optional};
use crate::designator::{Designator, Ohms, Topology};

/// J/K, exact since the SI of 2019.
const BOLTZMANN: f64 = 1.380_649e-23;

/// What makes noise in a circuit beside its values.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WhiteNoise {
    /// Voltage noise of A1, A2, A3, V/√Hz.
    pub voltage: [f64; 3],
    /// Current noise of each input of A1, A2, A3, A/√Hz.
    pub current: [f64; 3],
    /// Temperature of the resistors, K.
    pub kelvin: f64,
}

/// White noise density referred to the input, V/√Hz, of a balanced circuit with ideal op amps.
///
/// Thermal noise `4kTR` of the resistors drawn, voltage noise of the op amps, current noise of those
/// inputs that these resistors see; the source is the same for all choices and is left out. All that
/// appears at the output is divided by the balanced gain `G`; `k = R4/R3` of the two-op-amp circuit:
///
/// ```text
/// difference         4kT(R1 + R3)G² + 4kT(R2 + R4) + 4kT(1/R5 + 1/R6)R2² + e1²(1 + G + R2/R5)² + 2 i1² R2²
/// buffered           the same with e3, i3, without R5 and R6, and (e1² + e2²)G²
/// three-op-amp       the same at G2, and (4kT·RG∥(RF1 + RF2) + e1² + e2²)G² + (i1² RF1² + i2² RF2²)G2²
/// two-op-amp         4kT(R4 + R3 k² + R2 k² + R1 k²(R2/R1)² + RG (R4(1 + R2/R3)/RG)²) + (e1² + e2²)G²
///                    + i1² (R2 k)² + i2² R4²
/// ```
///
/// Falls with R1 to R4, RF and RG at a given gain, split of gain and R1/R5, and with R1/R5, which is what the choice of
/// values uses.
///
/// # Errors
/// [`TextbookFault`] for a resistor that is missing or no resistance.
///
/// Source: superposition at ideal op amps; Johnson and Nyquist for `4kTR`.
pub fn white_noise(topology: Topology, ohms: &Ohms, noise: &WhiteNoise) -> Result<f64, TextbookFault> {
    let of = |name| need(topology, ohms, name);
    let thermal = 4.0 * BOLTZMANN * noise.kelvin;
    let square = |x: f64| x * x;
    let [e1, e2, e3] = noise.voltage;
    let [i1, i2, i3] = noise.current;
    let gain = super::ideal_gain(topology, ohms)?;
    // conductance from the two nodes to ground: R5 and R6
    let stage = |e: f64, i: f64, [g5, g6]: [f64; 2]| -> Result<(f64, f64), TextbookFault> {
        let [r1, r2, r3, r4] = [of(Designator::R1)?, of(Designator::R2)?, of(Designator::R3)?, of(Designator::R4)?];
        let g = r2 / r1;
        let hot = (r1 + r3) * g * g + r2 + r4 + (g5 + g6) * r2 * r2;
        Ok((g, thermal * hot + square(e * (1.0 + g + g5 * r2)) + square(i) * (r2 * r2 + r4 * r4)))
    };
    const UNDIVIDED: [f64; 2] = [0.0; 2];
    let output = match topology {
        Topology::Difference => {
            let to_ground = |name| Ok(optional(ohms, name)?.map_or(0.0, |ohm| 1.0 / ohm));
            stage(e1, i1, [to_ground(Designator::R5)?, to_ground(Designator::R6)?])?.1
        }
        Topology::BufferedDifference => stage(e3, i3, UNDIVIDED)?.1 + (square(e1) + square(e2)) * square(gain),
        Topology::ThreeOpAmp => {
            let (g2, behind) = stage(e3, i3, UNDIVIDED)?;
            let [rf1, rf2] = [of(Designator::RF1)?, of(Designator::RF2)?];
            let across = optional(ohms, Designator::RG)?.map_or(rf1 + rf2, |rg| 1.0 / (1.0 / rg + 1.0 / (rf1 + rf2)));
            behind
                + (thermal * across + square(e1) + square(e2)) * square(gain)
                + (square(i1 * rf1) + square(i2 * rf2)) * square(g2)
        }
        Topology::TwoOpAmp => {
            let [r1, r2, r3, r4] = [of(Designator::R1)?, of(Designator::R2)?, of(Designator::R3)?, of(Designator::R4)?];
            let k = r4 / r3;
            let through = optional(ohms, Designator::RG)?.map_or(0.0, |rg| square(r4 * (1.0 + r2 / r3)) / rg);
            thermal * (r4 + (r3 + r2) * k * k + square(k * r2) / r1 + through)
                + (square(e1) + square(e2)) * square(gain)
                + square(i1 * r2 * k)
                + square(i2 * r4)
        }
        Topology::SingleChip => return Err(TextbookFault::NoResistors),
    };
    Ok(output.sqrt() / gain)
}
