//! Series and parallel pairs whose resistance lies in a window: walked each time, or kept sorted.
use super::pick::{Pick, PickKind};

/// Every pair of a stock, sorted by resistance: built once, searched by bisection.
///
/// Of pairs of one resistance all are kept, series before parallel.
#[derive(Clone, Debug)]
pub struct PairTable {
    ohms: Vec<f64>,
    pairs: Vec<(PickKind, u32, u32)>,
    values: Vec<f64>,
}

impl PairTable {
    /// Puts every pair of `values` (ascending, Ω) together; `N²` of them, sorted.
    #[must_use]
    pub fn new(values: &[f64]) -> Self {
        let mut all = Vec::with_capacity(values.len() * (values.len() + 1));
        for (i, &one) in values.iter().enumerate() {
            for (j, &other) in values.iter().enumerate().skip(i) {
                let at = (i as u32, j as u32);
                all.push((Pick::series(one, other).ohm().unwrap_or(f64::INFINITY), PickKind::Series, at.0, at.1));
                all.push((Pick::parallel(one, other).ohm().unwrap_or(f64::INFINITY), PickKind::Parallel, at.0, at.1));
            }
        }
        all.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2, a.3).cmp(&(b.1, b.2, b.3))));
        Self {
            ohms: all.iter().map(|one| one.0).collect(),
            pairs: all.iter().map(|one| (one.1, one.2, one.3)).collect(),
            values: values.to_vec(),
        }
    }

    /// How many pairs there are.
    #[must_use]
    pub const fn len(&self) -> usize {
        self.ohms.len()
    }

    /// True where there is none.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.ohms.is_empty()
    }

    fn within(&self, (low, high): (f64, f64), take: &mut dyn FnMut(Pick)) {
        let from = self.ohms.partition_point(|&ohm| ohm < low);
        for at in from..self.ohms.len() {
            if self.ohms[at] > high {
                break;
            }
            let (kind, i, j) = self.pairs[at];
            let (one, other) = (self.values[i as usize], self.values[j as usize]);
            take(if kind == PickKind::Series { Pick::series(one, other) } else { Pick::parallel(one, other) });
        }
    }
}

/// The same without a table: two pointers, once along the values and once along the conductances.
pub(super) struct Walked {
    values: Vec<f64>,
    conductances: Vec<f64>,
}

impl Walked {
    pub(super) fn new(values: &[f64]) -> Self {
        Self { values: values.to_vec(), conductances: values.iter().rev().map(|ohm| 1.0 / ohm).collect() }
    }

    fn within(&self, (low, high): (f64, f64), take: &mut dyn FnMut(Pick)) {
        let last = self.values.len().saturating_sub(1);
        sums_within(&self.values, (low, high), &mut |i, j| take(Pick::series(self.values[i], self.values[j])));
        // a little wider: sums of reciprocals are rounded
        let window = (1.0 / high * (1.0 - 1e-13), 1.0 / low * (1.0 + 1e-13));
        sums_within(&self.conductances, window, &mut |i, j| {
            take(Pick::parallel(self.values[last - i], self.values[last - j]));
        });
    }
}

/// Every `i <= j` with `keys[i] + keys[j]` in the window; the cost is that of the keys and of what is found.
fn sums_within(keys: &[f64], (low, high): (f64, f64), found: &mut dyn FnMut(usize, usize)) {
    // keys[end - 1] is the greatest partner that is not too great
    let mut end = keys.partition_point(|&key| key <= high);
    for (i, &key) in keys.iter().enumerate() {
        while end > i && keys[end - 1] + key > high {
            end -= 1;
        }
        if end <= i {
            break;
        }
        let mut j = end;
        while j > i && keys[j - 1] + key >= low {
            j -= 1;
            found(i, j);
        }
    }
}

/// Where pairs come from.
pub(super) enum Pairs<'a> {
    Kept(&'a PairTable),
    Walked(Walked),
}

impl Pairs<'_> {
    pub(super) fn within(&self, window: (f64, f64), take: &mut dyn FnMut(Pick)) {
        match self {
            Self::Kept(table) => table.within(window, take),
            Self::Walked(walked) => walked.within(window, take),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{PairTable, Walked};
    use crate::series::Series;

    type Run<'a> = &'a dyn Fn(&mut dyn FnMut(crate::sizing::Pick));

    #[test]
    fn table_walk_and_plain_loops_find_the_same_pairs() {
        let values = Series::E12.ohms(10.0, 10e3);
        let (table, walked) = (PairTable::new(&values), Walked::new(&values));
        for wanted in [7.3, 50.0, 333.0, 4.7e3, 19e3] {
            let window = (wanted * 0.995, wanted * 1.005);
            let gather = |run: Run<'_>| {
                let mut all = Vec::new();
                run(&mut |pick| {
                    if pick.ohm().is_some_and(|ohm| ohm >= window.0 && ohm <= window.1) {
                        all.push((pick.kind(), pick.parts_ohm().to_vec()));
                    }
                });
                all.sort_by(|a, b| a.partial_cmp(b).unwrap());
                all
            };
            let mut plain = Vec::new();
            for (i, &a) in values.iter().enumerate() {
                for &b in &values[i..] {
                    for pick in [crate::sizing::Pick::series(a, b), crate::sizing::Pick::parallel(a, b)] {
                        let ohm = pick.ohm().unwrap();
                        if ohm >= window.0 && ohm <= window.1 {
                            plain.push((pick.kind(), pick.parts_ohm().to_vec()));
                        }
                    }
                }
            }
            plain.sort_by(|a, b| a.partial_cmp(b).unwrap());
            assert_eq!(gather(&|take| table.within(window, take)), plain);
            assert_eq!(gather(&|take| walked.within(window, take)), plain);
        }
    }
}
