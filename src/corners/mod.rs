//! Worst case over the box of all uncertain quantities.
//!
//! While the gain keeps its sign, `A_cm/A_d` is monotone in every quantity that enters one element, so
//! at dc the worst lies at a corner and enumerating corners is exact. A quantity that enters several
//! elements is also searched between its ends. Quantities along which a slope has one sign all over the
//! box, as an enclosure of it shows, need no enumeration. Where there are too many corners still, the
//! signs of the sensitivities choose the corners to climb from, and the answer says so.
mod boards;
mod dc;
mod enumerate;
mod likely;
mod margin;
mod over_frequency;
mod points;
mod region;
mod search;
mod spans;

pub use margin::{Load, WorstMargin, of_resistors, worst_margin};
pub use over_frequency::OverFrequency;
pub use spans::{NodeRange, node_ranges};

use crate::network::NetworkFault;
use crate::predict::Gains;
use crate::stage::{Quantity, Stage};
use boards::{Boards, Goal};
use points::Points;

/// How sure a worst case is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// Enumerated, and monotone in every quantity: no inner point is worse.
    Proven,
    /// Searched between the ends, or not all corners were enumerated.
    Searched,
    /// All corners enumerated at a frequency, where an inner point may be worse by a little.
    Corners,
}

impl Method {
    /// The word in reports and JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Proven => "proven",
            Self::Searched => "searched",
            Self::Corners => "corners",
        }
    }
}

/// As many quantities are enumerated at dc, those apart whose slope has one sign: 2^20 corners.
pub const ENUMERATED_AT_DC: usize = 20;
/// As many at a single frequency.
pub const ENUMERATED_AT_FREQUENCY: usize = 16;
/// As many at each point of a sweep.
pub const ENUMERATED_IN_SWEEP: usize = 12;

/// What the box can do to gain and rejection.
#[derive(Clone, Debug, PartialEq)]
pub struct WorstCase {
    /// Least `|A_d|/|A_cm|`; infinite where nothing makes a common-mode gain.
    pub rejection: f64,
    /// Where that happens: a value for each quantity.
    pub at: Vec<f64>,
    /// How sure that is.
    pub method: Method,
    /// Greatest `|A_cm|`.
    pub common: f64,
    /// Least `A_d` (dc only, else 0).
    pub gain_low: f64,
    /// Greatest `A_d` (dc only, else 0).
    pub gain_high: f64,
    /// How sure the two are.
    pub gain_method: Method,
}

/// Worst case at dc.
///
/// # Errors
/// [`NetworkFault::Singular`] when the nominal network has no solution.
pub fn at_dc(stage: &Stage, quantities: &[Quantity]) -> Result<WorstCase, NetworkFault> {
    Ok(nominal_and_worst(stage, quantities)?.1)
}

/// Nominal gains at dc, as [`crate::predict::gains`] gives them, and the worst case, from one solution.
///
/// # Errors
/// [`NetworkFault::Singular`] when the nominal network has no solution.
pub fn nominal_and_worst(stage: &Stage, quantities: &[Quantity]) -> Result<(Gains<f64>, WorstCase), NetworkFault> {
    let mut boards = Boards::<f64>::new(stage, quantities, 0.0)?;
    let nominal = Gains { differential: boards.plan.nominal()[0], common: boards.plan.nominal()[1] };
    let [worst, common, high, low] = dc::greatest(&mut boards, [Goal::Rejection, Goal::Common, Goal::High, Goal::Low]);
    let method = |enough: bool, of: &[&dc::Extreme]| {
        if enough && of.iter().all(|one| one.enumerated) { Method::Proven } else { Method::Searched }
    };
    // 0.001 dB on a squared ratio, and 1e-6 on a gain: figures.md, sections 5 and 6.
    let gained_little = worst.found.best <= worst.found.corner * libm::pow(10.0, 0.000_1);
    let flat = |one: &dc::Extreme| (one.found.best - one.found.corner).abs() <= 1e-6 * one.found.corner.abs();
    let (gain_low, gain_high) = (-low.found.best, high.found.best);
    let changes_sign = gain_low < 0.0 && gain_high > 0.0;
    let worst = WorstCase {
        rejection: if changes_sign { 0.0 } else { 1.0 / worst.found.best.sqrt() },
        method: method(gained_little, &[&worst]),
        gain_method: method(flat(&high) && flat(&low), &[&high, &low]),
        at: worst.found.at,
        common: common.found.best.sqrt(),
        gain_low,
        gain_high,
    };
    Ok((nominal, worst))
}

/// The least rejection at dc alone, for searches that ask for it many times.
///
/// # Errors
/// [`NetworkFault::Singular`] when the nominal network has no solution.
pub fn least_rejection(stage: &Stage, quantities: &[Quantity]) -> Result<f64, NetworkFault> {
    let mut boards = Boards::<f64>::new(stage, quantities, 0.0)?;
    let [worst, high, low] = dc::greatest(&mut boards, [Goal::Rejection, Goal::High, Goal::Low]);
    let changes_sign = high.found.best > 0.0 && low.found.best > 0.0;
    Ok(if changes_sign { 0.0 } else { 1.0 / worst.found.best.sqrt() })
}

/// Least and greatest `A_d` at dc, for those who need no more.
///
/// # Errors
/// [`NetworkFault::Singular`] when the nominal network has no solution.
pub fn gain_range(stage: &Stage, quantities: &[Quantity]) -> Result<(f64, f64), NetworkFault> {
    let mut boards = Boards::<f64>::new(stage, quantities, 0.0)?;
    let [high, low] = dc::greatest(&mut boards, [Goal::High, Goal::Low]);
    Ok((-low.found.best, high.found.best))
}

/// `A_d` and `A_cm` at dc with every quantity at a given value, for each of `points`.
///
/// # Errors
/// [`NetworkFault::Singular`] when the nominal network has no solution.
pub fn gains_at(stage: &Stage, quantities: &[Quantity], points: &[Vec<f64>]) -> Result<Vec<(f64, f64)>, NetworkFault> {
    let mut all = Points::of(quantities.len());
    for point in points {
        all.push(point);
    }
    Ok(Boards::<f64>::new(stage, quantities, 0.0)?.gains(&all))
}

/// Worst case at a frequency, enumerating the corners of up to `enumerated` quantities.
///
/// # Errors
/// [`NetworkFault::Singular`] when the nominal network has no solution.
pub fn at_frequency(
    stage: &Stage,
    quantities: &[Quantity],
    hz: f64,
    enumerated: usize,
) -> Result<WorstCase, NetworkFault> {
    OverFrequency::new(stage, quantities).worst(hz, enumerated)
}
