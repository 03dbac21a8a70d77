//! Two op amps at the inputs: followers, or a stage with RG; the difference stage behind them.
use super::super::canvas::Side;
use super::difference::{Place, stage};
use super::sheet::Sheet;
use super::symbol::Words;
use crate::designator::Designator::{RF1, RF2, RG};
use crate::designator::Topology;

const UPPER: f64 = 56.0;
const LOWER: f64 = 300.0;
const MIDDLE: f64 = 178.0;
/// From these wires to the two ends of RG.
const INWARDS: f64 = 70.0;
/// The column of RF1, RG and RF2.
const COLUMN: f64 = 222.0;

pub(super) fn drawn(sheet: &mut Sheet<'_>) {
    sheet.size(660.0, 350.0);
    stage(sheet, &Place { left: COLUMN, first: 307.0, upper: UPPER, lower: LOWER, bend: 392.0, name: "A3" });
    for (name, y, above) in [("A1", UPPER, true), ("A2", LOWER, false)] {
        let tip = sheet.amp(name, (116.0, y), above);
        sheet.canvas.wire(&[tip, (COLUMN, y)]);
        sheet.joint((COLUMN, y));
        let (plus, minus) = if above { (y - 16.0, y + 16.0) } else { (y + 16.0, y - 16.0) };
        sheet.canvas.wire(&[(24.0, plus), (116.0, plus)]);
        sheet.input((20.0, plus), !above);
        let inwards = if above { y + INWARDS } else { y - INWARDS };
        sheet.canvas.wire(&[(116.0, minus), (96.0, minus), (96.0, inwards), (COLUMN, inwards)]);
        let words = if above { y - 7.0 } else { y + 18.0 };
        sheet.volt((COLUMN - 36.0, words), Side::Right, &format!("{name} output"));
    }
    if sheet.topology() == Topology::ThreeOpAmp {
        sheet.upright(RF1, (COLUMN, UPPER + INWARDS / 2.0), (UPPER, UPPER + INWARDS), Words::Right);
        sheet.upright(RG, (COLUMN, MIDDLE), (UPPER + INWARDS, LOWER - INWARDS), Words::Right);
        sheet.upright(RF2, (COLUMN, LOWER - INWARDS / 2.0), (LOWER - INWARDS, LOWER), Words::Right);
        for (y, words, node) in [(UPPER + INWARDS, 18.0, "A1 - input"), (LOWER - INWARDS, -8.0, "A2 - input")] {
            sheet.joint((COLUMN, y));
            sheet.volt((COLUMN - 10.0, y + words), Side::Left, node);
        }
    } else {
        for (from, to) in [(UPPER, UPPER + INWARDS), (LOWER, LOWER - INWARDS)] {
            sheet.canvas.wire(&[(COLUMN, from), (COLUMN, to)]);
        }
    }
}
