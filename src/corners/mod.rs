//! Worst case over the box of all uncertain quantities.
//!
//! While the gain keeps its sign, `A_cm/A_d` is monotone in every quantity that enters one element, so
//! at dc the worst lies at a corner and enumerating corners is exact. A quantity that enters several
//! elements is also searched between its ends. Where there are too many corners, the signs of the
//! sensitivities choose the corners to climb from, and the answer says so.
mod boards;
mod enumerate;
mod margin;
mod search;
mod spans;

pub use margin::{Load, WorstMargin, of_resistors, worst_margin};
pub use spans::node_spans;

use crate::network::{Lane, NetworkFault};
use crate::stage::{Quantity, Stage};
use boards::{Boards, Goal};
use num_complex::Complex64;

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

/// As many quantities are enumerated at dc: 2^20 corners.
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
    solve::<f64>(stage, quantities, 0.0, ENUMERATED_AT_DC)
}

/// The least rejection at dc alone, for searches that ask for it many times.
///
/// # Errors
/// [`NetworkFault::Singular`] when the nominal network has no solution.
pub fn least_rejection(stage: &Stage, quantities: &[Quantity]) -> Result<f64, NetworkFault> {
    let mut boards = Boards::<f64>::new(stage, quantities, 0.0)?;
    let all_corners = quantities.len() <= ENUMERATED_AT_DC;
    let goals = [Goal::Rejection, Goal::High, Goal::Low];
    let found = extremes(&mut boards, &goals, all_corners, true);
    Ok(if found[1].best > 0.0 && found[2].best > 0.0 { 0.0 } else { 1.0 / found[0].best.sqrt() })
}

/// `A_d` and `A_cm` at dc with every quantity at a given value, for each of `points`.
///
/// # Errors
/// [`NetworkFault::Singular`] when the nominal network has no solution.
pub fn gains_at(stage: &Stage, quantities: &[Quantity], points: &[Vec<f64>]) -> Result<Vec<(f64, f64)>, NetworkFault> {
    Ok(Boards::<f64>::new(stage, quantities, 0.0)?.points(points))
}

fn extremes<T: Lane>(boards: &mut Boards<'_, T>, goals: &[Goal], all_corners: bool, dc: bool) -> Vec<search::Found> {
    let moves = search::Moves { flips: !all_corners, slides: dc };
    if all_corners {
        let starts = enumerate::corners(boards, goals);
        return goals.iter().zip(starts).map(|(&goal, starts)| search::improve(boards, goal, &starts, moves)).collect();
    }
    goals
        .iter()
        .map(|&goal| {
            let starts = search::likely_corners(boards, goal);
            search::improve(boards, goal, &starts, moves)
        })
        .collect()
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
    solve::<Complex64>(stage, quantities, hz, enumerated)
}

fn solve<T: Lane>(
    stage: &Stage,
    quantities: &[Quantity],
    hz: f64,
    enumerated: usize,
) -> Result<WorstCase, NetworkFault> {
    let mut boards = Boards::<T>::new(stage, quantities, hz)?;
    let dc = hz == 0.0;
    let all_corners = quantities.len() <= enumerated;
    let goals: &[Goal] =
        if dc { &[Goal::Rejection, Goal::Common, Goal::High, Goal::Low] } else { &[Goal::Rejection, Goal::Common] };
    let best = extremes(&mut boards, goals, all_corners, dc);
    let method = |enough: bool| match (all_corners, dc, enough) {
        (false, ..) | (true, true, false) => Method::Searched,
        (true, true, true) => Method::Proven,
        (true, false, _) => Method::Corners,
    };
    let worst = &best[0];
    // 0.001 dB on a squared ratio, and 1e-6 on a gain: figures.md, sections 5 and 6.
    let gained_little = worst.best <= worst.corner * libm::pow(10.0, 0.000_1);
    let flat = |found: &search::Found| (found.best - found.corner).abs() <= 1e-6 * found.corner.abs();
    let (gain_low, gain_high, gain_method) = if dc {
        let (high, low) = (&best[2], &best[3]);
        let sure = flat(high) && flat(low);
        (-low.best, high.best, method(sure))
    } else {
        (0.0, 0.0, method(true))
    };
    let changes_sign = dc && gain_low < 0.0 && gain_high > 0.0;
    Ok(WorstCase {
        rejection: if changes_sign { 0.0 } else { 1.0 / worst.best.sqrt() },
        at: worst.at.clone(),
        method: method(gained_little),
        common: best[1].best.sqrt(),
        gain_low,
        gain_high,
        gain_method,
    })
}
