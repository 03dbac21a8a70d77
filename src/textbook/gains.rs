use super::fault::{TextbookFault, need, optional};
use crate::designator::{Designator, Ohms, Topology};

/// The two gains of a circuit with ideal op amps, V/V.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gains {
    /// `A_d = dv_out/dv_d` at constant common mode.
    pub differential: f64,
    /// `A_cm = dv_out/dv_cm` at constant difference.
    pub common_mode: f64,
}

impl Gains {
    /// `|A_d / A_cm|`, V/V; infinite where `A_cm` is zero.
    #[must_use]
    pub fn rejection(self) -> f64 {
        (self.differential / self.common_mode).abs()
    }
}

/// The gains of a discrete circuit whose resistors have any values, balanced or not.
///
/// Ω in, V/V out; every resistance finite and above zero, RG absent: open. With `a`, `b` and
/// `A_cm2 = a - b` of the difference stage (conductances `g = 1/R`, absent R5, R6: `g = 0`):
///
/// ```text
/// a     = R2*(g1 + g2 + g5)*g3/(g3 + g4 + g6)        b = R2*g1
/// A_cm2 = (g3*(g2 + g5) - g1*(g4 + g6))*R2/(g3 + g4 + g6)
///       = (R1*R4 - R2*R3)/(R1*(R3 + R4))             without R5 and R6
///
/// difference, buffered-difference   A_d = (a + b)/2                              A_cm = A_cm2
/// three-op-amp                      A_d = (a + b)/2 + (a*RF2 + b*RF1)/RG         A_cm = A_cm2
/// two-op-amp                        A_d = 1/2 + R4/R3 + R2*R4/(2*R1*R3) + R4*(1 + R2/R3)/RG
///                                   A_cm = (R1*R3 - R2*R4)/(R1*R3)
/// ```
///
/// The differences of products are formed with one rounding, so that a nearly balanced bridge keeps
/// its digits.
///
/// # Errors
/// [`TextbookFault`] for a resistor that is missing or no resistance, and for `single-chip`.
///
/// docs/theory.md (5), (6), (10), (13). Source: node equations at the inputs of ideal op amps, derived here; the difference stage as in
/// Sedra/Smith, *Microelectronic Circuits*, section on difference amplifiers (from memory), the
/// two-op-amp common-mode gain as in the Analog Devices AD627 data sheet, Rev. E, p. 19.
///
/// ```
/// use evenkeel::designator::{Designator, Ohms, Topology};
/// use evenkeel::textbook::gains;
/// use Designator::{R1, R2, R3, R4};
///
/// let ohms: Ohms = [(R1, 10e3), (R2, 10e3), (R3, 10e3), (R4, 10.01e3)].into_iter().collect();
/// let gains = gains(Topology::Difference, &ohms)?;
/// assert!((gains.common_mode - 4.9975e-4).abs() < 1e-8);
/// # Ok::<(), evenkeel::textbook::TextbookFault>(())
/// ```
pub fn gains(topology: Topology, ohms: &Ohms) -> Result<Gains, TextbookFault> {
    match topology {
        Topology::Difference | Topology::BufferedDifference => {
            let stage = Bridge::read(topology, ohms)?;
            Ok(Gains { differential: stage.mean(), common_mode: stage.common_mode })
        }
        Topology::ThreeOpAmp => {
            let stage = Bridge::read(topology, ohms)?;
            let spread = match optional(ohms, Designator::RG)? {
                Some(rg) => stage.slope(topology, ohms)? / rg,
                None => 0.0,
            };
            Ok(Gains { differential: stage.mean() + spread, common_mode: stage.common_mode })
        }
        Topology::TwoOpAmp => {
            let row = Row::read(ohms)?;
            let through_rg = optional(ohms, Designator::RG)?.map_or(0.0, |rg| row.slope() / rg);
            Ok(Gains { differential: row.open_gain() + through_rg, common_mode: row.common_mode() })
        }
        Topology::SingleChip => Err(TextbookFault::NoResistors),
    }
}

