//! Where the error goes, before calibration and after it.
use super::{Picture, Share, stack};
use crate::study::BudgetFigure;

/// Nothing where every line is zero.
pub(in crate::report) fn budget(figure: &BudgetFigure) -> Option<Picture> {
    let shares: Vec<Share> = figure
        .lines
        .iter()
        .map(|line| Share {
            name: line.cause.to_owned(),
            before: line.ppm * 1e-6,
            after: line.ppm_after_calibration * 1e-6,
        })
        .collect();
    stack("budget", "Error budget, as shares of full scale that add up", ["as built", "calibrated"], &shares)
}
