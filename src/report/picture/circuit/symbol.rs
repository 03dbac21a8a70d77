//! Resistors, op amps and terminals, as IEC 60617 draws them where it matters: a resistor is a
//! rectangle; the amplifier is the triangle that most drawings have.
use super::super::canvas::{Point, Side};
use super::sheet::Sheet;
use crate::designator::Designator;

/// Half of a resistor's length, and of its thickness.
const LONG: f64 = 22.0;
const THICK: f64 = 7.0;
/// Half of a capacitor's plate, and of the gap between the two.
const PLATE: f64 = 10.0;
const GAP: f64 = 3.0;

/// Where the words of a resistor stand.
#[derive(Clone, Copy)]
pub(super) enum Words {
    Above,
    Below,
    Right,
    Left,
}

impl Sheet<'_> {
    /// A resistor around a point on a level wire from `from` to `to`.
    pub(super) fn level(&mut self, name: Designator, at: Point, ends: (f64, f64), words: Words) {
        if self.has(name) {
            self.level_box(at, ends);
        }
        let value = self.value(name);
        self.label((name.name(), &value), at, words);
    }

    /// A resistor around a point on an upright wire from `from` to `to`.
    pub(super) fn upright(&mut self, name: Designator, at: Point, ends: (f64, f64), words: Words) {
        if self.has(name) {
            self.upright_box(at, ends);
        }
        let value = self.value(name);
        self.label((name.name(), &value), at, words);
    }

    /// The resistor alone, on a level wire.
    pub(super) fn level_box(&mut self, (x, y): Point, (from, to): (f64, f64)) {
        self.canvas.wire(&[(from, y), (x - LONG, y)]);
        self.canvas.rect("part", (x - LONG, y - THICK), (2.0 * LONG, 2.0 * THICK));
        self.canvas.wire(&[(x + LONG, y), (to, y)]);
    }

    /// The resistor alone, on an upright wire.
    pub(super) fn upright_box(&mut self, (x, y): Point, (from, to): (f64, f64)) {
        self.canvas.wire(&[(x, from), (x, y - LONG)]);
        self.canvas.rect("part", (x - THICK, y - LONG), (2.0 * THICK, 2.0 * LONG));
        self.canvas.wire(&[(x, y + LONG), (x, to)]);
    }

    /// A capacitor alone, on an upright wire.
    pub(super) fn capacitor(&mut self, (x, y): Point, (from, to): (f64, f64)) {
        self.canvas.wire(&[(x, from), (x, y - GAP)]);
        for plate in [y - GAP, y + GAP] {
            self.canvas.line("wire", &[(x - PLATE, plate), (x + PLATE, plate)]);
        }
        self.canvas.wire(&[(x, y + GAP), (x, to)]);
    }

    /// The name and the value of a part around a point.
    pub(super) fn label(&mut self, (name, value): (&str, &str), (x, y): Point, words: Words) {
        let (at, side) = match words {
            Words::Above => ((x, y - 27.0), Side::Middle),
            Words::Below => ((x, y + 22.0), Side::Middle),
            Words::Right => ((x + 13.0, y - 3.0), Side::Right),
            Words::Left => ((x - 13.0, y - 3.0), Side::Left),
        };
        self.canvas.text("name", at, side, name);
        self.canvas.text("", (at.0, at.1 + 15.0), side, value);
    }

    /// An op amp with its inputs at `x`, `y` ± 16; returns its output.
    pub(super) fn amp(&mut self, name: &str, (x, y): Point, plus_above: bool) -> Point {
        let tip = x + 58.0;
        self.canvas.shape("part", &[(x, y - 32.0), (tip, y), (x, y + 32.0)]);
        let (plus, minus) = if plus_above { (y - 16.0, y + 16.0) } else { (y + 16.0, y - 16.0) };
        self.signs(x + 8.0, plus, minus);
        self.canvas.text("name", (x + 27.0, y + 4.5), Side::Middle, name);
        (tip, y)
    }

    /// The signs at the inputs of an amplifier.
    pub(super) fn signs(&mut self, x: f64, plus: f64, minus: f64) {
        self.canvas.line("wire", &[(x - 4.0, plus), (x + 4.0, plus)]);
        self.canvas.line("wire", &[(x, plus - 4.0), (x, plus + 4.0)]);
        self.canvas.line("wire", &[(x - 4.0, minus), (x + 4.0, minus)]);
    }

    /// A place where wires meet.
    pub(super) fn joint(&mut self, at: Point) {
        self.canvas.dot("dot", at, 3.0);
    }

    /// An end of the drawing.
    pub(super) fn terminal(&mut self, at: Point) {
        self.canvas.dot("part", at, 4.0);
    }

    /// Ground below a point.
    pub(super) fn ground(&mut self, (x, y): Point) {
        for (down, half) in [(0.0, 9.0), (4.0, 6.0), (8.0, 3.0)] {
            self.canvas.line("wire", &[(x - half, y + down), (x + half, y + down)]);
        }
    }

    /// An input: its terminal, its name above and its voltage below the wire.
    pub(super) fn input(&mut self, (x, y): Point, positive: bool) {
        self.terminal((x, y));
        let (name, node) = if positive { ("IN +", "+ input") } else { ("IN −", "- input") };
        self.canvas.text("name", (x - 12.0, y - 10.0), Side::Right, name);
        self.volt((x - 12.0, y + 20.0), Side::Right, node);
    }

    /// The output: a wire from `from`, its terminal, name and voltage.
    pub(super) fn output(&mut self, from: Point, x: f64) {
        self.canvas.wire(&[from, (x - 4.0, from.1)]);
        self.terminal((x, from.1));
        self.canvas.text("name", (x + 10.0, from.1 - 4.0), Side::Right, "OUT");
        self.volt((x + 10.0, from.1 + 13.0), Side::Right, "output");
    }
}
