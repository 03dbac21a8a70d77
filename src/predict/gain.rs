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
    let drives = [stage.differential(), stage.common()];
    let [differential, common] = Nominal::each::<T, 2>(&stage.network, hz, &drives)?;
    let out = stage.ports.output;
    Ok(Gains { differential: differential.voltage(out), common: common.voltage(out) })
}

/// `A_d` of [`gains`] at dc alone, V/V, for those who ask for it many times.
///
/// # Errors
/// [`NetworkFault::Singular`].
pub fn gain(stage: &Stage) -> Result<f64, NetworkFault> {
    Ok(Nominal::solve::<f64>(&stage.network, 0.0, &stage.differential())?.voltage(stage.ports.output))
}

impl<T: Scalar> Gains<T> {
    /// `|A_d|/|A_cm|`; infinite where there is no common-mode gain.
    #[must_use]
    pub fn rejection(&self) -> f64 {
        self.differential.modulus() / self.common.modulus()
    }
}
