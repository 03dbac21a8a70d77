//! The paper a circuit is drawn on, and the answer its words come from.
use super::super::canvas::{Canvas, Point, Side};
use crate::designator::Designator;
use crate::quantity::{Unit, rounded};
use crate::study::{Design, Surroundings};

pub(super) struct Sheet<'d> {
    pub(super) canvas: Canvas,
    design: &'d Design,
}

impl<'d> Sheet<'d> {
    pub(super) const fn new(design: &'d Design) -> Self {
        Self { canvas: Canvas::new(0.0, 0.0), design }
    }

    pub(super) const fn size(&mut self, width: f64, height: f64) {
        self.canvas.row(width, height);
    }

    pub(super) fn topology(&self) -> crate::designator::Topology {
        self.design.topology
    }

    /// What is around the amplifier.
    pub(super) const fn around(&self) -> Surroundings {
        self.design.surroundings
    }

    /// Whether a resistor is on the drawing; RG left open is not.
    pub(super) fn has(&self, name: Designator) -> bool {
        self.design.resistors.iter().any(|line| line.name == name && line.ohm.is_some())
    }

    /// The value of a resistor in words.
    pub(super) fn value(&self, name: Designator) -> String {
        let line = self.design.resistors.iter().find(|line| line.name == name);
        let ohm = |ohm| rounded(ohm, Unit::Ohm, 6);
        line.map_or_else(String::new, |line| line.ohm.map_or_else(|| "open".to_owned(), ohm))
    }

    pub(super) fn values(&self) -> impl Iterator<Item = (&'static str, String)> {
        self.design.resistors.iter().map(|line| (line.name.name(), self.value(line.name)))
    }

    /// The voltage of a node in words, as it is listed; empty where it is not told.
    pub(super) fn voltage(&self, node: &str) -> String {
        let all = self.design.nodes.iter().flat_map(|nodes| &nodes.voltages);
        all.into_iter().find(|line| line.node == node).map_or_else(String::new, |line| rounded(line.v, Unit::Volt, 4))
    }

    pub(super) fn voltages(&self) -> impl Iterator<Item = (&str, String)> {
        let all = self.design.nodes.iter().flat_map(|nodes| &nodes.voltages);
        all.map(|line| (line.node.as_str(), rounded(line.v, Unit::Volt, 4)))
    }

    /// Sets the voltage of a node beside it.
    pub(super) fn volt(&mut self, at: Point, side: Side, node: &str) {
        let words = self.voltage(node);
        self.canvas.text("volt", at, side, &words);
    }

    /// Sets the reference: its name, its voltage, and the resistance of what drives it.
    pub(super) fn reference(&mut self, at: Point, side: Side) {
        self.canvas.text("name", at, side, "REF");
        let words = rounded(self.design.reference_v, Unit::Volt, 4);
        self.canvas.text("volt", (at.0, at.1 + 16.0), side, &words);
        let ohm = self.around().reference_resistance_ohm;
        if ohm > 0.0 {
            let words = format!("via {}", rounded(ohm, Unit::Ohm, 4));
            self.canvas.text("", (at.0, at.1 + 32.0), side, &words);
        }
    }
}

/// Words in rows for a terminal, in columns of equal width.
pub(super) fn rows(words: &[String]) -> Vec<String> {
    let wide = words.iter().map(|word| word.chars().count()).max().unwrap_or(0) + 3;
    let each = (70 / wide).max(1);
    let row =
        |row: &[String]| row.iter().map(|word| format!("{word:<wide$}")).collect::<String>().trim_end().to_owned();
    words.chunks(each).map(row).collect()
}
