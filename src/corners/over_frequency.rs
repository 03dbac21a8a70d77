//! The box at one frequency after the other: wiring, pivots and operations are worked out once.
use super::boards::{Boards, Goal};
use super::region::Region;
use super::search::Found;
use super::{Method, WorstCase, enumerate, likely};
use crate::network::NetworkFault;
use crate::predict::Gains;
use crate::stage::{Quantity, Stage};
use num_complex::Complex64;

/// A stage and the quantities that vary, asked at any frequencies above 0.
pub struct OverFrequency<'s> {
    stage: &'s Stage,
    quantities: &'s [Quantity],
    boards: Option<(f64, Boards<'s, Complex64>)>,
}

impl<'s> OverFrequency<'s> {
    /// Nothing is worked out yet. `quantities` are those of [`Stage::quantities`] above dc.
    #[must_use]
    pub const fn new(stage: &'s Stage, quantities: &'s [Quantity]) -> Self {
        Self { stage, quantities, boards: None }
    }

    fn at(&mut self, hz: f64) -> Result<&mut Boards<'s, Complex64>, NetworkFault> {
        let boards = match self.boards.take() {
            Some((before, boards)) if before == hz => boards,
            Some((_, mut boards)) => {
                boards.retune(self.stage, hz)?;
                boards
            }
            None => Boards::new(self.stage, self.quantities, hz)?,
        };
        Ok(&mut self.boards.insert((hz, boards)).1)
    }

    /// Nominal gains at `hz`, as [`crate::predict::gains`] gives them.
    ///
    /// # Errors
    /// [`NetworkFault::Singular`] when the nominal network has no solution.
    pub fn nominal(&mut self, hz: f64) -> Result<Gains<Complex64>, NetworkFault> {
        let nominal = self.at(hz)?.plan.nominal();
        Ok(Gains { differential: nominal[0], common: nominal[1] })
    }

    /// Worst case at `hz`, enumerating the corners of up to `enumerated` quantities.
    ///
    /// # Errors
    /// [`NetworkFault::Singular`] when the nominal network has no solution.
    pub fn worst(&mut self, hz: f64, enumerated: usize) -> Result<WorstCase, NetworkFault> {
        let whole = Region::whole(self.quantities);
        let all_corners = self.quantities.len() <= enumerated;
        let boards = self.at(hz)?;
        let goals = [Goal::Rejection, Goal::Common];
        let found: Vec<Found> = if all_corners {
            let worst = |corners: Vec<enumerate::Corner>| {
                let none = Found { best: f64::NEG_INFINITY, corner: f64::NEG_INFINITY, at: whole.at.clone() };
                corners.into_iter().next().map_or(none, |one| Found { best: one.score, corner: one.score, at: one.at })
            };
            enumerate::corners(boards, &whole, &goals).into_iter().map(worst).collect()
        } else {
            likely::greatest(boards, &goals, &whole)
        };
        let [worst, common] = [&found[0], &found[1]];
        let method = if all_corners { Method::Corners } else { Method::Searched };
        Ok(WorstCase {
            rejection: 1.0 / worst.best.sqrt(),
            at: worst.at.clone(),
            method,
            common: common.best.sqrt(),
            gain_low: 0.0,
            gain_high: 0.0,
            gain_method: method,
        })
    }
}
