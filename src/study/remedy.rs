//! What would meet a limit that is missed: each change alone, by bisection on the worst corner.
use super::aim::Aim;
use super::bench::Bench;
use super::choose::choose;
use super::lever::Lever;
use super::trial::{self, Trial};
use super::{LimitLine, Limits, Question, StudyFault};
use crate::designator::Designator::{R2, R4, RG};
use crate::designator::{Designator, Topology};
use crate::part::Fixed;
use crate::quantity::{Unit, rounded};
use crate::sizing::{Filled, Pick};
use crate::textbook::{GainSet, gain_law};

/// Halvings: four digits more than are shown.
const STEPS: usize = 27;

/// Fills in `would_meet` of every missed line.
pub(super) fn remedies(
    question: &Question,
    aim: &Aim,
    filled: &Filled,
    lines: &mut [LimitLine],
) -> Result<(), StudyFault> {
    for line in lines.iter_mut().filter(|line| line.met == Some(false)) {
        if line.limit == "yield" {
            line.would_meet = super::yield_remedy::remedies(question, aim, filled, line.required)?;
            continue;
        }
        let question = Question { limits: only(&question.limits, line.limit), ..question.clone() };
        // with better resistors other values may be the best, and nearer to the gain
        let nearest = match Lever::Tolerance.at(&question, 0.0) {
            Some((ideal, _)) if line.limit == "gain_error" => choose(&ideal, aim).ok().map(|choice| choice.filled),
            _ => None,
        };
        let filled = nearest.as_ref().unwrap_or(filled);
        let patient = Patient { question: dividing(question, filled), aim, filled };
        line.would_meet = patient.remedies(line)?;
    }
    Ok(())
}

/// With R5 and R6 decided where they were chosen: they count among the resistors that match.
fn dividing(question: Question, filled: &Filled) -> Question {
    let mut out = question;
    for value in filled.values.iter().filter(|value| matches!(value.name, Designator::R5 | Designator::R6)) {
        if let Some(ohm) = value.pick.ohm() {
            out.resistors.fixed.insert(value.name, Fixed::Ohm(ohm));
        }
    }
    out
}

/// The one limit alone.
pub(super) fn only(limits: &Limits, limit: &str) -> Limits {
    let keep = |name: &str, value: Option<f64>| value.filter(|_| name == limit);
    Limits {
        gain_error: keep("gain_error", limits.gain_error),
        rejection_db: keep("rejection", limits.rejection_db),
        rejection_at_interference_db: keep("rejection_at_interference", limits.rejection_at_interference_db),
        headroom_v: keep("headroom", limits.headroom_v),
        offset_v: keep("offset", limits.offset_v),
        noise_v: keep("noise", limits.noise_v),
        bandwidth_hz: keep("bandwidth", limits.bandwidth_hz),
        differential_impedance_ohm: keep("differential_impedance", limits.differential_impedance_ohm),
        total_error: keep("total_error", limits.total_error),
        yield_fraction: None,
    }
}

/// A design that misses one limit.
struct Patient<'a> {
    question: Question,
    aim: &'a Aim,
    filled: &'a Filled,
}

