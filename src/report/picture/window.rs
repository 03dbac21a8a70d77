//! The inputs that can be used, and the signal among them.
use super::Picture;
use super::axis::{Axis, prefix};
use super::canvas::Canvas;
use super::chart::{self, Key, WIDTH};
use super::grid::Grid;
use crate::quantity::{Unit, rounded};
use crate::study::{Design, HeadroomFigure};

const HIGH: f64 = 220.0;

/// Nothing without a headroom figure, or where no signal fits at all.
pub(in crate::report) fn window(design: &Design) -> Option<Picture> {
    let figure = design.headroom.as_ref()?;
    let view = View::of(figure)?;
    let volt = |v| rounded(v, Unit::Volt, 4);
    let ((a, b), (c, d)) = view.signal;
    let description = format!(
        "The signal, common mode {} to {} and differential {} to {}, {} the window of usable inputs.",
        volt(a),
        volt(b),
        volt(c),
        volt(d),
        if figure.fits { "lies inside" } else { "does not fit into" },
    );
    Some(Picture {
        name: "window",
        caption: "Window of usable inputs, and the signal in it".to_owned(),
        description,
        plain: view.plain(),
        canvas: view.drawn(),
    })
}

struct View {
    /// (common mode, differential), V.
    window: Vec<(f64, f64)>,
    signal: ((f64, f64), (f64, f64)),
    across: (f64, f64),
    up: (f64, f64),
}

impl View {
    fn of(figure: &HeadroomFigure) -> Option<Self> {
        let window: Vec<(f64, f64)> = figure.window.iter().map(|at| (at.common_mode_v, at.differential_v)).collect();
        if window.len() < 3 {
            return None;
        }
        let signal = (figure.signals.common_mode_v, figure.signals.differential_v);
        let ends = |of: fn(&(f64, f64)) -> f64, (low, high): (f64, f64)| {
            let reach = window.iter().map(of).fold((low, high), |(a, b), value| (a.min(value), b.max(value)));
            let edge = 0.05 * (reach.1 - reach.0).max(1e-6);
            (reach.0 - edge, reach.1 + edge)
        };
        let (across, up) = (ends(|at| at.0, signal.0), ends(|at| at.1, signal.1));
        Some(Self { window, signal, across, up })
    }

    fn drawn(&self) -> Canvas {
        let keys = [Key::area("area", "every op amp inside its limits"), Key::area("signal", "the signal")];
        let top = chart::arranged(&keys).1 + 36.0;
        let up = Axis { low: self.up.0, high: self.up.1, from: top + HIGH, to: top };
        let (tall, tall_sign) = prefix(up.low.abs().max(up.high.abs()));
        let step = up.step(6);
        let left = 8.0 + chart::widest(&up, (step, tall)) + 8.0;
        let across = Axis { low: self.across.0, high: self.across.1, from: left, to: WIDTH - 16.0 };
        let (wide, wide_sign) = prefix(across.low.abs().max(across.high.abs()));
        let mut canvas = Canvas::new(WIDTH, top + HIGH + 44.0);
        chart::legend(&mut canvas, &keys);
        let words = format!("common mode, {wide_sign}V");
        chart::level(&mut canvas, &across, (chart::roomy(&across, wide), wide), (top, top + HIGH), &words);
        let words = format!("differential, {tall_sign}V");
        chart::upright(&mut canvas, &up, (step, tall), (left, across.to), &words);
        let place = |&(common, differential): &(f64, f64)| (across.place(common), up.place(differential));
        canvas.shape("area", &self.window.iter().map(place).collect::<Vec<_>>());
        canvas.rect("frame", (left, top), (across.to - left, HIGH));
        let ((a, b), (c, d)) = self.signal;
        let (corner, far) = (place(&(a, d)), place(&(b, c)));
        // a signal of one value is still to be seen
        let grow =
            |from: f64, to: f64| if to - from < 3.0 { (f64::midpoint(from, to) - 1.5, 3.0) } else { (from, to - from) };
        let ((x, width), (y, height)) = (grow(corner.0, far.0), grow(corner.1, far.1));
        canvas.rect("signal", (x, y), (width, height));
        canvas
    }

    fn plain(&self) -> Vec<String> {
        let across = Axis { low: self.across.0, high: self.across.1, from: 0.0, to: 56.0 };
        let up = Axis { low: self.up.0, high: self.up.1, from: 10.0, to: 0.0 };
        let mut grid = Grid::new(across, up);
        grid.fill('.', &|at| self.inside(at));
        let ((a, b), (c, d)) = self.signal;
        grid.fill('#', &|(x, y)| (a..=b).contains(&x) && (c..=d).contains(&y));
        for part in 0..=64 {
            let share = f64::from(part) / 64.0;
            let (x, y) = (a + share * (b - a), c + share * (d - c));
            for at in [(x, c), (x, d), (a, y), (b, y)] {
                grid.put(at, '#');
            }
        }
        // what is nothing beside the whole scale is read as zero
        let volt = |(low, high): (f64, f64)| {
            move |v: f64| rounded(if v.abs() < 1e-3 * (high - low) { 0.0 } else { v }, Unit::Volt, 3)
        };
        let mut lines = grid.lines(&volt(self.up), &volt(self.across));
        lines.push("across: common mode, up: differential; . usable, # the signal".to_owned());
        lines
    }

    /// Whether a point lies in the window: the crossings of a ray to the right are odd.
    fn inside(&self, (x, y): (f64, f64)) -> bool {
        let ends = self.window.iter().zip(self.window.iter().cycle().skip(1));
        let crosses = |(from, to): &(&(f64, f64), &(f64, f64))| {
            (from.1 > y) != (to.1 > y) && x < from.0 + (y - from.1) / (to.1 - from.1) * (to.0 - from.0)
        };
        ends.filter(crosses).count() % 2 == 1
    }
}
