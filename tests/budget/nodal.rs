//! A nodal assembly of its own, on nalgebra; shares nothing with the crate under test.
//! Branch-wise: unknowns are node voltages, then currents of sources and amplifier outputs.
use nalgebra::{Complex, DMatrix, DVector};

pub(crate) type C = Complex<f64>;

/// Node 0 is ground.
#[derive(Clone, Copy)]
pub(crate) enum Part {
    /// a, b, ohm
    R(usize, usize, f64),
    /// a, b, farad
    Cap(usize, usize, f64),
    /// plus, volt against ground
    V(usize, f64),
    /// taken from, fed into, ampere
    I(usize, usize, f64),
    /// plus, minus, out, base, 1/A, 1/GBW, offset
    Amp { plus: usize, minus: usize, out: usize, base: usize, a: f64, per_gbw: f64, offset: f64 },
}

pub(crate) fn solve(parts: &[Part], hz: f64) -> Vec<C> {
    let nodes = parts
        .iter()
        .map(|part| match *part {
            Part::R(a, b, _) | Part::Cap(a, b, _) | Part::I(a, b, _) => a.max(b),
            Part::V(a, _) => a,
            Part::Amp { plus, minus, out, base, .. } => plus.max(minus).max(out).max(base),
        })
        .max()
        .unwrap();
    let extra = parts.iter().filter(|part| matches!(part, Part::V(..) | Part::Amp { .. })).count();
    // Ground keeps its row, and one equation says that it is 0.
    let size = nodes + 1 + extra;
    let mut m = DMatrix::<C>::zeros(size, size);
    let mut b = DVector::<C>::zeros(size);
    let one = C::new(1.0, 0.0);
    let mut next = nodes + 1;
    for part in parts {
        let mut admit = |p: usize, q: usize, y: C| {
            m[(p, p)] += y;
            m[(q, q)] += y;
            m[(p, q)] -= y;
            m[(q, p)] -= y;
        };
        match *part {
            Part::R(p, q, ohm) => admit(p, q, C::new(1.0 / ohm, 0.0)),
            Part::Cap(p, q, farad) => admit(p, q, C::new(0.0, 2.0 * std::f64::consts::PI * hz * farad)),
            Part::I(from, into, ampere) => {
                b[from] -= C::new(ampere, 0.0);
                b[into] += C::new(ampere, 0.0);
            }
            Part::V(plus, volt) => {
                m[(plus, next)] += one;
                m[(next, plus)] += one;
                b[next] = C::new(volt, 0.0);
                next += 1;
            }
            Part::Amp { plus, minus, out, base, a, per_gbw, offset } => {
                // v_out - v_base = A (v+ - v- + offset), written with 1/A.
                m[(out, next)] += one;
                m[(base, next)] -= one;
                let a = C::new(a, hz * per_gbw);
                m[(next, plus)] += one;
                m[(next, minus)] -= one;
                m[(next, out)] -= a;
                m[(next, base)] += a;
                b[next] = C::new(-offset, 0.0);
                next += 1;
            }
        }
    }
    m.row_mut(0).fill(C::new(0.0, 0.0));
    m[(0, 0)] = one;
    b[0] = C::new(0.0, 0.0);
    m.full_piv_lu().solve(&b).expect("a solvable circuit").iter().copied().collect()
}

/// Numbers without a pattern, the same every time.
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    pub(crate) fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }
    /// Even over the logarithm.
    pub(crate) fn log(&mut self, low: f64, high: f64) -> f64 {
        (low.ln() + self.unit() * (high / low).ln()).exp()
    }
}

/// The one comparison: relative to `scale`, NaN fails.
#[track_caller]
pub(crate) fn near(read: f64, expected: f64, scale: f64, share: f64) {
    assert!((read - expected).abs() <= share * scale.abs(), "read {read:e}, expected {expected:e} (scale {scale:e})");
}

#[test]
fn the_comparison_can_fail() {
    for wrong in [f64::NAN, 1.02, f64::INFINITY] {
        assert!(std::panic::catch_unwind(|| near(wrong, 1.0, 1.0, 0.01)).is_err());
    }
    near(1.005, 1.0, 1.0, 0.01);
}