impl Patient<'_> {
    fn held(&self, question: &Question, filled: &Filled, aim: &Aim) -> Result<Trial, StudyFault> {
        trial::trial(question, aim, &Bench::new(question, filled)?)
    }

    fn meets(&self, question: &Question) -> Result<bool, StudyFault> {
        Ok(self.held(question, self.filled, self.aim)?.missed() == 0)
    }

    fn remedies(&self, line: &LimitLine) -> Result<Vec<String>, StudyFault> {
        let mut found = Vec::new();
        let mut ideals = Vec::new();
        for lever in Lever::ALL.into_iter().filter(|lever| lever.bears_on(line.limit)) {
            let Some((ideal, _)) = lever.at(&self.question, 0.0) else { continue };
            let trial = self.held(&ideal, self.filled, self.aim)?;
            if trial.missed() > 0 {
                ideals.push((lever, trial.lines.first().and_then(|line| line.predicted)));
                continue;
            }
            let share = bisect(|share| match lever.at(&self.question, share) {
                Some((changed, _)) => self.meets(&changed),
                None => Ok(false),
            })?;
            match lever.at(&self.question, share) {
                Some((_, value)) if value > 0.0 => found.push(lever.words(&self.question, value)),
                _ => found.push(lever.ideally().to_owned()),
            }
        }
        found.extend(self.other_gain(line)?);
        found.extend(self.other_split(line)?);
        if line.limit == "differential_impedance" && self.question.topology == Topology::Difference {
            found.push("buffers in front: `buffered-difference` or `three-op-amp`".to_owned());
        }
        if found.is_empty() {
            found.extend(why_not(line, &ideals));
        }
        Ok(found)
    }

    /// Headroom and bandwidth: so much gain and no more.
    fn other_gain(&self, line: &LimitLine) -> Result<Option<String>, StudyFault> {
        if !matches!(line.limit, "headroom" | "bandwidth") {
            return Ok(None);
        }
        let at = |share: f64| {
            let gain = self.aim.gain * share;
            let filled = self.with_gain(gain)?;
            let aim = Aim { gain, ..*self.aim };
            Some((filled, aim))
        };
        let meets = |share: f64| match at(share) {
            Some((filled, aim)) => Ok(self.held(&self.question, &filled, &aim)?.missed() == 0),
            None => Ok(false),
        };
        let least = self.least_gain() * (1.0 + 1e-9) / self.aim.gain;
        if least >= 1.0 || !meets(least)? {
            return Ok(None);
        }
        let share = bisect_between(least, 1.0, meets)?;
        Ok(Some(format!("a gain of {} or less", rounded(share * self.aim.gain * (1.0 - 5e-5), Unit::Plain, 4))))
    }

    fn least_gain(&self) -> f64 {
        let ohms = self.filled.ohms();
        match self.question.topology {
            Topology::Difference | Topology::BufferedDifference | Topology::SingleChip => self.aim.gain * 1e-3,
            _ => gain_law(self.question.topology, &ohms).map_or(1.0, |law| law.base_gain),
        }
    }

    /// The values with another gain: RG alone (difference stages: R2 and R4).
    fn with_gain(&self, gain: f64) -> Option<Filled> {
        let ohms = self.filled.ohms();
        match self.question.topology {
            Topology::Difference | Topology::BufferedDifference => {
                let by = gain / self.aim.gain;
                Some(self.replaced(&[(R2, ohms.get(R2)? * by), (R4, ohms.get(R4)? * by)]))
            }
            Topology::SingleChip => None,
            topology => match gain_law(topology, &ohms).ok()?.resistor(gain) {
                GainSet::Ohm(ohm) if ohm > self.question.strays.rg_resistance_ohm => {
                    Some(self.replaced(&[(RG, ohm - self.question.strays.rg_resistance_ohm)]))
                }
                _ => None,
            },
        }
    }

    /// Three op amps: so much of the gain in the first stage.
    fn other_split(&self, line: &LimitLine) -> Result<Option<String>, StudyFault> {
        let ohms = self.filled.ohms();
        let (Topology::ThreeOpAmp, Some(r1), Some(r2)) =
            (self.question.topology, ohms.get(Designator::R1), ohms.get(R2))
        else {
            return Ok(None);
        };
        let whole = self.aim.gain;
        let now = whole / (r2 / r1);
        let meets = |first: f64| -> Result<bool, StudyFault> {
            let second = r1 * whole / first;
            let mut changed = self.replaced(&[(R2, second), (R4, second)]);
            let Ok(law) = gain_law(Topology::ThreeOpAmp, &changed.ohms()) else { return Ok(false) };
            let pick = match law.resistor(whole) {
                GainSet::Ohm(ohm) => Pick::single(ohm),
                GainSet::Open => Pick::OPEN,
                GainSet::Below => return Ok(false),
            };
            for value in changed.values.iter_mut().filter(|value| value.name == RG) {
                value.pick = pick;
            }
            Ok(self.held(&self.question, &changed, self.aim)?.missed() == 0)
        };
        let show = |gain: f64| rounded(gain, Unit::Plain, 4);
        match line.limit {
            // more gain in the first stage, the second one down to a tenth
            "rejection" | "rejection_at_interference" if meets(whole * 10.0)? => {
                let first = bisect_between(whole * 10.0, now, meets)?;
                Ok(Some(format!(
                    "a stage-one gain of {} or more (stage two {})",
                    show(first * (1.0 + 5e-5)),
                    show(whole / first)
                )))
            }
            "headroom" | "bandwidth" => {
                // the least first-stage gain that is worse by nothing else may hold; then the greatest one
                let tries = [now / 2.0, now / 4.0, now / 8.0, now / 16.0, 1.0 + 1e-9];
                for good in tries.into_iter().filter(|first| *first >= 1.0 && *first < now) {
                    if meets(good)? {
                        let first = bisect_between(good, now, meets)?;
                        return Ok(Some(format!(
                            "a stage-one gain of {} or less (stage two {})",
                            show(first * (1.0 - 5e-5)),
                            show(whole / first)
                        )));
                    }
                }
                Ok(None)
            }
            _ => Ok(None),
        }
    }

    fn replaced(&self, new: &[(Designator, f64)]) -> Filled {
        let mut filled = self.filled.clone();
        for value in &mut filled.values {
            if let Some((_, ohm)) = new.iter().find(|(name, _)| *name == value.name) {
                value.pick = Pick::single(*ohm);
            }
        }
        filled
    }
}

fn why_not(line: &LimitLine, ideals: &[(Lever, Option<f64>)]) -> Option<String> {
    let reach = |(lever, predicted): &(Lever, Option<f64>)| {
        predicted.map(|value| format!("{} with {}", rounded(value, line.unit, 4), lever.ideally()))
    };
    let told: Vec<String> = ideals.iter().filter_map(reach).take(3).collect();
    match told.is_empty() {
        true => None,
        false => Some(format!("no single change ({})", told.join(", "))),
    }
}

/// The greatest share from 0 (good) to 1 (bad) that is still good.
fn bisect(is_good: impl Fn(f64) -> Result<bool, StudyFault>) -> Result<f64, StudyFault> {
    // where only a tiny share is good, its size is found first
    let (mut good, mut bad) = (0.0, 1.0);
    let mut probe = 0.1;
    while probe > 1e-9 {
        if is_good(probe)? {
            good = probe;
            break;
        }
        bad = probe;
        probe *= 0.1;
    }
    bisect_between(good, bad, is_good)
}

/// The last value between a good and a bad end that is still good.
fn bisect_between(
    mut good: f64,
    mut bad: f64,
    is_good: impl Fn(f64) -> Result<bool, StudyFault>,
) -> Result<f64, StudyFault> {
    for _ in 0..STEPS {
        let middle = f64::midpoint(good, bad);
        if is_good(middle)? { good = middle } else { bad = middle }
    }
    Ok(good)
}
