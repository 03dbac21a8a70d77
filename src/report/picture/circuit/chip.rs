//! One amplifier sold as a part, with RG at its side.
use super::super::canvas::Side;
use super::sheet::Sheet;
use super::symbol::Words;
use crate::designator::Designator::RG;

const LEFT: f64 = 210.0;
const TIP: f64 = 350.0;
const MIDDLE: f64 = 140.0;

pub(super) fn drawn(sheet: &mut Sheet<'_>) {
    sheet.size(480.0, 290.0);
    sheet.canvas.shape("part", &[(LEFT, 30.0), (TIP, MIDDLE), (LEFT, 250.0)]);
    sheet.signs(LEFT + 12.0, 216.0, 64.0);
    sheet.canvas.text("name", (LEFT + 58.0, MIDDLE + 4.5), Side::Middle, "A1");
    for (y, positive) in [(64.0, false), (216.0, true)] {
        sheet.canvas.wire(&[(24.0, y), (LEFT, y)]);
        sheet.input((20.0, y), positive);
    }
    let pins = if sheet.has(RG) {
        [(MIDDLE - 34.0, 0.0), (MIDDLE + 34.0, 0.0)]
    } else {
        [(MIDDLE - 34.0, 40.0), (MIDDLE + 34.0, 40.0)]
    };
    for (y, short) in pins {
        sheet.canvas.wire(&[(LEFT, y), (150.0 + short, y)]);
        sheet.canvas.text("soft", (LEFT + 8.0, y + 4.5), Side::Right, "RG");
    }
    sheet.upright(RG, (150.0, MIDDLE), (MIDDLE - 34.0, MIDDLE + 34.0), Words::Left);
    sheet.output((TIP, MIDDLE), 392.0);
    let (x, edge) = (290.0, 250.0 - 110.0 * 80.0 / 140.0);
    sheet.canvas.wire(&[(x, edge), (x, 240.0)]);
    sheet.terminal((x, 244.0));
    sheet.reference((x + 12.0, 246.0), Side::Right);
}
