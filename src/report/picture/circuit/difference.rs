//! The difference stage, alone and behind two op amps.
use super::super::canvas::{Point, Side};
use super::sheet::Sheet;
use super::symbol::Words;
use crate::designator::Designator::{R1, R2, R3, R4, R5, R6};

/// Where the stage stands: the wires that come in, and the name of its op amp.
pub(super) struct Place {
    /// Left end of R1 and R3.
    pub(super) left: f64,
    /// The upper wire, with R1 and R2.
    pub(super) upper: f64,
    /// The lower wire, with R3 and R4.
    pub(super) lower: f64,
    /// Where R1 and R2 meet.
    pub(super) meeting: f64,
    /// Left edge of the op amp.
    pub(super) amp: f64,
    pub(super) name: &'static str,
}

/// R1 to R4 around their op amp.
pub(super) fn stage(sheet: &mut Sheet<'_>, place: &Place, below: Words) {
    let middle = f64::midpoint(place.upper, place.lower);
    let meeting = place.meeting;
    let right = place.amp + 130.0;
    let first = f64::midpoint(place.left, meeting.min(place.left + 170.0));
    let second = f64::midpoint(meeting, right) + 4.0;
    let tip: Point = sheet.amp(place.name, (place.amp, middle), false);
    sheet.level(R1, (first, place.upper), (place.left, meeting), Words::Above);
    sheet.level(R2, (second, place.upper), (meeting, right), Words::Above);
    sheet.level(R3, (first, place.lower), (place.left, meeting), below);
    sheet.level(R4, (second, place.lower), (meeting, right - 4.0), below);
    let bend = place.amp - 22.0;
    sheet.canvas.wire(&[(bend, place.upper), (bend, middle - 16.0), (place.amp, middle - 16.0)]);
    sheet.canvas.wire(&[(bend, place.lower), (bend, middle + 16.0), (place.amp, middle + 16.0)]);
    sheet.canvas.wire(&[(right, place.upper), (right, middle)]);
    sheet.joint((bend, place.upper));
    sheet.joint((bend, place.lower));
    sheet.joint((right, middle));
    sheet.output(tip, right + 26.0);
    sheet.volt((bend + 7.0, place.upper + 36.0), Side::Right, &format!("{} - input", place.name));
    sheet.volt((bend + 7.0, place.lower - 28.0), Side::Right, &format!("{} + input", place.name));
    sheet.terminal((right, place.lower));
    sheet.reference((right + 12.0, place.lower - 2.0), Side::Right);
}

/// One op amp between the inputs and the output; R5 and R6 hang from the wires where they are there.
pub(super) fn plain(sheet: &mut Sheet<'_>) {
    let divided = sheet.has(R5) || sheet.has(R6);
    sheet.size(if divided { 500.0 } else { 410.0 }, if divided { 380.0 } else { 270.0 });
    let meeting = if divided { 178.0 } else { 150.0 };
    let place = Place {
        left: 24.0,
        upper: 56.0,
        lower: if divided { 260.0 } else { 200.0 },
        meeting,
        amp: if divided { 286.0 } else { 200.0 },
        name: "A1",
    };
    stage(sheet, &place, if divided { Words::Above } else { Words::Below });
    for (name, wire) in [(R5, place.upper), (R6, place.lower)] {
        if sheet.has(name) {
            sheet.joint((meeting, wire));
            sheet.upright(name, (meeting, wire + 46.0), (wire, wire + 84.0), Words::Right);
            sheet.ground((meeting, wire + 84.0));
        }
    }
    sheet.input((20.0, place.upper), false);
    sheet.input((20.0, place.lower), true);
}
