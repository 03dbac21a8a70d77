use crate::quantity::Unit;
use crate::report::{Record, picture};
use crate::study::{BudgetFigure, BudgetLine, Design};

pub(super) fn push(design: &Design, body: &mut Record) {
    let Some(figure) = &design.budget else { return };
    body.section("budget", "Error budget, ppm of full scale", |part| {
        part.number("full_scale_v", "full scale", figure.full_scale_v, Unit::Volt);
        if let Some(lsb) = figure.lsb_v {
            part.number("lsb_v", "LSB, referred to the input", lsb, Unit::Volt);
        }
        part.picture(picture::budget(figure));
        part.table("lines", "Line by line", &figure.lines, line);
        totals(figure, part);
    });
}

fn line(one: &BudgetLine) -> Record {
    let mut row = Record::new();
    row.text("cause", "cause", one.cause);
    row.number("ppm", "ppm", one.ppm, Unit::Plain);
    row.number("ppm_after_calibration", "ppm, calibrated", one.ppm_after_calibration, Unit::Plain);
    if let (Some(lsb), Some(after)) = (one.lsb, one.lsb_after_calibration) {
        row.number("lsb", "LSB", lsb, Unit::Plain);
        row.number("lsb_after_calibration", "LSB, calibrated", after, Unit::Plain);
    }
    row
}

fn totals(figure: &BudgetFigure, part: &mut Record) {
    part.number("sum_ppm", "sum", figure.sum_ppm, Unit::Plain);
    part.number("rss_ppm", "root sum of squares", figure.rss_ppm, Unit::Plain);
    let (key, words) = ("sum_after_calibration_ppm", "sum, calibrated");
    part.number(key, words, figure.sum_after_calibration_ppm, Unit::Plain);
    let (key, words) = ("rss_after_calibration_ppm", "root sum of squares, calibrated");
    part.number(key, words, figure.rss_after_calibration_ppm, Unit::Plain);
}
