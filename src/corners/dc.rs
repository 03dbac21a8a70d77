//! The greatest value of a goal at dc: over the regions that can hold it, all corners, then between the ends.
use super::boards::{Boards, Goal};
use super::enumerate::Corner;
use super::region::{self, Enclosures, Region};
use super::search::{self, Found};
use super::{ENUMERATED_AT_DC, enumerate, likely};

/// What a goal comes to over the box.
#[derive(Clone, Debug)]
pub(super) struct Extreme {
    pub(super) found: Found,
    /// Every corner that can be the greatest was looked at.
    pub(super) enumerated: bool,
}

/// The greatest value of each goal.
pub(super) fn greatest<const N: usize>(boards: &mut Boards<'_, f64>, goals: [Goal; N]) -> [Extreme; N] {
    let mut enclosures = Enclosures::default();
    let regions = goals.map(|goal| {
        let regions = region::of_greatest(boards, goal, &mut enclosures);
        (goal, regions.unwrap_or_else(|| vec![Region::whole(boards.quantities)]))
    });
    // most regions are one corner: all of these are looked at together
    let decided: Vec<(Goal, &Region)> = regions
        .iter()
        .flat_map(|(goal, regions)| regions.iter().map(|region| (*goal, region)))
        .filter(|(_, region)| region.free.is_empty())
        .collect();
    let mut decided = enumerate::decided(boards, &decided).into_iter();
    regions.each_ref().map(|(goal, regions)| {
        let nothing = Found { best: f64::NEG_INFINITY, corner: f64::NEG_INFINITY, at: Vec::new() };
        let none = Extreme { found: nothing, enumerated: true };
        let one = |region: &Region| {
            let known = if region.free.is_empty() { decided.next() } else { None };
            within(boards, *goal, region, known)
        };
        regions.iter().map(one).fold(none, greater)
    })
}

/// The greatest value in a region: from all its corners, one of them known where it is the only one, or where they
/// are too many from the likely ones.
fn within(boards: &mut Boards<'_, f64>, goal: Goal, region: &Region, known: Option<Corner>) -> Extreme {
    let enumerated = region.free.len() <= ENUMERATED_AT_DC;
    let corners = match known {
        Some(corner) => vec![corner],
        None if enumerated => enumerate::corners(boards, region, &[goal]).concat(),
        None => {
            let found = likely::greatest(boards, &[goal], region).into_iter();
            found.map(|one| Corner { score: one.best, at: one.at }).collect()
        }
    };
    Extreme { found: search::improve(boards, goal, region, &corners), enumerated }
}

fn greater(one: Extreme, other: Extreme) -> Extreme {
    let enumerated = one.enumerated && other.enumerated;
    let corner = one.found.corner.max(other.found.corner);
    let best = if other.found.best > one.found.best { other.found } else { one.found };
    Extreme { found: Found { corner, ..best }, enumerated }
}
