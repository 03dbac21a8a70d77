use super::poles::{Decay, Motion, PolesFault};
use crate::network::Scalar;
use crate::stage::{Role, Stage};
use num_complex::Complex64;

/// Time until the output stays within a fraction of a step's size.
#[derive(Clone, Debug, PartialEq)]
pub struct Settling {
    /// The linear network's time for each fraction asked for, s; `None`: it rings practically for ever.
    pub linear_s: Vec<Option<f64>>,
    /// Time spent slewing, to be added, s.
    pub slewing_s: f64,
}

/// A mode this many time constants old is forgotten: e⁻⁶⁰ = 1e-26.
const DEAD: f64 = 60.0;
/// Samples in each doubling of time, at least.
const SAMPLES: f64 = 64.0;
/// More steps than this are not taken: a ring of some thousand periods.
const GREATEST_STEPS: usize = 400_000;

/// Settling after a step of `width` volts of difference, to each of `fractions` of the output's step.
///
/// The answer of the stable linear network is followed with exact steps `exp(−rate·h)` (repeated poles
/// need no care), each doubling of time with steps that fit the modes still alive, and the last crossing
/// is bisected.
///
/// Slewing: with `V` an op amp's own output step and `s` the steepest slope of its linear answer,
/// steps up to `V·SR/s` stay linear; what exceeds that is covered at the slew rate:
/// `t = (V − V·SR/s)/SR = V/SR − V/s` where `s > SR` (one pole: `V/SR − τ`). Several op amps slew at the
/// same time, so the longest counts. An output that jumps has `s` unbounded.
///
/// # Errors
/// [`PolesFault`].
pub fn settling(stage: &Stage, motion: &Motion<'_>, width: f64, fractions: &[f64]) -> Result<Settling, PolesFault> {
    let drive = stage.differential();
    let output = motion.transfer(&drive, stage.ports.output);
    let decay = output.decay();
    let mut walk = Walk::new(&decay, output.dc, fractions);
    let mut slews = Vec::new();
    for &(role, element) in &stage.roles {
        let Role::Amp(amp) = role else { continue };
        let (Some(slew), Some((_, _, out))) = (stage.circuit.opamp(amp).slew_rate_v_per_s, stage.network.pins(element))
        else {
            continue;
        };
        let own = motion.transfer(&drive, out);
        let parts = own.decay();
        let jump = own.dc - dot(&parts.row, &parts.start).re;
        slews.push((slew, own.dc.abs() * width, jump.abs() > 1e-6 * own.dc.abs().max(1e-9)));
        walk.watch(&parts.row);
    }
    walk.run();
    let slewing = slews.iter().zip(&walk.steepest).map(|(&(slew, swing, jumps), (_, steepest))| {
        let slope = steepest * width;
        let linear = if jumps { 0.0 } else { swing / slope };
        if jumps || slope > slew { (swing / slew - linear).max(0.0) } else { 0.0 }
    });
    let slewing_s = slewing.fold(0.0, f64::max);
    Ok(Settling { linear_s: walk.times(), slewing_s })
}

/// Where one target was last seen exceeded.
#[derive(Clone, Debug)]
struct Last {
    fraction: f64,
    /// Time and state of the last point outside, and how far after it the next point inside is.
    outside: Option<(f64, Vec<Complex64>, f64)>,
    open: bool,
}

struct Walk<'d> {
    decay: &'d Decay,
    scale: f64,
    targets: Vec<Last>,
    /// Row of a slope, and its greatest value so far.
    steepest: Vec<(Vec<Complex64>, f64)>,
    /// Modes still alive; the fastest are dropped first, which the triangular form allows.
    alive: usize,
    state: Vec<Complex64>,
    /// Time, state and error of the sample before.
    before: Option<(f64, Vec<Complex64>, f64)>,
    complete: bool,
}

impl<'d> Walk<'d> {
    fn new(decay: &'d Decay, dc: f64, fractions: &[f64]) -> Self {
        let targets = fractions.iter().map(|&fraction| Last { fraction, outside: None, open: false }).collect();
        Self {
            decay,
            scale: 1.0 / dc.abs(),
            targets,
            steepest: Vec::new(),
            alive: decay.size,
            state: decay.start.clone(),
            before: None,
            complete: true,
        }
    }

    /// The slope `q·rate·u` of another node.
    fn watch(&mut self, row: &[Complex64]) {
        let n = self.decay.size;
        let slope = (0..n).map(|j| (0..=j).map(|i| row[i] * self.decay.rate[i * n + j]).sum()).collect();
        self.steepest.push((slope, 0.0));
    }

    fn rate(&self, i: usize, j: usize) -> Complex64 {
        self.decay.rate[i * self.decay.size + j]
    }

    fn pole(&self, k: usize) -> Complex64 {
        self.rate(k, k)
    }

    fn error(&self, state: &[Complex64]) -> f64 {
        dot(&self.decay.row, state).re.abs() * self.scale
    }

