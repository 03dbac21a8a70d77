//! A small SVG writer that remembers what its words cover.
use super::letters::{Frame, frame, width};
use maud::{Markup, Render as _, html};

pub(super) type Point = (f64, f64);

/// On which side of its point a text stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    Right,
    Middle,
    Left,
}

/// A drawing in progress; classes are those of `ink.css`.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Canvas {
    pub(super) width: f64,
    pub(super) height: f64,
    body: String,
    /// How far down everything is set that is still to come.
    down: f64,
    /// What the words cover.
    pub(super) frames: Vec<Frame>,
    /// The strokes that no word may touch.
    pub(super) wires: Vec<(Point, Point)>,
}

impl Canvas {
    pub(super) const fn new(width: f64, height: f64) -> Self {
        Self { width, height, body: String::new(), down: 0.0, frames: Vec::new(), wires: Vec::new() }
    }

    /// Begins a new row under what is there, and makes the paper at least so large.
    pub(super) const fn row(&mut self, width: f64, height: f64) {
        self.down = self.height;
        self.width = self.width.max(width);
        self.height += height;
    }

    fn placed(&self, (x, y): Point) -> Point {
        (x, y + self.down)
    }

    pub(super) fn body(&self) -> &str {
        &self.body
    }

    fn add(&mut self, markup: &Markup) {
        markup.render_to(&mut self.body);
    }

    fn listed(&self, points: &[Point]) -> String {
        let placed = points.iter().map(|at| self.placed(*at));
        placed.map(|(x, y)| format!("{},{}", short(x), short(y))).collect::<Vec<_>>().join(" ")
    }

    /// A stroke through points.
    pub(super) fn line(&mut self, class: &str, points: &[Point]) {
        if points.len() > 1 {
            let points = self.listed(points);
            self.add(&html! { polyline class=(class) points=(points) {} });
        }
    }

    /// A stroke that no word may touch.
    pub(super) fn wire(&mut self, points: &[Point]) {
        let placed: Vec<Point> = points.iter().map(|at| self.placed(*at)).collect();
        self.wires.extend(placed.windows(2).map(|pair| (pair[0], pair[1])));
        self.line("wire", points);
    }

    /// A closed shape.
    pub(super) fn shape(&mut self, class: &str, points: &[Point]) {
        let points = self.listed(points);
        self.add(&html! { polygon class=(class) points=(points) {} });
    }

    /// A rectangle from its upper left corner.
    pub(super) fn rect(&mut self, class: &str, at: Point, (width, height): (f64, f64)) {
        let (x, y) = self.placed(at);
        self.add(&html! {
            rect class=(class) x=(short(x)) y=(short(y)) width=(short(width)) height=(short(height)) {}
        });
    }

    /// A round mark.
    pub(super) fn dot(&mut self, class: &str, at: Point, radius: f64) {
        let (x, y) = self.placed(at);
        self.add(&html! { circle class=(class) cx=(short(x)) cy=(short(y)) r=(short(radius)) {} });
    }

    /// Words, with their baseline at a point.
    pub(super) fn text(&mut self, class: &str, at: Point, side: Side, words: &str) {
        if words.is_empty() {
            return;
        }
        let (x, y) = self.placed(at);
        let width = width(words, class.contains("name"));
        let (anchor, left) = match side {
            Side::Right => ("start", x),
            Side::Middle => ("middle", x - width / 2.0),
            Side::Left => ("end", x - width),
        };
        self.frames.push(frame((left, y), width));
        self.add(&html! { text class=(class) x=(short(x)) y=(short(y)) text-anchor=(anchor) { (words) } });
    }
}

/// A length to a tenth, without trailing zeros.
fn short(length: f64) -> String {
    let text = format!("{length:.1}");
    let text = text.strip_suffix(".0").unwrap_or(&text);
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}
