//! Rejection over frequency: worst, nominal, what is wanted, and where the interference is.
use super::Picture;
use super::axis::Axis;
use super::canvas::{Canvas, Point, Side};
use super::chart::{self, Key, WIDTH};
use super::grid::Grid;
use super::letters::width;
use crate::quantity::{Unit, rounded};
use crate::study::{Design, SweepPoint};

const HIGH: f64 = 210.0;
type Read = fn(&SweepPoint) -> Option<f64>;
const WORST: Read = |at| at.worst_db;
const NOMINAL: Read = |at| at.nominal_db;

/// What is drawn.
struct View<'d> {
    sweep: &'d [SweepPoint],
    /// Decades of frequency.
    decades: (f64, f64),
    /// Frequency of the interference.
    interference_hz: Option<f64>,
    /// Wanted at dc.
    wanted_db: Option<f64>,
    /// Wanted at the interference.
    wanted_there_db: Option<f64>,
}

/// Nothing where the sweep has no two points.
pub(in crate::report) fn rejection(design: &Design) -> Option<Picture> {
    let figure = &design.rejection;
    let (first, last) = (figure.sweep.first()?, figure.sweep.last()?);
    if !(first.hz < last.hz) {
        return None;
    }
    let limit = |name: &str| design.limits.iter().find(|line| line.limit == name).map(|line| line.required);
    let view = View {
        sweep: &figure.sweep,
        decades: (libm::log10(first.hz), libm::log10(last.hz)),
        interference_hz: figure.at_interference.as_ref().map(|at| at.hz),
        wanted_db: limit("rejection"),
        wanted_there_db: limit("rejection_at_interference"),
    };
    let level = |db: Option<f64>| db.map_or_else(|| "unbounded".to_owned(), |db| rounded(db, Unit::Decibel, 4));
    let at = |point: &SweepPoint| {
        format!("{} in the worst case at {}", level(point.worst_db), rounded(point.hz, Unit::Hertz, 4))
    };
    let mut description = format!("Rejection over frequency: {}, {}.", at(first), at(last));
    if let Some(there) = &figure.at_interference {
        description += &format!(" At {}: {}.", rounded(there.hz, Unit::Hertz, 4), level(there.worst_db));
    }
    Some(Picture {
        name: "rejection",
        caption: "Rejection over frequency".to_owned(),
        description,
        plain: view.plain(),
        canvas: view.drawn(),
    })
}

