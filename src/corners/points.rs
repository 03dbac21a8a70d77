//! Points in the box, side by side.

/// Points, each a value for every quantity.
#[derive(Clone, Debug)]
pub(super) struct Points {
    width: usize,
    count: usize,
    values: Vec<f64>,
}

impl Points {
    /// None yet, of `width` quantities.
    pub(super) const fn of(width: usize) -> Self {
        Self { width, count: 0, values: Vec::new() }
    }

    pub(super) const fn len(&self) -> usize {
        self.count
    }

    /// One more; the copy may be changed.
    pub(super) fn push(&mut self, at: &[f64]) -> &mut [f64] {
        self.count += 1;
        let first = self.values.len();
        self.values.extend_from_slice(at);
        &mut self.values[first..]
    }

    pub(super) fn at(&self, index: usize) -> &[f64] {
        &self.values[index * self.width..][..self.width]
    }
}
