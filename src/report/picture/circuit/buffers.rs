//! Two op amps at the inputs: followers, or a stage with RG; the difference stage behind them.
use super::super::canvas::Side;
use super::difference::{Place, stage};
use super::sheet::Sheet;
use super::symbol::{LONG, Words};
use crate::designator::Designator::{RF1, RF2, RG};
use crate::designator::Topology;

const UPPER: f64 = 76.0;
const LOWER: f64 = 324.0;
const MIDDLE: f64 = 200.0;
/// The column of RF1, RG and RF2.
const COLUMN: f64 = 222.0;

pub(super) fn drawn(sheet: &mut Sheet<'_>) {
    sheet.size(640.0, 400.0);
    let place = Place { left: COLUMN, upper: UPPER, lower: LOWER, meeting: 392.0, amp: 414.0, name: "A3" };
    stage(sheet, &place, Words::Below);
    for (name, y, above) in [("A1", UPPER, true), ("A2", LOWER, false)] {
        let tip = sheet.amp(name, (116.0, y), above);
        sheet.canvas.wire(&[tip, (COLUMN, y)]);
        sheet.joint((COLUMN, y));
        let (plus, minus) = if above { (y - 16.0, y + 16.0) } else { (y + 16.0, y - 16.0) };
        sheet.canvas.wire(&[(24.0, plus), (116.0, plus)]);
        sheet.input((20.0, plus), !above);
        let inwards = if above { y + 62.0 } else { y - 62.0 };
        sheet.canvas.wire(&[(116.0, minus), (96.0, minus), (96.0, inwards), (COLUMN, inwards)]);
        let words = if above { y - 7.0 } else { y + 18.0 };
        sheet.volt((COLUMN - 36.0, words), Side::Right, &format!("{name} output"));
    }
    if sheet.topology() == Topology::ThreeOpAmp {
        sheet.upright(RF1, (COLUMN, UPPER + 33.0), (UPPER, UPPER + 62.0), Words::Right);
        sheet.upright(RG, (COLUMN, MIDDLE), (UPPER + 62.0, LOWER - 62.0), Words::Right);
        sheet.upright(RF2, (COLUMN, LOWER - 33.0), (LOWER - 62.0, LOWER), Words::Right);
        for (y, words, node) in [(UPPER + 62.0, 18.0, "A1 - input"), (LOWER - 62.0, -8.0, "A2 - input")] {
            sheet.joint((COLUMN, y));
            sheet.volt((COLUMN - 10.0, y + words), Side::Left, node);
        }
    } else {
        for (from, to) in [(UPPER, UPPER + 62.0), (LOWER, LOWER - 62.0)] {
            sheet.canvas.wire(&[(COLUMN, from), (COLUMN, to)]);
        }
    }
    debug_assert!(LONG < 30.0);
}
