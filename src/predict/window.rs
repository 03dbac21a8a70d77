//! The signals that fit: a polygon in the plane of common mode and difference.
use super::headroom::Point;
use crate::quantity::or_zero;

/// A vertex of the window, V.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WindowVertex {
    /// `v_cm`, V.
    pub common_mode_v: f64,
    /// `v_d`, V.
    pub differential_v: f64,
}

/// A vertex as near as this to the line between its neighbours, as a share of the polygon, lies on it.
const STRAIGHT: f64 = 1e-9;

/// `common·v_cm + differential·v_d <= bound`
#[derive(Clone, Copy, Debug)]
struct HalfPlane {
    common: f64,
    differential: f64,
    bound: f64,
    /// What counts as on the line.
    rounding: f64,
}

impl HalfPlane {
    /// How far inside, V.
    fn inside(&self, at: WindowVertex) -> f64 {
        self.bound - self.common * at.common_mode_v - self.differential * at.differential_v
    }

    fn clip(&self, polygon: &[WindowVertex]) -> Vec<WindowVertex> {
        let mut kept = Vec::with_capacity(polygon.len() + 1);
        for (index, &from) in polygon.iter().enumerate() {
            let to = polygon[(index + 1) % polygon.len()];
            let (a, b) = (self.inside(from), self.inside(to));
            if a >= -self.rounding {
                kept.push(from);
            }
            if (a >= -self.rounding) != (b >= -self.rounding) {
                let share = (a / (a - b)).clamp(0.0, 1.0);
                kept.push(WindowVertex {
                    common_mode_v: from.common_mode_v + share * (to.common_mode_v - from.common_mode_v),
                    differential_v: from.differential_v + share * (to.differential_v - from.differential_v),
                });
            }
        }
        kept
    }
}

/// The polygon in which every point is inside its limits and the common mode inside `common_mode_v`:
/// its vertices counter-clockwise (common mode to the right, difference upwards) from the one of least
/// common mode, of two such the one of lower difference. Empty where no signal fits.
///
/// Half-planes are cut off one by one, which is exact: every voltage is an affine function of the two.
/// The difference needs no bound of its own, since the output has a gain and limits; of a network
/// without gain nothing outside ±(width of the common-mode range) is shown.
#[must_use]
pub fn window(points: &[Point], common_mode_v: (f64, f64)) -> Vec<WindowVertex> {
    let (low, high) = common_mode_v;
    let reach = points.iter().filter_map(|point| reach(point, common_mode_v)).fold(f64::INFINITY, f64::min);
    let reach = if reach.is_finite() { 2.0 * reach } else { high - low };
    let mut polygon: Vec<WindowVertex> = [(low, -reach), (high, -reach), (high, reach), (low, reach)]
        .map(|(common_mode_v, differential_v)| WindowVertex { common_mode_v, differential_v })
        .to_vec();
    for point in points {
        let (map, rounding) = (point.map, point.rounding_v(0.0));
        for (sign, limit) in [(1.0, point.high_limit_v), (-1.0, point.low_limit_v)] {
            let half = HalfPlane {
                common: sign * map.common,
                differential: sign * map.differential,
                bound: sign * (limit - map.constant_v),
                rounding,
            };
            polygon = half.clip(&polygon);
        }
    }
    tidy(&polygon)
}

/// The greatest |difference| that one point allows anywhere in the common-mode range, V.
fn reach(point: &Point, (low, high): (f64, f64)) -> Option<f64> {
    let map = point.map;
    let mut greatest: f64 = 0.0;
    for limit in [point.low_limit_v, point.high_limit_v] {
        for common in [low, high] {
            greatest = greatest.max(((limit - map.constant_v - map.common * common) / map.differential).abs());
        }
    }
    (greatest.is_finite() && greatest > 0.0).then_some(greatest)
}

/// Takes out the vertices that lie on the line between their neighbours; `size` is that of the polygon.
fn straightened(polygon: &mut Vec<WindowVertex>, size: (f64, f64)) {
    let side = |from: &WindowVertex, to: &WindowVertex| {
        ((to.common_mode_v - from.common_mode_v) / size.0, (to.differential_v - from.differential_v) / size.1)
    };
    let mut index = 0;
    while polygon.len() > 3 && index < polygon.len() {
        let (before, after) = ((index + polygon.len() - 1) % polygon.len(), (index + 1) % polygon.len());
        let (along, to) = (side(&polygon[before], &polygon[after]), side(&polygon[before], &polygon[index]));
        let off = (along.0 * to.1 - along.1 * to.0).abs();
        if off <= STRAIGHT * libm::hypot(along.0, along.1) {
            polygon.remove(index);
            index = index.saturating_sub(1);
        } else {
            index += 1;
        }
    }
}

/// Without vertices that fall together or on the line between two others, and with zero where only rounding is left, from the least common mode on.
fn tidy(polygon: &[WindowVertex]) -> Vec<WindowVertex> {
    let size = |of: fn(&WindowVertex) -> f64| polygon.iter().map(|one| of(one).abs()).fold(0.0, f64::max);
    let (common, differential) = (1e-12 * size(|one| one.common_mode_v), 1e-12 * size(|one| one.differential_v));
    let together = |a: &WindowVertex, b: &WindowVertex| {
        (a.common_mode_v - b.common_mode_v).abs() <= common
            && (a.differential_v - b.differential_v).abs() <= differential
    };
    let mut kept: Vec<WindowVertex> = Vec::with_capacity(polygon.len());
    for one in polygon {
        if !kept.last().is_some_and(|last| together(last, one)) {
            kept.push(*one);
        }
    }
    while kept.len() > 1 && together(&kept[0], &kept[kept.len() - 1]) {
        kept.pop();
    }
    straightened(&mut kept, (size(|one| one.common_mode_v), size(|one| one.differential_v)));
    let least = kept.iter().map(|one| one.common_mode_v).fold(f64::INFINITY, f64::min);
    let leftmost = |one: &WindowVertex| one.common_mode_v <= least + common;
    let first = (0..kept.len())
        .filter(|&index| leftmost(&kept[index]))
        .min_by(|&a, &b| kept[a].differential_v.total_cmp(&kept[b].differential_v));
    kept.rotate_left(first.unwrap_or(0));
    let (widest, tallest) = (size(|one| one.common_mode_v), size(|one| one.differential_v));
    for one in &mut kept {
        one.common_mode_v = or_zero(one.common_mode_v, widest);
        one.differential_v = or_zero(one.differential_v, tallest);
    }
    kept
}