/// `a*b - c*d` rounded once (after Kahan): the products may agree in almost all digits.
fn product_difference(a: f64, b: f64, c: f64, d: f64) -> f64 {
    let cd = c * d;
    let lost = libm::fma(-c, d, cd);
    libm::fma(a, b, -cd) + lost
}

/// The difference stage: `v_out = a*v_plus_side - b*v_minus_side + to_reference*v_ref`.
pub(super) struct Bridge {
    pub(super) a: f64,
    pub(super) b: f64,
    pub(super) common_mode: f64,
    pub(super) to_reference: f64,
    /// Share of the positive side's input and of the reference at the non-inverting node.
    pub(super) node: [f64; 2],
}

impl Bridge {
    pub(super) fn read(topology: Topology, ohms: &Ohms) -> Result<Self, TextbookFault> {
        use Designator::{R1, R2, R3, R4, R5, R6};
        let [r1, r2, r3, r4] = [
            need(topology, ohms, R1)?,
            need(topology, ohms, R2)?,
            need(topology, ohms, R3)?,
            need(topology, ohms, R4)?,
        ];
        let divided = topology == Topology::Difference;
        let r5 = if divided { optional(ohms, R5)? } else { None };
        let r6 = if divided { optional(ohms, R6)? } else { None };
        let [g1, g2, g3, g4] = [1.0 / r1, 1.0 / r2, 1.0 / r3, 1.0 / r4];
        let [g5, g6] = [r5, r6].map(|r| r.map_or(0.0, |r| 1.0 / r));
        let plus = g3 + g4 + g6;
        let upper = product_difference(r1, r4, r2, r3) / (r1 * r3 * r4);
        let lower = match (r5, r6) {
            (Some(r5), Some(r6)) => product_difference(r1, r6, r3, r5) / (r1 * r3) * r2 / (r5 * r6),
            _ => r2 * (g5 * g3 - g1 * g6),
        };
        let minus = r2 * (g1 + g2 + g5);
        let common_mode = (upper + lower) / plus;
        let b = r2 / r1;
        Ok(Self {
            // balanced to the last digit: so are the gains of both sides
            a: if common_mode == 0.0 { b } else { minus * g3 / plus },
            b,
            common_mode,
            to_reference: minus * g4 / plus,
            node: [g3 / plus, g4 / plus],
        })
    }

    pub(super) fn mean(&self) -> f64 {
        (self.a + self.b) / 2.0
    }

    /// `RG` times the part of the gain that RG adds, Ω.
    pub(super) fn slope(&self, topology: Topology, ohms: &Ohms) -> Result<f64, TextbookFault> {
        let rf1 = need(topology, ohms, Designator::RF1)?;
        let rf2 = need(topology, ohms, Designator::RF2)?;
        Ok(self.a * rf2 + self.b * rf1)
    }
}

/// The resistor row of the two-op-amp circuit.
pub(super) struct Row {
    pub(super) r1: f64,
    pub(super) r2: f64,
    pub(super) r3: f64,
    pub(super) r4: f64,
}

impl Row {
    pub(super) fn read(ohms: &Ohms) -> Result<Self, TextbookFault> {
        let of = |name| need(Topology::TwoOpAmp, ohms, name);
        Ok(Self { r1: of(Designator::R1)?, r2: of(Designator::R2)?, r3: of(Designator::R3)?, r4: of(Designator::R4)? })
    }

    pub(super) fn open_gain(&self) -> f64 {
        0.5 + self.r4 / self.r3 + self.r2 * self.r4 / (2.0 * self.r1 * self.r3)
    }

    pub(super) fn slope(&self) -> f64 {
        self.r4 * (1.0 + self.r2 / self.r3)
    }

    fn common_mode(&self) -> f64 {
        product_difference(self.r1, self.r3, self.r2, self.r4) / (self.r1 * self.r3)
    }
}