impl View<'_> {
    /// The levels that have to be on the paper, least and greatest.
    fn reach(&self) -> (f64, f64) {
        let curves = self.sweep.iter().flat_map(|at| [at.worst_db, at.nominal_db]);
        let wanted = [self.wanted_db, self.wanted_there_db];
        let all = curves.chain(wanted).flatten();
        let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), db| (low.min(db), high.max(db)));
        if low > high { (0.0, 200.0) } else { (low, high) }
    }

    /// Runs of points that are told, as (decade, decibels); a rough one where `rough`.
    fn runs(&self, read: Read, rough: bool) -> Vec<Vec<Point>> {
        let mut runs = vec![Vec::new()];
        for (at, point) in self.sweep.iter().enumerate() {
            let beside = self.sweep.get(at + 1).is_some_and(|next| next.rough == rough && rough);
            match read(point) {
                Some(db) if point.rough == rough || beside => {
                    if let Some(run) = runs.last_mut() {
                        run.push((libm::log10(point.hz), db));
                    }
                }
                _ => runs.push(Vec::new()),
            }
        }
        runs.into_iter().filter(|run| !run.is_empty()).collect()
    }

    fn keys(&self) -> Vec<Key> {
        let silent = |read: Read| self.sweep.iter().all(|at| read(at).is_none());
        let named = |words: &str, read| if silent(read) { format!("{words}: unbounded") } else { words.to_owned() };
        let mut keys =
            vec![Key::line("deep", named("worst case", WORST)), Key::line("dash", named("nominal", NOMINAL))];
        if self.sweep.iter().any(|at| at.rough) {
            keys.push(Key::line("deep rough", "worst case, rough"));
        }
        let short = |db: f64| rounded(db, Unit::Decibel, 4).replace(".00 ", " ");
        let there = self.wanted_there_db.map(|db| format!("{} at the interference", short(db)));
        let wanted: Vec<String> =
            self.wanted_db.map(|db| format!("{} at dc", short(db))).into_iter().chain(there).collect();
        if !wanted.is_empty() {
            keys.push(Key::line("warm", format!("wanted: {}", wanted.join(", "))));
        }
        if let Some(hz) = self.interference_hz {
            keys.push(Key::line("mark", format!("interference at {}", rounded(hz, Unit::Hertz, 4))));
        }
        keys
    }

    fn drawn(&self) -> Canvas {
        let keys = self.keys();
        let top = chart::arranged(&keys).1 + 36.0;
        let (low, high) = self.reach();
        let mut level = Axis { low, high, from: top + HIGH, to: top };
        if high - low < 20.0 {
            (level.low, level.high) = (low - 10.0, high + 10.0);
        }
        let step = level.step(8).max(10.0);
        let level = level.rounded_out(step);
        let left = 8.0 + chart::widest(&level, (step, 1.0)) + 8.0;
        let decades = Axis { low: self.decades.0, high: self.decades.1, from: left, to: WIDTH - 26.0 };
        let mut canvas = Canvas::new(WIDTH, top + HIGH + 44.0);
        chart::legend(&mut canvas, &keys);
        self.decades(&mut canvas, &decades, (top, top + HIGH));
        chart::upright(&mut canvas, &level, (step, 1.0), (decades.from, decades.to), "dB");
        canvas.rect("frame", (left, top), (decades.to - left, HIGH));
        let place = |(decade, db): Point| (decades.place(decade), level.place(db));
        let placed = |run: Vec<Point>| run.into_iter().map(place).collect::<Vec<_>>();
        if let Some(hz) = self.interference_hz.filter(|hz| self.shows(*hz)) {
            let decade = libm::log10(hz);
            canvas.line("mark", &[place((decade, level.low)), place((decade, level.high))]);
            if let Some(db) = self.wanted_there_db {
                let (x, y) = place((decade, db));
                canvas.line("warm", &[((x - 16.0).max(left), y), ((x + 16.0).min(decades.to), y)]);
            }
        }
        if let Some(db) = self.wanted_db {
            canvas.line("warm", &[(left, level.place(db)), (left + 60.0, level.place(db))]);
        }
        for (class, read, rough) in
            [("dash", NOMINAL, false), ("dash", NOMINAL, true), ("deep", WORST, false), ("deep rough", WORST, true)]
        {
            for run in self.runs(read, rough) {
                canvas.line(class, &placed(run));
            }
        }
        canvas
    }

    fn shows(&self, hz: f64) -> bool {
        (self.decades.0..=self.decades.1).contains(&libm::log10(hz))
    }

    /// Decades in full lines with their frequency, what is between in fine ones.
    fn decades(&self, canvas: &mut Canvas, axis: &Axis, (top, bottom): (f64, f64)) {
        let mut free = f64::NEG_INFINITY;
        for decade in axis.multiples(1.0) {
            for part in 2..10 {
                let between = decade + libm::log10(f64::from(part));
                if between < axis.high {
                    canvas.line("grid fine", &[(axis.place(between), top), (axis.place(between), bottom)]);
                }
            }
            let x = axis.place(decade);
            canvas.line("grid", &[(x, top), (x, bottom)]);
            let words = rounded(libm::pow(10.0, decade), Unit::Hertz, 4);
            let half = width(&words, false) / 2.0;
            if x - half > free && x + half < WIDTH {
                canvas.text("soft", (x, bottom + 18.0), Side::Middle, &words);
                free = x + half + 6.0;
            }
        }
        canvas.text("soft", (f64::midpoint(axis.from, axis.to), bottom + 36.0), Side::Middle, "frequency");
    }

    /// The same in characters.
    fn plain(&self) -> Vec<String> {
        let (low, high) = self.reach();
        let (low, high) = ((low / 20.0).floor() * 20.0, (high / 20.0).ceil() * 20.0);
        let high = high.max(low + 20.0);
        let mut grid = Grid::new(
            Axis { low: self.decades.0, high: self.decades.1, from: 0.0, to: 60.0 },
            Axis { low, high, from: 10.0, to: 0.0 },
        );
        if let Some(hz) = self.interference_hz.filter(|hz| self.shows(*hz)) {
            grid.column(libm::log10(hz), '|');
        }
        for (read, mark) in [(NOMINAL, '.'), (WORST, '*')] {
            for run in self.sweep.iter().filter_map(|at| Some((libm::log10(at.hz), read(at)?))) {
                grid.put(run, mark);
            }
        }
        if let Some(db) = self.wanted_db {
            grid.put((self.decades.0, db), '>');
        }
        if let (Some(hz), Some(db)) = (self.interference_hz.filter(|hz| self.shows(*hz)), self.wanted_there_db) {
            grid.put((libm::log10(hz), db), '>');
        }
        let mut lines =
            grid.lines(&|db| format!("{db:.0} dB"), &|decade| rounded(libm::pow(10.0, decade), Unit::Hertz, 3));
        let mut words = "* worst case".to_owned();
        for (there, key) in [
            (self.sweep.iter().any(|at| at.nominal_db.is_some()), ", . nominal"),
            (self.wanted_db.is_some() || self.wanted_there_db.is_some(), ", > wanted"),
            (self.interference_hz.is_some(), ", | interference"),
        ] {
            words += if there { key } else { "" };
        }
        lines.push(words);
        lines
    }
}
