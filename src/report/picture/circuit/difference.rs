//! The difference stage, alone and behind two op amps.
use super::super::canvas::{Point, Side};
use super::sheet::Sheet;
use super::symbol::Words;
use crate::designator::Designator::{R1, R2, R3, R4, R5, R6};

/// Where the stage stands: the wires that come in, and the name of its op amp.
pub(super) struct Place {
    /// Left end of R1 and R3.
    pub(super) left: f64,
    /// Middle of R1 and R3.
    pub(super) first: f64,
    /// The upper wire, with R1 and R2.
    pub(super) upper: f64,
    /// The lower wire, with R3 and R4.
    pub(super) lower: f64,
    /// Where the wires turn to the op amp.
    pub(super) bend: f64,
    pub(super) name: &'static str,
}

/// R1 to R4 around their op amp.
pub(super) fn stage(sheet: &mut Sheet<'_>, place: &Place) {
    let Place { left, first, upper, lower, bend, name } = *place;
    let middle = f64::midpoint(upper, lower);
    let (amp, right) = (bend + 22.0, bend + 152.0);
    let second = f64::midpoint(bend, right) + 4.0;
    let tip: Point = sheet.amp(name, (amp, middle), false);
    sheet.level(R1, (first, upper), (left, bend), Words::Above);
    sheet.level(R2, (second, upper), (bend, right), Words::Above);
    sheet.level(R3, (first, lower), (left, bend), Words::Below);
    sheet.level(R4, (second, lower), (bend, right - 4.0), Words::Below);
    sheet.canvas.wire(&[(bend, upper), (bend, middle - 16.0), (amp, middle - 16.0)]);
    sheet.canvas.wire(&[(bend, lower), (bend, middle + 16.0), (amp, middle + 16.0)]);
    sheet.canvas.wire(&[(right, upper), (right, middle)]);
    sheet.joint((bend, upper));
    sheet.joint((bend, lower));
    sheet.joint((right, middle));
    sheet.output(tip, right + 26.0);
    sheet.volt((bend + 7.0, upper + 36.0), Side::Right, &format!("{} - input", name));
    sheet.volt((bend + 7.0, lower - 28.0), Side::Right, &format!("{} + input", name));
    sheet.terminal((right, lower));
    sheet.reference((right + 12.0, lower - 2.0), Side::Right);
}

/// One op amp between the inputs and the output; R5 and R6 hang from the wires where they are there.
pub(super) fn plain(sheet: &mut Sheet<'_>) {
    let divided = sheet.has(R5) || sheet.has(R6);
    sheet.size(if divided { 560.0 } else { 480.0 }, if divided { 350.0 } else { 260.0 });
    let (upper, lower) = (52.0, if divided { 244.0 } else { 212.0 });
    let bend = if divided { 294.0 } else { 200.0 };
    stage(sheet, &Place { left: 24.0, first: 122.0, upper, lower, bend, name: "A1" });
    for (name, wire) in [(R5, upper), (R6, lower)] {
        if sheet.has(name) {
            sheet.joint((190.0, wire));
            sheet.upright(name, (190.0, wire + 42.0), (wire, wire + 80.0), Words::Right);
            sheet.ground((190.0, wire + 80.0));
        }
    }
    sheet.input((20.0, upper), false);
    sheet.input((20.0, lower), true);
}
