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
    let mut whole = None;
    goals.map(|goal| match region::of_greatest(boards, goal) {
        Some(regions) => regions
            .iter()
            .map(|region| {
                let starts = starts(boards, region, &[goal]);
                within(boards, goal, region, starts.as_deref().and_then(<[_]>::first))
            })
            .reduce(greater)
            .unwrap_or_else(|| within(boards, goal, &Region::whole(boards.quantities), None)),
        None => {
            let region = Region::whole(boards.quantities);
            let starts = whole.get_or_insert_with(|| starts(boards, &region, &goals));
            let place = goals.iter().position(|&one| one == goal);
            within(boards, goal, &region, starts.as_ref().zip(place).and_then(|(all, place)| all.get(place)))
        }
    })
}

/// The worst corners for each goal; `None` where there are too many.
fn starts(boards: &mut Boards<'_, f64>, region: &Region, goals: &[Goal]) -> Option<Vec<Vec<Corner>>> {
    (region.free.len() <= ENUMERATED_AT_DC).then(|| enumerate::corners(boards, region, goals))
}

fn within(boards: &mut Boards<'_, f64>, goal: Goal, region: &Region, starts: Option<&Vec<Corner>>) -> Extreme {
    let likely;
    let (starts, enumerated) = match starts {
        Some(starts) => (starts, true),
        None => {
            let found = likely::greatest(boards, &[goal], region).into_iter();
            likely = found.map(|one| Corner { score: one.best, at: one.at }).collect();
            (&likely, false)
        }
    };
    Extreme { found: search::improve(boards, goal, region, starts), enumerated }
}

fn greater(one: Extreme, other: Extreme) -> Extreme {
    let enumerated = one.enumerated && other.enumerated;
    let corner = one.found.corner.max(other.found.corner);
    let best = if other.found.best > one.found.best { other.found } else { one.found };
    Extreme { found: Found { corner, ..best }, enumerated }
}
