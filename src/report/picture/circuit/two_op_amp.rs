//! Two op amps in a row.
use super::super::canvas::Side;
use super::sheet::Sheet;
use super::symbol::Words;
use crate::designator::Designator::{R1, R2, R3, R4, RG};

/// The wire with R1 to R4.
const CHAIN: f64 = 136.0;
const AMPS: f64 = 240.0;
const FIRST: f64 = 150.0;
const SECOND: f64 = 400.0;

pub(super) fn drawn(sheet: &mut Sheet<'_>) {
    sheet.size(660.0, 350.0);
    sheet.level(R1, (98.0, CHAIN), (32.0, FIRST), Words::Above);
    sheet.level(R2, (222.0, CHAIN), (FIRST, 290.0), Words::Above);
    sheet.level(R3, (345.0, CHAIN), (290.0, SECOND), Words::Above);
    sheet.level(R4, (480.0, CHAIN), (SECOND, 548.0), Words::Above);
    sheet.terminal((28.0, CHAIN));
    sheet.reference((14.0, CHAIN + 20.0), Side::Right);
    if sheet.has(RG) {
        sheet.canvas.wire(&[(FIRST, CHAIN), (FIRST, 48.0)]);
        sheet.canvas.wire(&[(SECOND, CHAIN), (SECOND, 48.0)]);
    }
    sheet.level(RG, (275.0, 48.0), (FIRST, SECOND), Words::Above);
    for (name, x, column) in [("A1", 190.0, FIRST), ("A2", 440.0, SECOND)] {
        let tip = sheet.amp(name, (x, AMPS), false);
        sheet.canvas.wire(&[(column, CHAIN), (column, AMPS - 16.0), (x, AMPS - 16.0)]);
        sheet.joint((column, CHAIN));
        sheet.volt((column + 7.0, CHAIN + 28.0), Side::Right, &format!("{name} - input"));
        if name == "A1" {
            sheet.canvas.wire(&[tip, (290.0, AMPS), (290.0, CHAIN)]);
            sheet.joint((290.0, CHAIN));
            sheet.volt((297.0, CHAIN + 28.0), Side::Right, "A1 output");
        } else {
            sheet.canvas.wire(&[(548.0, CHAIN), (548.0, AMPS)]);
            sheet.joint((548.0, AMPS));
            sheet.output(tip, 574.0);
        }
    }
    sheet.canvas.wire(&[(24.0, AMPS + 16.0), (190.0, AMPS + 16.0)]);
    sheet.input((20.0, AMPS + 16.0), false);
    sheet.canvas.wire(&[(24.0, 316.0), (412.0, 316.0), (412.0, AMPS + 16.0), (440.0, AMPS + 16.0)]);
    sheet.input((20.0, 316.0), true);
}
