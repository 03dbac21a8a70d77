//! The greatest value of a goal at dc: over the regions that can hold it, all corners, then between the ends.
use super::boards::{Boards, Goal};
use super::enumerate::Corner;
use super::region::{self, Region};
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
    goals.map(|goal| {
        let regions = region::of_greatest(boards, goal).unwrap_or_else(|| vec![Region::whole(boards.quantities)]);
        let nothing = Found { best: f64::NEG_INFINITY, corner: f64::NEG_INFINITY, at: Vec::new() };
        let none = Extreme { found: nothing, enumerated: true };
        regions.iter().map(|region| within(boards, goal, region)).fold(none, greater)
    })
}

/// The greatest value in a region: from all its corners, or where they are too many from the likely ones.
fn within(boards: &mut Boards<'_, f64>, goal: Goal, region: &Region) -> Extreme {
    let enumerated = region.free.len() <= ENUMERATED_AT_DC;
    let corners = if enumerated {
        enumerate::corners(boards, region, &[goal]).concat()
    } else {
        let found = likely::greatest(boards, &[goal], region).into_iter();
        found.map(|one| Corner { score: one.best, at: one.at }).collect()
    };
    Extreme { found: search::improve(boards, goal, region, &corners), enumerated }
}

fn greater(one: Extreme, other: Extreme) -> Extreme {
    let enumerated = one.enumerated && other.enumerated;
    let corner = one.found.corner.max(other.found.corner);
    let best = if other.found.best > one.found.best { other.found } else { one.found };
    Extreme { found: Found { corner, ..best }, enumerated }
}
