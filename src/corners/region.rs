//! Part of the box: some quantities at a value, the others free.
use super::boards::{Boards, Goal};
use crate::network::{Enclosure, Interval, Lane};
use crate::stage::Quantity;

/// A face of the box.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Region {
    /// A value for each quantity; what stands at a free one does not count.
    pub(super) at: Vec<f64>,
    /// The quantities that may still be anywhere.
    pub(super) free: Vec<usize>,
}

impl Region {
    /// The whole box.
    pub(super) fn whole(quantities: &[Quantity]) -> Self {
        Self { at: quantities.iter().map(|one| one.low).collect(), free: (0..quantities.len()).collect() }
    }

    pub(super) fn corners(&self) -> usize {
        1 << self.free.len()
    }

    /// Free quantities that enter several elements.
    pub(super) fn shared<T: Lane>(&self, boards: &Boards<'_, T>) -> Vec<usize> {
        self.free.iter().copied().filter(|&one| boards.quantities[one].effects.len() > 1).collect()
    }
}

/// What is monotone along most quantities.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Function {
    Differential,
    Common,
    Ratio,
}

/// A slope counts as having a sign when it is farther from 0 than this share of what it is the sum of:
/// far above the rounding of the enclosures.
const SURE: f64 = 1e-9;

/// Regions that were enclosed: several goals ask for the same ones.
#[derive(Default)]
pub(super) struct Enclosures(Vec<(Region, Option<Enclosed>)>);

impl Enclosures {
    fn of(&mut self, boards: &Boards<'_, f64>, region: &Region) -> Option<&Enclosed> {
        let known = self.0.iter().position(|(one, _)| one == region);
        let at = known.unwrap_or_else(|| {
            self.0.push((region.clone(), Enclosed::new(boards, region)));
            self.0.len() - 1
        });
        self.0[at].1.as_ref()
    }
}

/// Values and slopes, what they can be anywhere in a region.
struct Enclosed {
    /// Which deviation moves with which quantity, and how steeply.
    chain: Vec<(usize, usize, Interval)>,
    differential: Enclosure,
    common: Enclosure,
    quantities: usize,
}

/// Regions of which one holds the point where `goal` is greatest; `None` where slopes tell nothing.
pub(super) fn of_greatest(boards: &Boards<'_, f64>, goal: Goal, enclosures: &mut Enclosures) -> Option<Vec<Region>> {
    let (function, signs): (_, &[f64]) = match goal {
        Goal::Rejection => (Function::Ratio, &[1.0, -1.0]),
        Goal::Common => (Function::Common, &[1.0, -1.0]),
        Goal::High => (Function::Differential, &[1.0]),
        Goal::Low => (Function::Differential, &[-1.0]),
    };
    signs.iter().map(|&sign| face(boards, function, sign, enclosures)).collect()
}

/// The face where `sign * function` is greatest. A quantity along which it surely rises everywhere in the
/// region is put at its upper end, one along which it surely falls at its lower end; in the smaller region
/// more slopes are sure.
fn face(boards: &Boards<'_, f64>, function: Function, sign: f64, enclosures: &mut Enclosures) -> Option<Region> {
    let mut region = Region::whole(boards.quantities);
    while !region.free.is_empty() {
        let slopes = enclosures.of(boards, &region)?.slopes(function)?;
        let before = region.free.len();
        for (quantity, (slope, terms)) in slopes.into_iter().enumerate() {
            let slope = slope.scale(sign);
            let ends = &boards.quantities[quantity];
            let end = if slope.low > SURE * terms || terms == 0.0 {
                ends.high
            } else if slope.high < -SURE * terms {
                ends.low
            } else {
                continue;
            };
            if let Some(place) = region.free.iter().position(|&one| one == quantity) {
                region.free.remove(place);
                region.at[quantity] = end;
            }
        }
        if region.free.len() == before {
            break;
        }
    }
    Some(region)
}

impl Enclosed {
    /// `None` where it can't be told, because a pivot might vanish.
    fn new(boards: &Boards<'_, f64>, region: &Region) -> Option<Self> {
        let mut values: Vec<Interval> = region.at.iter().map(|&at| Interval::point(at)).collect();
        for &quantity in &region.free {
            let ends = &boards.quantities[quantity];
            values[quantity] = Interval::new(ends.low, ends.high);
        }
        let mut chain = Vec::new();
        let mut deviations = Vec::with_capacity(boards.deviations.len());
        for slot in 0..boards.deviations.len() {
            let slope = |quantity, slope| chain.push((slot, quantity, slope));
            deviations.push(boards.shaker.enclose(slot, |quantity| values[quantity], slope)?);
        }
        let [differential, common] = boards.plan.enclose(&deviations)?.try_into().ok()?;
        Some(Self { chain, differential, common, quantities: values.len() })
    }

    /// A slope along every quantity, and the size of the terms it was summed from. That of the ratio is
    /// multiplied by `A_d²`, which leaves its sign.
    fn slopes(&self, function: Function) -> Option<Vec<(Interval, f64)>> {
        let Self { differential, common, .. } = self;
        if function == Function::Ratio {
            differential.value.recip()?;
        }
        let mut sums = vec![(Interval::default(), 0.0); self.quantities];
        for &(slot, quantity, slope) in &self.chain {
            let (d, c) = (differential.slopes[slot] * slope, common.slopes[slot] * slope);
            let (sum, terms) = &mut sums[quantity];
            match function {
                Function::Differential => {
                    *sum += d;
                    *terms += d.magnitude();
                }
                Function::Common => {
                    *sum += c;
                    *terms += c.magnitude();
                }
                Function::Ratio => {
                    let (rises, falls) = (c * differential.value, d * common.value);
                    *sum += rises - falls;
                    *terms += rises.magnitude() + falls.magnitude();
                }
            }
        }
        Some(sums)
    }
}
