//! A drawing in characters.
use super::axis::Axis;

/// Cells with a frame at the left and below.
pub(super) struct Grid {
    across: Axis,
    up: Axis,
    cells: Vec<Vec<char>>,
}

impl Grid {
    /// The axes' places are columns from 0 and rows from the top, both ends included.
    pub(super) fn new(across: Axis, up: Axis) -> Self {
        let count = |length: f64| (0..).take_while(|at: &u32| f64::from(*at) <= length).count();
        Self { across, up, cells: vec![vec![' '; count(across.to)]; count(up.from)] }
    }

    /// Sets one point; what lies beyond an end is left out.
    pub(super) fn put(&mut self, (x, y): (f64, f64), mark: char) {
        if (self.across.low..=self.across.high).contains(&x) && (self.up.low..=self.up.high).contains(&y) {
            let (column, row) = (self.across.place(x).round(), self.up.place(y).round());
            for (at, line) in self.cells.iter_mut().enumerate() {
                for (under, cell) in line.iter_mut().enumerate() {
                    if near(at, row) && near(under, column) {
                        *cell = mark;
                    }
                }
            }
        }
    }

    /// Sets a whole column.
    pub(super) fn column(&mut self, x: f64, mark: char) {
        let column = self.across.place(x).round();
        for line in &mut self.cells {
            for (under, cell) in line.iter_mut().enumerate() {
                if near(under, column) {
                    *cell = mark;
                }
            }
        }
    }

    /// Sets every cell whose middle holds; a shape thinner than a cell is for [`Grid::put`].
    pub(super) fn fill(&mut self, mark: char, holds: &dyn Fn((f64, f64)) -> bool) {
        let (across, up) = (self.across, self.up);
        for (at, line) in self.cells.iter_mut().enumerate() {
            for (under, cell) in line.iter_mut().enumerate() {
                if holds((value(&across, under), value(&up, at))) {
                    *cell = mark;
                }
            }
        }
    }

    /// The lines with the ends and the middle of both axes in words.
    pub(super) fn lines(&self, upright: &dyn Fn(f64) -> String, level: &dyn Fn(f64) -> String) -> Vec<String> {
        let last = self.cells.len().saturating_sub(1);
        let marked = |at: usize| at == 0 || at == last || at * 2 == last;
        let words: Vec<String> =
            (0..=last).map(|at| if marked(at) { upright(value(&self.up, at)) } else { String::new() }).collect();
        let wide = words.iter().map(|word| word.chars().count()).max().unwrap_or(0);
        let mut lines: Vec<String> = words
            .iter()
            .zip(&self.cells)
            .map(|(word, cells)| format!("{word:>wide$} |{}", cells.iter().collect::<String>()).trim_end().to_owned())
            .collect();
        let columns = self.cells.first().map_or(0, Vec::len);
        lines.push(format!("{:wide$} +{}", "", "-".repeat(columns)));
        let (left, right) = (level(self.across.low), level(self.across.high));
        let room = columns.saturating_sub(left.chars().count());
        lines.push(format!("{:wide$}  {left}{right:>room$}", ""));
        lines
    }
}

fn near(at: usize, place: f64) -> bool {
    u32::try_from(at).is_ok_and(|at| (f64::from(at) - place).abs() < 0.5)
}

/// The value in the middle of a column or row.
fn value(axis: &Axis, at: usize) -> f64 {
    let at = f64::from(u32::try_from(at).unwrap_or(0));
    axis.low + (at - axis.from) / (axis.to - axis.from) * (axis.high - axis.low)
}
