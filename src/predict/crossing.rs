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
