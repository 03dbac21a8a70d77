use crate::network::{Excitation, NetworkFault};
use crate::stage::Stage;

/// Input impedance at dc, Ω (figures.md, section 8). `None` is unbounded: less than 1e-15 A per volt.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Impedance {
    /// EMFs `+v/2` and `-v/2`: `v` over half the difference of the two input currents.
    pub differential_ohm: Option<f64>,
    /// Both EMFs `v`: `v / (i_p + i_n)`.
    pub common_mode_ohm: Option<f64>,
    /// Positive input driven, negative one at 0 V.
    pub positive_ohm: Option<f64>,
    /// Negative input driven, positive one at 0 V.
    pub negative_ohm: Option<f64>,
}

/// Less current per volt than this is none, S.
const LEAST_SIEMENS: f64 = 1e-15;

/// What the two EMFs of `stage` see, with the reference at 0 V. Everything behind the EMFs counts: for
/// the impedance of the front end itself the stage is built without source resistance.
///
/// The plain difference amplifier with R1 = R3 and R2 = R4 gives 2·R1, (R1 + R2)/2, R1 + R2 and R1.
///
/// # Errors
/// [`NetworkFault::Singular`].
pub fn impedance(stage: &Stage) -> Result<Impedance, NetworkFault> {
    let solver = stage.network.at::<f64>(0.0)?;
    let (p, n) = (stage.ports.positive, stage.ports.negative);
    // Currents (i_p, i_n) for one volt at one input.
    let [positive, negative] = [p, n].map(|driven| {
        let state = solver.state(&Excitation::emf(driven, 1.0));
        (state.delivered(p), state.delivered(n))
    });
    let ohm = |siemens: f64| (siemens.abs() >= LEAST_SIEMENS).then(|| 1.0 / siemens);
    Ok(Impedance {
        differential_ohm: ohm(((positive.0 - negative.0) - (positive.1 - negative.1)) / 4.0),
        common_mode_ohm: ohm(positive.0 + negative.0 + positive.1 + negative.1),
        positive_ohm: ohm(positive.0),
        negative_ohm: ohm(negative.1),
    })
}
