//! What would move the yield, tried on the same boards.
use super::ShareLine;
use crate::designator::Designator;
use crate::network::NetworkFault;
use crate::part::Matched;
use crate::quantity::{Unit, or_zero, rounded};
use crate::stage::{Lot, Role};
use crate::yields::{self, Effort, Problem, Temperature};

/// The parts' shares, and a sentence.
pub(super) struct Advice {
    pub(super) shares: Vec<ShareLine>,
    pub(super) words: Option<String>,
}

/// A change below this share of the boards is none: what is left of the noise of common draws.
const NOTHING: f64 = 5e-4;
/// A network that is suggested matches so much better than its resistors bought alone.
const BETTER_MATCH: f64 = 5.0;

/// A change and the yield with it.
struct Change {
    /// As the subject of a sentence.
    subject: String,
    yield_fraction: f64,
}

pub(super) fn advice(problem: &Problem<'_>, fraction: f64, effort: &Effort) -> Result<Advice, NetworkFault> {
    let parts = yields::shares(problem, effort)?;
    let amps: Vec<String> = problem
        .stage
        .circuit
        .topology
        .amps()
        .iter()
        .map(ToString::to_string)
        .filter(|name| parts.iter().any(|part| part.part == *name))
        .collect();
    let mut groups: Vec<Vec<String>> = parts.iter().map(|part| vec![part.part.clone()]).collect();
    groups.push(amps.clone());
    let found = yields::halved(problem, &groups, effort)?;
    // Differences on the same boards are sharper than the yields themselves.
    let moved = |by: f64| (fraction + by).clamp(0.0, 1.0);
    let halved: Vec<f64> = (0..groups.len()).map(|group| moved(found.moved(group))).collect();
    let mut changes: Vec<Change> = parts
        .iter()
        .zip(&halved)
        .filter(|(part, _)| !amps.contains(&part.part))
        .map(|(part, &yield_fraction)| Change {
            subject: format!("{} at half the tolerance", part.part),
            yield_fraction,
        })
        .collect();
    let network = matched(problem, effort)?;
    changes.extend(network.map(|(subject, pass)| Change {
        subject,
        yield_fraction: moved((pass as f64 - found.pass as f64) / found.boards.max(1) as f64),
    }));
    let better_amps = (!amps.is_empty()).then(|| halved.last().copied()).flatten();
    let words = sentence(fraction, &changes, better_amps);
    let mut shares: Vec<ShareLine> = parts
        .into_iter()
        .zip(halved)
        .map(|(part, yield_if_halved)| ShareLine {
            part: part.part,
            of_gain_variance: or_zero(part.of_gain_variance, 1.0),
            of_common_mode_variance: or_zero(part.of_common_mode_variance, 1.0),
            yield_if_halved,
        })
        .collect();
    // what differs by chance alone stays in the order of the drawing
    let most = |line: &ShareLine| (200.0 * line.of_gain_variance.max(line.of_common_mode_variance)).round();
    shares.sort_by(|a, b| most(b).total_cmp(&most(a)));
    Ok(Advice { shares, words })
}

/// R1 to R4 as one network, where they are bought alone: in words, and the boards that pass.
fn matched(problem: &Problem<'_>, effort: &Effort) -> Result<Option<(String, u64)>, NetworkFault> {
    let members = [Designator::R1, Designator::R2, Designator::R3, Designator::R4];
    let drawn = members.iter().all(|&name| problem.stage.element(Role::Resistor(name)).is_some());
    let taken = problem.lot.networks.iter().any(|network| network.members.iter().any(|name| members.contains(name)));
    let Some(grade) = problem.lot.grades.get(&Designator::R1).copied().filter(|grade| grade.tolerance > 0.0) else {
        return Ok(None);
    };
    if !drawn || taken {
        return Ok(None);
    }
    let network = Matched {
        members: members.to_vec(),
        match_fraction: grade.tolerance / BETTER_MATCH,
        match_tempco_per_k: grade.tempco_per_k / BETTER_MATCH,
        grade: Some(grade),
    };
    let mut subject = format!("R1..R4 as a {} network", rounded(network.match_fraction, Unit::Fraction, 3));
    if network.match_tempco_per_k > 0.0 && (problem.lot.reach_k > 0.0 || problem.temperature != Temperature::Limit) {
        subject += &format!(" ({})", rounded(network.match_tempco_per_k, Unit::PerKelvin, 3));
    }
    let lot = Lot { networks: [problem.lot.networks.clone(), vec![network]].concat(), ..problem.lot.clone() };
    let changed = Problem { lot: &lot, ..problem.clone() };
    Ok(Some((subject, yields::run(&changed, effort, &mut |_| true)?.pass)))
}

/// The best change, and what a better op amp would do.
fn sentence(fraction: f64, changes: &[Change], better_amps: Option<f64>) -> Option<String> {
    let best = changes.iter().fold(None, |best: Option<&Change>, one| match best {
        Some(best) if best.yield_fraction >= one.yield_fraction => Some(best),
        _ => Some(one),
    });
    let amps = better_amps.map(|with| {
        if (with - fraction).abs() < NOTHING {
            "op amps twice as good change nothing".to_owned()
        } else {
            format!("op amps twice as good bring it to {}", percent(with))
        }
    });
    let gained = best.filter(|best| best.yield_fraction - fraction >= NOTHING);
    let first = match gained {
        Some(best) => {
            format!("{} lifts yield from {} to {}", best.subject, percent(fraction), percent(best.yield_fraction))
        }
        None => match better_amps {
            Some(with) if with - fraction >= NOTHING => {
                return Some(format!(
                    "Op amps twice as good lift yield from {} to {}; no resistor at half the tolerance changes it.",
                    percent(fraction),
                    percent(with)
                ));
            }
            _ if fraction < 1.0 - NOTHING => {
                return Some("No part alone at half its tolerance changes the yield.".to_owned());
            }
            _ => return None,
        },
    };
    Some(match amps {
        Some(amps) => format!("{first}; {amps}."),
        None => format!("{first}."),
    })
}

/// A yield with two digits of what is lost.
fn percent(fraction: f64) -> String {
    let lost = 1.0 - fraction;
    let places = if lost > 0.0 { libm::ceil(-libm::log10(lost)).clamp(0.0, 12.0) as usize } else { 0 };
    let digits = if lost > 0.0 && lost < 0.1 { 1 + places } else { 3 };
    rounded(fraction, Unit::Fraction, digits)
}