    /// `exp(−rate·h)·state`, by as many short Taylor steps as it takes.
    fn after(&self, state: &[Complex64], h: f64) -> Vec<Complex64> {
        let n = state.len();
        let norm = (0..n).map(|i| (i..n).map(|j| self.rate(i, j).modulus()).sum()).fold(0.0, f64::max);
        let parts = (norm * h).ceil().clamp(1.0, 1e4);
        let mut state = state.to_vec();
        for _ in 0..parts as usize {
            let mut term = state.clone();
            for order in 1..=24 {
                let by = -h / (parts * f64::from(order));
                term = (0..n).map(|i| (i..n).map(|j| self.rate(i, j) * term[j]).sum::<Complex64>() * by).collect();
                for (sum, term) in state.iter_mut().zip(&term) {
                    *sum += term;
                }
            }
        }
        state
    }

    /// `exp(−rate·h)` of the modes alive, column by column.
    fn step(&self, h: f64) -> Vec<Vec<Complex64>> {
        (0..self.alive)
            .map(|k| {
                let mut unit = vec![Complex64::ZERO; k + 1];
                unit[k] = Complex64::ONE;
                self.after(&unit, h)
            })
            .collect()
    }

    fn run(&mut self) {
        let mut t = 0.0;
        let mut taken = 0;
        self.look(t, &self.state.clone());
        loop {
            while self.alive > 0 && self.pole(self.alive - 1).re * t > DEAD {
                self.alive -= 1;
            }
            self.state.truncate(self.alive);
            let fastest = (0..self.alive).map(|k| self.pole(k).modulus()).fold(0.0, f64::max);
            if self.alive == 0 || self.is_over() {
                break;
            }
            let span = if t == 0.0 { 0.5 / fastest } else { t };
            let steps = (span / (span / SAMPLES).min(0.5 / fastest)).ceil();
            taken += steps as usize;
            if taken > GREATEST_STEPS {
                self.complete = false;
                break;
            }
            self.march(t, span / steps, steps as usize);
            t += span;
        }
    }

    /// True when not even the sum of all that is left can matter again.
    fn is_over(&self) -> bool {
        let left: f64 = self.state.iter().zip(&self.decay.row).map(|(u, q)| u.modulus() * q.modulus()).sum();
        let least = self.targets.iter().map(|one| one.fraction).fold(f64::INFINITY, f64::min);
        left * self.scale < 1e-6 * least && !self.targets.iter().any(|one| one.open)
    }

    fn march(&mut self, from: f64, h: f64, steps: usize) {
        let columns = self.step(h);
        for k in 1..=steps {
            let (now, then) = (from + (k - 1) as f64 * h, from + k as f64 * h);
            let mut next = vec![Complex64::ZERO; self.alive];
            for (column, &u) in columns.iter().zip(&self.state) {
                for (sum, &e) in next.iter_mut().zip(column) {
                    *sum += e * u;
                }
            }
            let (here, after) = (self.error(&self.state), self.error(&next));
            if let Some((start, earlier, lower)) = self.before.take()
                && here >= lower
                && here >= after
            {
                self.peak(start, &earlier, then - start, here);
            }
            self.before = Some((now, std::mem::replace(&mut self.state, next.clone()), here));
            for target in &mut self.targets {
                if target.open && after <= target.fraction {
                    target.open = false;
                    if let Some((at, _, length)) = &mut target.outside {
                        *length = then - *at;
                    }
                }
            }
            self.look(then, &next);
        }
    }

    /// Notes the targets that are exceeded, and slopes.
    fn look(&mut self, t: f64, state: &[Complex64]) {
        let error = self.error(state);
        for target in &mut self.targets {
            if error > target.fraction {
                target.outside = Some((t, state.to_vec(), 0.0));
                target.open = true;
            }
        }
        for (row, most) in &mut self.steepest {
            *most = most.max(dot(row, state).re.abs());
        }
    }

    /// Between three samples the error rose and fell; its summit may reach a target that the samples miss.
    fn peak(&mut self, from: f64, state: &[Complex64], length: f64, seen: f64) {
        if !self.targets.iter().any(|one| seen <= one.fraction && seen > 0.9 * one.fraction) {
            return;
        }
        let at = super::crossing::summit(0.0, length, |dt| self.error(&self.after(state, dt)));
        let summit = self.after(state, at);
        let top = self.error(&summit);
        for target in &mut self.targets {
            if seen <= target.fraction && top > target.fraction {
                target.outside = Some((from + at, summit.clone(), length - at));
            }
        }
    }

    fn times(&self) -> Vec<Option<f64>> {
        self.targets
            .iter()
            .map(|target| {
                if !self.complete {
                    return None;
                }
                let Some((t, state, length)) = &target.outside else { return Some(0.0) };
                let (mut outside, mut inside) = (0.0, *length);
                for _ in 0..50 {
                    let middle = (outside + inside) / 2.0;
                    if self.error(&self.after(state, middle)) > target.fraction {
                        outside = middle;
                    } else {
                        inside = middle;
                    }
                }
                Some(t + (outside + inside) / 2.0)
            })
            .collect()
    }
}

fn dot(row: &[Complex64], state: &[Complex64]) -> Complex64 {
    row.iter().zip(state).map(|(q, u)| q * u).sum()
}
