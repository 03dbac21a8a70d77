use crate::network::{NetworkFault, Nominal, Scalar};
use crate::stage::Stage;

/// Gains from the EMFs to the output.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gains<T> {
    /// `A_d = dv_out/dv_d` at constant common mode, V/V.
    pub differential: T,
    /// `A_cm = dv_out/dv_cm` at constant difference, V/V.
    pub common: T,
}

/// Nominal gains at `hz` (0: dc). Loading of the source counts: both are taken from the EMFs.
///
/// `A_cm` is good to fifteen digits however small it is against `A_d`: it is refined beyond double
/// precision ([`Nominal`]).
///
/// # Errors
/// [`NetworkFault::Singular`].
pub fn gains<T: Scalar>(stage: &Stage, hz: f64) -> Result<Gains<T>, NetworkFault> {
    let out = stage.ports.output;
    let at = |drive| Ok(Nominal::solve::<T>(&stage.network, hz, &drive)?.voltage(out));
    Ok(Gains { differential: at(stage.differential())?, common: at(stage.common())? })
}

impl<T: Scalar> Gains<T> {
    /// `|A_d|/|A_cm|`; infinite where there is no common-mode gain.
    #[must_use]
    pub fn rejection(&self) -> f64 {
        self.differential.modulus() / self.common.modulus()
    }
}
