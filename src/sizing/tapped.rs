//! One tapped string for several gains: the middle resistor, and pairs outwards from tap to tap.
use super::fault::SizingFault;
use super::stock::Stock;

/// The whole string lies here, Ω: each half is a feedback resistor of 10 kΩ to 100 kΩ at the greatest.
const WHOLE_OHM: (f64, f64) = (20e3, 200e3);

/// A string: `ohms[0]` in the middle, then each pair outwards, once.
#[derive(Clone, Debug, PartialEq)]
pub struct Tapped {
    /// Ω, the middle first.
    pub ohms: Vec<f64>,
    /// Greatest relative gain error.
    pub error: f64,
}

/// The string whose worst gain error is least, for stage gains that descend, all at least 1.
///
/// Between the taps of gain `G_k` lies `P_k`, the whole string is `S`, and `G_k = S/P_k`. Every error is
/// below `e` when some `S` lies between `G_k·P_k/(1 + e)` and `G_k·P_k/(1 - e)` for all `k`, so a part of a
/// string is given up as soon as these intervals have nothing in common: what is found is the best there is,
/// of equals the one with the smaller middle resistor.
///
/// # Errors
/// [`SizingFault::NotAGain`] for a gain below 1, [`SizingFault::NothingInRange`] where no string fits.
pub fn tapped(gains: &[f64], stock: &Stock) -> Result<Tapped, SizingFault> {
    if let Some(&gain) = gains.iter().find(|gain| !(**gain >= 1.0 && gain.is_finite())) {
        return Err(SizingFault::NotAGain { gain });
    }
    let mut search = Search { gains, values: stock.values(), best: None, limit: 0.05 };
    // ever wider, so that the first string found is already near the best
    for limit in [1e-4, 1e-3, 5e-3, 0.02, 0.1, 0.5] {
        search.limit = limit;
        search.every_middle();
        if search.best.is_some() {
            break;
        }
    }
    search.best.ok_or(SizingFault::NothingInRange {
        name: crate::designator::Designator::RG,
        low: WHOLE_OHM.0,
        high: WHOLE_OHM.1,
        asked: false,
    })
}

struct Search<'a> {
    gains: &'a [f64],
    values: &'a [f64],
    best: Option<Tapped>,
    limit: f64,
}

impl Search<'_> {
    fn every_middle(&mut self) {
        let values = self.values;
        let Some(&first) = self.gains.first() else { return };
        for &middle in values {
            let whole = first * middle;
            if whole > WHOLE_OHM.0 * 0.5 && whole < WHOLE_OHM.1 * 2.0 {
                let mut string = vec![middle];
                let window = self.window(first * middle, WHOLE_OHM);
                self.outwards(&mut string, middle, window);
            }
        }
    }

    /// What is left of the whole when `G_k·P_k` has to be within the limit of it.
    fn window(&self, product: f64, (low, high): (f64, f64)) -> (f64, f64) {
        (low.max(product / (1.0 + self.limit)), high.min(product / (1.0 - self.limit)))
    }

    fn outwards(&mut self, string: &mut Vec<f64>, between: f64, window: (f64, f64)) {
        if window.0 > window.1 {
            return;
        }
        let values = self.values;
        match self.gains.get(string.len()).copied() {
            Some(gain) => {
                // the next tap: P_k between S/G_k at both ends of the window
                let bounds = (
                    (window.0 * (1.0 - self.limit) / gain - between) / 2.0,
                    (window.1 * (1.0 + self.limit) / gain - between) / 2.0,
                );
                let from = values.partition_point(|&ohm| ohm < bounds.0 * (1.0 - 1e-12));
                for &ohm in values.iter().skip(from).take_while(|&&ohm| ohm <= bounds.1 * (1.0 + 1e-12)) {
                    let next = between + 2.0 * ohm;
                    let narrowed = self.window(gain * next, window);
                    string.push(ohm);
                    self.outwards(string, next, narrowed);
                    string.pop();
                }
            }
            None if self.gains.last() == Some(&1.0) => self.offer(string, between),
            None => {
                // outside the last tap the rest of the whole
                let bounds = ((window.0 - between) / 2.0, (window.1 - between) / 2.0);
                let from = values.partition_point(|&ohm| ohm < bounds.0 * (1.0 - 1e-12));
                for &ohm in values.iter().skip(from).take_while(|&&ohm| ohm <= bounds.1 * (1.0 + 1e-12)) {
                    string.push(ohm);
                    self.offer(string, between + 2.0 * ohm);
                    string.pop();
                }
            }
        }
    }

    fn offer(&mut self, string: &[f64], whole: f64) {
        let error = worst(self.gains, string, whole);
        let better = self.best.as_ref().is_none_or(|held| error < held.error * (1.0 - 1e-12) - 1e-15);
        if better && error <= self.limit * (1.0 + 1e-9) {
            self.best = Some(Tapped { ohms: string.to_vec(), error });
            self.limit = error;
        }
    }
}

/// The greatest relative error of `S/P_k` against the gains.
fn worst(gains: &[f64], string: &[f64], whole: f64) -> f64 {
    let mut between = 0.0;
    let mut worst = 0.0_f64;
    for (at, (&ohm, gain)) in string.iter().zip(gains).enumerate() {
        between += if at == 0 { ohm } else { 2.0 * ohm };
        worst = worst.max((whole / between / gain - 1.0).abs());
    }
    worst
}

#[cfg(test)]
mod tests {
    use super::{tapped, worst};
    use crate::series::Series;
    use crate::sizing::Stock;

    #[test]
    fn no_string_of_the_series_is_better() {
        let values: Vec<f64> = Series::E12.ohms(100.0, 100e3);
        let stock = Stock::new(values.iter().copied()).unwrap();
        for gains in [[100.0, 10.0, 1.0], [50.0, 20.0, 1.0], [8.0, 4.0, 2.0]] {
            let found = tapped(&gains, &stock).unwrap();
            let mut best = f64::INFINITY;
            for &a in &values {
                for &b in &values {
                    for &c in &values {
                        let inner = a + 2.0 * b + 2.0 * c;
                        if gains[2] == 1.0 {
                            if (20e3..=200e3).contains(&inner) {
                                best = best.min(worst(&gains, &[a, b, c], inner));
                            }
                            continue;
                        }
                        for &d in &values {
                            let whole = inner + 2.0 * d;
                            if (20e3..=200e3).contains(&whole) {
                                best = best.min(worst(&gains, &[a, b, c, d], whole));
                            }
                        }
                    }
                }
            }
            assert!((found.error - best).abs() <= 1e-12, "{gains:?}: {found:?}, plain loops {best}");
        }
    }
}
