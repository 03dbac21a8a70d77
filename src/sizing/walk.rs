//! Sorted search: outwards from the place where the wanted value would stand.

/// Visits the keys (ascending) nearest to `wanted`, outwards in both directions, as long as `visit`
/// says true in that direction.
pub(super) fn singles(keys: &[f64], wanted: f64, mut visit: impl FnMut(usize) -> bool) {
    let at = keys.partition_point(|&key| key <= wanted);
    for index in (0..at).rev() {
        if !visit(index) {
            break;
        }
    }
    for index in at..keys.len() {
        if !visit(index) {
            break;
        }
    }
}

/// The same for sums of two keys, `keys[i] + keys[j]` with `i <= j`: for each `i` outwards from the
/// partner that would be exact. Two pointers, so that the cost is of the order of the keys, not of
/// the pairs, when `visit` refuses soon.
pub(super) fn pairs(keys: &[f64], wanted: f64, mut visit: impl FnMut(usize, usize) -> bool) {
    let mut at = keys.len();
    for (i, &key) in keys.iter().enumerate() {
        while at > 0 && keys[at - 1] > wanted - key {
            at -= 1;
        }
        for j in (i..at).rev() {
            if !visit(i, j) {
                break;
            }
        }
        let from = at.max(i);
        let mut taken = false;
        for j in from..keys.len() {
            if !visit(i, j) {
                break;
            }
            taken = true;
        }
        // from here on every sum exceeds the wanted one, and by more each time
        if at <= i && !taken {
            break;
        }
    }
}
