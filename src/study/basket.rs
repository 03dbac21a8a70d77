//! Baskets in the order of their price: one grade for each thing that is bought.
use std::cmp::Ordering;
use std::collections::{BTreeSet, BinaryHeap};

/// Which grade each unit has, as positions in the list of grades (cheapest first).
pub(super) type Basket = Vec<usize>;

#[derive(Clone, Debug, PartialEq)]
struct Priced {
    price: f64,
    basket: Basket,
}

impl Eq for Priced {}

impl Ord for Priced {
    /// The cheapest is the greatest, so that the heap gives it first; of equal ones the first in order.
    fn cmp(&self, other: &Self) -> Ordering {
        other.price.total_cmp(&self.price).then_with(|| other.basket.cmp(&self.basket))
    }
}

impl PartialOrd for Priced {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// All baskets, cheapest first, without all of them being made.
pub(super) struct Baskets {
    /// Price of one resistor by grade, ascending.
    prices: Vec<f64>,
    /// Resistors in each unit.
    counts: Vec<usize>,
    heap: BinaryHeap<Priced>,
    seen: BTreeSet<Basket>,
}

impl Baskets {
    pub(super) fn new(prices: Vec<f64>, counts: Vec<usize>) -> Self {
        let mut all = Self { prices, counts, heap: BinaryHeap::new(), seen: BTreeSet::new() };
        if !all.prices.is_empty() {
            all.push(vec![0; all.counts.len()]);
        }
        all
    }

    /// What a basket costs.
    pub(super) fn price(&self, basket: &Basket) -> f64 {
        basket.iter().zip(&self.counts).map(|(&grade, &count)| self.prices[grade] * count as f64).sum()
    }

    fn push(&mut self, basket: Basket) {
        if self.seen.insert(basket.clone()) {
            self.heap.push(Priced { price: self.price(&basket), basket });
        }
    }
}

impl Iterator for Baskets {
    type Item = (f64, Basket);

    fn next(&mut self) -> Option<Self::Item> {
        let Priced { price, basket } = self.heap.pop()?;
        for unit in 0..basket.len() {
            if basket[unit] + 1 < self.prices.len() {
                let mut next = basket.clone();
                next[unit] += 1;
                self.push(next);
            }
        }
        Some((price, basket))
    }
}

#[cfg(test)]
mod tests {
    use super::Baskets;

    #[test]
    fn every_basket_comes_once_and_none_before_a_cheaper_one() {
        let all: Vec<_> = Baskets::new(vec![1.0, 1.5, 4.0], vec![4, 1, 2]).collect();
        assert_eq!(all.len(), 27);
        assert!(all.windows(2).all(|pair| pair[0].0 <= pair[1].0));
        let mut names: Vec<_> = all.iter().map(|(_, basket)| basket.clone()).collect();
        names.sort();
        names.dedup();
        assert_eq!(names.len(), 27);
        assert_eq!(all[0], (7.0, vec![0, 0, 0]));
    }
}
