//! What lies between the source and the inputs: a row of its own, above every circuit alike.
use super::super::around;
use super::super::canvas::Side;
use super::super::letters::width;
use super::sheet::Sheet;
use super::symbol::Words;
use crate::quantity::{Unit, rounded};

/// The wires of the negative and of the positive input, and what both share.
const UPPER: f64 = 52.0;
const LOWER: f64 = 212.0;
const MIDDLE: f64 = 132.0;
/// Middle of what stands between a wire and the middle.
const HALF: f64 = 40.0;
const HIGH: f64 = 264.0;
const FIRST: f64 = 78.0;

/// A part that both wires have.
struct Twin {
    names: [&'static str; 2],
    value: String,
}

impl Twin {
    fn new(names: [&'static str; 2], value: f64, unit: Unit) -> Option<Self> {
        (value > 0.0).then(|| Self { names, value: rounded(value, unit, 4) })
    }

    fn wide(&self) -> f64 {
        width(&self.value, false).max(width(self.names[0], true))
    }
}

/// The parts in the order in which the signal meets them.
struct Parts {
    source: Option<Twin>,
    cable: Option<Twin>,
    filter: Option<Twin>,
    common: Option<Twin>,
    across: Option<Twin>,
    back: Option<Twin>,
}

impl Parts {
    fn of(sheet: &Sheet<'_>) -> Self {
        let around = sheet.around();
        let filter = |of: fn(&crate::study::InputFilter) -> f64| around.filter.as_ref().map_or(0.0, of);
        let source = around.source;
        Self {
            source: Twin::new(around::SOURCE, source.resistance_ohm, Unit::Ohm),
            cable: Twin::new(around::CABLE, source.cable_capacitance_f.unwrap_or(0.0), Unit::Farad),
            filter: Twin::new(around::FILTER_RESISTORS, filter(|one| one.resistor_ohm), Unit::Ohm),
            common: Twin::new(around::COMMON_CAPACITORS, filter(|one| one.common_capacitor_f), Unit::Farad),
            across: Twin::new(around::ACROSS, filter(|one| one.differential_capacitor_f), Unit::Farad),
            back: Twin::new(around::BIAS_RETURNS, source.bias_return_ohm.unwrap_or(0.0), Unit::Ohm),
        }
    }

    fn all(&self) -> [&Option<Twin>; 6] {
        [&self.source, &self.cable, &self.filter, &self.common, &self.across, &self.back]
    }
}

/// Names and values for those who do not see the drawing.
pub(super) fn values(sheet: &Sheet<'_>) -> Vec<String> {
    let said = |twin: &Twin| match twin.names {
        [one, other] if one == other => format!("{one} {}", twin.value),
        [one, other] => format!("{one}, {other} {}", twin.value),
    };
    Parts::of(sheet).all().into_iter().flatten().map(said).collect()
}

/// Draws the row; nothing where the source is the input.
pub(super) fn drawn(sheet: &mut Sheet<'_>) {
    let parts = Parts::of(sheet);
    if parts.all().into_iter().all(Option::is_none) {
        return;
    }
    sheet.size(0.0, HIGH);
    for (y, name, node) in [(UPPER, "SRC −", "- source"), (LOWER, "SRC +", "+ source")] {
        sheet.terminal((20.0, y));
        sheet.canvas.wire(&[(24.0, y), (FIRST, y)]);
        sheet.canvas.text("name", (8.0, y - 10.0), Side::Right, name);
        sheet.volt((8.0, y + 20.0), Side::Right, node);
    }
    let mut run = Run { sheet, x: FIRST };
    run.in_line(parts.source.as_ref());
    let line = run.line();
    run.grounded(parts.cable.as_ref());
    run.on(line);
    run.in_line(parts.filter.as_ref());
    run.grounded(parts.common.as_ref());
    run.across(parts.across.as_ref());
    run.referred(parts.back.as_ref());
    let x = run.x;
    for (y, name, node) in [(UPPER, "IN −", "- input"), (LOWER, "IN +", "+ input")] {
        sheet.terminal((x + 4.0, y));
        sheet.canvas.text("name", (x + 14.0, y - 4.0), Side::Right, name);
        sheet.volt((x + 14.0, y + 13.0), Side::Right, node);
    }
    let words = ["- input", "+ input"].map(|node| width(&sheet.voltage(node), false));
    let wide = words[0].max(words[1]).max(width("IN −", true));
    sheet.canvas.width = sheet.canvas.width.max(x + 22.0 + wide);
}

/// The two wires while they are drawn from left to right, up to `x`.
struct Run<'s, 'd> {
    sheet: &'s mut Sheet<'d>,
    x: f64,
}

impl Run<'_, '_> {
    /// Draws both wires on to a place, where they are not there yet.
    fn on(&mut self, to: f64) {
        if to > self.x {
            for y in [UPPER, LOWER] {
                self.sheet.canvas.wire(&[(self.x, y), (to, y)]);
            }
            self.x = to;
        }
    }

