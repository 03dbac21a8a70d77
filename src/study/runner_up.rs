//! Sets of values that came close, and what each trades.
use crate::designator::Designator;
use crate::quantity::{Unit, rounded};
use crate::sizing::{Filled, Ranked};

/// As many are listed.
const LISTED: usize = 3;
/// Gain errors above this are no answer.
const FAR: f64 = 0.05;

/// A set of values that was not chosen.
#[derive(Clone, Debug, PartialEq)]
pub struct RunnerUp {
    /// Its values, Ω; `None`: open.
    pub ohms: Vec<(Designator, Option<f64>)>,
    /// Gain with the nearest error known, V/V.
    pub gain: f64,
    /// Nominal gain error, a fraction.
    pub error: f64,
    /// Resistors of the gain-set value.
    pub parts: usize,
    /// White noise density by the book, V/√Hz.
    pub noise_v_per_rthz: f64,
    /// Against the chosen set, in words.
    pub trades: String,
}

/// The next in the order, the nearest gain and the least noise, as far as they differ from the chosen set.
///
/// Of sets that were refused the limit they miss is told: without it they would have been better.
pub(super) fn runners_up(
    ranked: &[Ranked],
    refused: &[(Filled, &'static str)],
    chosen: &Filled,
    target: f64,
) -> Vec<RunnerUp> {
    let Some(held) = ranked.iter().find(|one| one.filled == *chosen) else { return Vec::new() };
    // a set far off the gain is no alternative
    let near = |one: &&Ranked| one.error.abs() <= FAR.max(2.0 * held.error.abs());
    let others: Vec<&Ranked> = ranked.iter().filter(|one| one.filled != *chosen).filter(near).collect();
    let least = |of: fn(&Ranked) -> f64| others.iter().copied().min_by(|a, b| of(a).total_cmp(&of(b)));
    let picks = [others.first().copied(), least(|one| one.error.abs()), least(|one| one.noise), others.get(1).copied()];
    let mut listed: Vec<&Ranked> = Vec::new();
    for one in picks.into_iter().flatten() {
        if !listed.iter().any(|other| other.filled == one.filled) && listed.len() < LISTED {
            listed.push(one);
        }
    }
    let missed = |one: &Ranked| refused.iter().find(|held| held.0 == one.filled).map(|held| held.1);
    listed.into_iter().map(|one| line(one, held, missed(one), target)).collect()
}

fn line(one: &Ranked, held: &Ranked, missed: Option<&str>, target: f64) -> RunnerUp {
    RunnerUp {
        ohms: one.filled.values.iter().map(|value| (value.name, value.pick.ohm())).collect(),
        gain: target * (1.0 + one.error),
        error: one.error,
        parts: one.parts,
        noise_v_per_rthz: one.noise,
        trades: trades(one, held, missed),
    }
}

fn trades(one: &Ranked, held: &Ranked, missed: Option<&str>) -> String {
    let mut words = Vec::new();
    let compare = |more: f64, unit: Unit, what: &str| {
        let side = if more > 0.0 { "more" } else { "less" };
        format!("{} {side} {what}", rounded(more.abs(), unit, 2))
    };
    let error = one.error.abs() - held.error.abs();
    if error.abs() > 1e-7 {
        words.push(compare(error, Unit::Fraction, "gain error"));
    }
    if held.noise > 0.0 && (one.noise / held.noise - 1.0).abs() > 1e-4 {
        words.push(compare(one.noise / held.noise - 1.0, Unit::Fraction, "noise"));
    }
    match one.parts.cmp(&held.parts) {
        std::cmp::Ordering::Greater => words.push("a part more".to_owned()),
        std::cmp::Ordering::Less => words.push("a part less".to_owned()),
        std::cmp::Ordering::Equal => {}
    }
    match (one.alike(), held.alike()) {
        (true, false) => words.push("R1 to R4 of one value".to_owned()),
        (false, true) => words.push("R1 to R4 of several values".to_owned()),
        _ => {}
    }
    let told = if words.is_empty() { "as good but for the tie rule".to_owned() } else { words.join(", ") };
    match missed {
        Some(limit) => format!("{told}, but misses {}", limit.replace('_', " ")),
        None => told,
    }
}
