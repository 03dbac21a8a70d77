//! Where a smooth function crosses a level or turns, between two points of a grid.

/// The point between `inside` and `outside` where `is_outside` begins, by halving on a log scale.
pub(super) fn edge(mut inside: f64, mut outside: f64, is_outside: impl Fn(f64) -> bool) -> f64 {
    for _ in 0..60 {
        let middle = (inside * outside).sqrt();
        if middle == inside || middle == outside {
            break;
        }
        if is_outside(middle) { outside = middle } else { inside = middle }
    }
    (inside * outside).sqrt()
}

/// The point of greatest value in `low..high`, by golden section; the function has one maximum there.
pub(super) fn summit(mut low: f64, mut high: f64, value: impl Fn(f64) -> f64) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let mut left = high - GOLDEN * (high - low);
    let mut right = low + GOLDEN * (high - low);
    let (mut at_left, mut at_right) = (value(left), value(right));
    for _ in 0..50 {
        if at_left > at_right {
            high = right;
            (right, at_right) = (left, at_left);
            left = high - GOLDEN * (high - low);
            at_left = value(left);
        } else {
            low = left;
            (left, at_left) = (right, at_right);
            right = low + GOLDEN * (high - low);
            at_right = value(right);
        }
    }
    (low + high) / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// To the last digits, whichever side is outside.
    #[test]
    fn an_edge_is_found_from_either_side() {
        for (inside, outside, at) in [(1.0, 100.0, 7.3), (100.0, 1.0, 7.3), (1e-9, 1e9, 2e-9), (3.0, 3.1, 3.01)] {
            let found = edge(inside, outside, |x| if inside < outside { x > at } else { x < at });
            assert!((found / at - 1.0).abs() < 1e-15, "{found} for {at}");
        }
    }

    /// A kink is located as far as the section is narrowed: 5·0.618⁵⁰; at either end too.
    #[test]
    fn a_summit_is_found_anywhere() {
        for at in [1.0, 1.7, 2.0, 3.2, 3.9, 5.9, 6.0] {
            let found = summit(1.0, 6.0, |x| -(x - at).abs());
            assert!((found - at).abs() < 1e-9, "{found} for {at}");
        }
    }
}