    /// Resistors in the wires.
    fn in_line(&mut self, twin: Option<&Twin>) {
        let Some(twin) = twin else { return };
        let to = self.x + (twin.wide() + 10.0).max(60.0);
        let x = f64::midpoint(self.x, to);
        for (at, y, words) in [(0, UPPER, Words::Above), (1, LOWER, Words::Below)] {
            self.sheet.level_box((x, y), (self.x, to));
            self.sheet.label((twin.names[at], &twin.value), (x, y), words);
        }
        self.x = to;
    }

    /// The voltages where the source ends and the filter begins; returns where their words end.
    fn line(&mut self) -> f64 {
        let words = ["- line", "+ line"].map(|node| self.sheet.voltage(node));
        for (words, y) in words.iter().zip([UPPER + 18.0, LOWER - 10.0]) {
            self.sheet.canvas.text("volt", (self.x + 13.0, y), Side::Right, words);
        }
        let wide = width(&words[0], false).max(width(&words[1], false));
        if wide > 0.0 { self.x + wide + 21.0 } else { self.x }
    }

    /// Where what hangs between the wires hangs, with its joints.
    fn column(&mut self) -> f64 {
        let x = self.x + 6.0;
        for y in [UPPER, LOWER] {
            self.sheet.joint((x, y));
        }
        x
    }

    /// Capacitors from each wire to ground.
    fn grounded(&mut self, twin: Option<&Twin>) {
        let Some(twin) = twin else { return };
        let x = self.column();
        for (at, y, wire) in [(0, MIDDLE - HALF, UPPER), (1, MIDDLE + HALF, LOWER)] {
            self.sheet.capacitor((x, y), (wire.min(MIDDLE), wire.max(MIDDLE)));
            self.sheet.label((twin.names[at], &twin.value), (x, y), Words::Right);
        }
        self.sheet.joint((x, MIDDLE));
        self.sheet.canvas.wire(&[(x, MIDDLE), (x + 18.0, MIDDLE), (x + 18.0, MIDDLE + 8.0)]);
        self.sheet.ground((x + 18.0, MIDDLE + 8.0));
        self.on(x + (twin.wide() + 23.0).max(44.0));
    }

    /// A capacitor from wire to wire.
    fn across(&mut self, twin: Option<&Twin>) {
        let Some(twin) = twin else { return };
        let x = self.column();
        self.sheet.capacitor((x, MIDDLE), (UPPER, LOWER));
        self.sheet.label((twin.names[0], &twin.value), (x, MIDDLE), Words::Right);
        self.on(x + (twin.wide() + 23.0).max(44.0));
    }

    /// Resistors from each wire to the reference.
    fn referred(&mut self, twin: Option<&Twin>) {
        let Some(twin) = twin else { return };
        let x = self.column();
        for (at, y, wire) in [(0, MIDDLE - HALF, UPPER), (1, MIDDLE + HALF, LOWER)] {
            self.sheet.upright_box((x, y), (wire.min(MIDDLE), wire.max(MIDDLE)));
            self.sheet.label((twin.names[at], &twin.value), (x, y), Words::Right);
        }
        self.sheet.joint((x, MIDDLE));
        self.sheet.canvas.wire(&[(x, MIDDLE), (x + 16.0, MIDDLE)]);
        self.sheet.terminal((x + 20.0, MIDDLE));
        self.sheet.canvas.text("name", (x + 30.0, MIDDLE + 4.5), Side::Right, "REF");
        self.on(x + (twin.wide() + 23.0).max(72.0));
    }
}
