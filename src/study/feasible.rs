//! Where a limit can be held at all: found between the values one can buy, with the gain met exactly.
use super::aim::Aim;
use super::bench::Bench;
use super::ground::Ground;
use super::place::{Axes, Place};
use super::remedy::only;
use super::trial::trial;
use super::{Question, StudyFault};
use crate::designator::Topology;

/// Steps of split that are looked at, as a ratio.
const STRIDE: f64 = 1.4;
/// Halvings, in ratios: a range of 100 comes down to 5 %.
const HALVINGS: usize = 7;
/// Steps towards a peak: two strides come down to a ten-thousandth.
const SECTIONS: usize = 18;
/// The slope over the gain errors in question may be greater by so much elsewhere.
const SAFETY: f64 = 1.5;
/// By so much more than at the least split a gain error may move a figure at another.
const NONLINEAR: f64 = 1.02;
/// Changes below this share are none.
const FLAT: f64 = 1e-7;

/// Which way a figure improves along one axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Way {
    Less,
    More,
    Flat,
    Any,
}

impl Way {
    /// True where `x` is not on the better side of `than`.
    fn no_better(self, x: f64, than: f64) -> bool {
        let same = (x - than).abs() <= 1e-12 * than.abs();
        match self {
            Self::Less => x >= than || same,
            Self::More => x <= than || same,
            Self::Flat => true,
            Self::Any => same,
        }
    }

    /// Which way holds here and there.
    fn with(self, other: Self) -> Self {
        match (self, other) {
            (Self::Flat, way) | (way, Self::Flat) => way,
            (one, other) if one == other => one,
            _ => Self::Any,
        }
    }

    fn between(low: f64, high: f64, scale: f64) -> Self {
        let change = high - low;
        if change.abs() <= FLAT * scale || low == high {
            Self::Flat
        } else if change > 0.0 {
            Self::More
        } else if change < 0.0 {
            Self::Less
        } else {
            Self::Any
        }
    }
}

/// Which way a figure improves along every axis, the gain error among them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Tendency {
    split: Way,
    stage: Way,
    feedback: Way,
    error: Way,
    /// How much the figure moves for a gain that is off by 1, in its own unit.
    slope: f64,
}

impl Tendency {
    /// True where a set can't hold a limit, since another misses it by `miss` that is no worse in any way, or better
    /// by a gain error that can't make up for so much.
    pub(super) fn no_better(&self, (one, error): (Place, f64), (than, held): (Place, f64), miss: f64) -> bool {
        self.split.no_better(one.split, than.split)
            && self.stage.no_better(one.stage, than.stage)
            && self.feedback.no_better(one.feedback, than.feedback)
            && (self.error.no_better(1.0 + error, 1.0 + held) || miss > SAFETY * self.slope * (error - held).abs())
    }
}

/// Where a limit can be held.
pub(super) enum Feasible {
    /// Nowhere.
    Nowhere,
    /// Nowhere that was looked at: what lies between the steps may be better.
    NotFound,
    /// Inside these ends at the most.
    Within(Axes, Tendency),
}

/// Finds where `limit` can be held.
///
/// Along R1 and RF most figures rise or fall throughout; where one does not, it has one best value in between (a sum of
/// what falls with R1, as the source's imbalance, and what rises with it, as bias current). Along the split of gain most
/// are looked at in steps. The gain errors of the sets that are an answer move a figure a little: by so much the limit
/// is eased.
pub(super) fn feasible(ground: &Ground<'_>, aim: &Aim, limit: &'static str) -> Result<Feasible, StudyFault> {
    let mut asked = ground.question.clone();
    if limit == "headroom" && asked.limits.headroom_v.is_none() {
        asked.limits.headroom_v = Some(0.0);
    }
    asked.limits = only(&asked.limits, limit);
    let mut probe = Probe { ground, aim, ease: 0.0, asked, limit };
    let axes = ground.axes;
    let least = axes.split.map_or(1.0, |ends| ends.0);
    let corner = |split: f64, stage: f64, feedback: f64| Place { split, stage, feedback };
    let (s, f) = (axes.stage, axes.feedback);
    let first = probe.slack(corner(least, s.0, f.0), 1.0)?;
    let scale = probe.scale().max(first.abs().min(1e300));
    // what makes no odds at one split may at another: capacitance across R1 to R4 where their stage has gain
    let splits = axes.split.map_or(vec![1.0], |(low, high)| vec![low, (low * high).sqrt(), high]);
    let (mut stage, mut feedback) = (Way::Flat, Way::Flat);
    for split in splits {
        stage = stage.with(direction(s, scale, &|stage| probe.slack(corner(split, stage, f.0), 1.0))?.0);
        feedback = feedback.with(direction(f, scale, &|feedback| probe.slack(corner(split, s.0, feedback), 1.0))?.0);
    }
    let best = |way: Way, ends: (f64, f64)| if way == Way::More { ends.1 } else { ends.0 };
    let (s_best, f_best) = (best(stage, s), best(feedback, f));
    let more = probe.slack(corner(least, s.0, f.0), 1.0 + ground.admitted)?;
    let fewer = probe.slack(corner(least, s.0, f.0), 1.0 - ground.admitted)?;
    let error = Way::between(first, more, scale);
    let moved =
        [more, fewer].map(|one| (one - first).abs()).into_iter().filter(|by| by.is_finite()).fold(0.0, f64::max);
    let slope = moved / ground.admitted;
    probe.ease = NONLINEAR * moved + FLAT * scale;
    // a best value in between is another one at every split
    let place = |split: f64| -> Result<Place, StudyFault> {
        let mut place = corner(split, s_best, f_best);
        if stage == Way::Any {
            place.stage = direction(s, scale, &|stage| probe.slack(Place { stage, ..place }, 1.0))?.1;
        }
        if feedback == Way::Any {
            place.feedback = direction(f, scale, &|feedback| probe.slack(Place { feedback, ..place }, 1.0))?.1;
        }
        Ok(place)
    };
    let at = |split: f64| probe.slack(place(split)?, 1.0);
    let (split, range) = match along(&probe, axes.split, &at)? {
        Split::Fails { sure: true } => return Ok(Feasible::Nowhere),
        Split::Fails { sure: false } => return Ok(Feasible::NotFound),
        Split::Holds(way, best, range) => ((way, best), range),
    };
    let along_stage = |stage: f64| probe.slack(corner(split.1, stage, f_best), 1.0);
    let along_feedback = |feedback: f64| probe.slack(corner(split.1, s_best, feedback), 1.0);
    let within = Axes {
        split: range,
        stage: narrowed(stage, s, probe.ease, &along_stage)?,
        feedback: narrowed(feedback, f, probe.ease, &along_feedback)?,
        ..axes
    };
    Ok(Feasible::Within(within, Tendency { split: split.0, stage, feedback, error, slope }))
}

/// Which way a figure improves along an axis, and the best place on it; slopes at both ends tell a peak between them.
fn direction(
    (low, high): (f64, f64),
    scale: f64,
    at: &dyn Fn(f64) -> Result<f64, StudyFault>,
) -> Result<(Way, f64), StudyFault> {
    if low == high {
        return Ok((Way::Flat, low));
    }
    let looked_at = [0.0, 0.01, 0.5, 0.99, 1.0].map(|share| low * libm::pow(high / low, share));
    let seen = looked_at.map(|x| Ok((x, at(x)?))).into_iter().collect::<Result<Vec<_>, StudyFault>>()?;
    let way = throughout(&seen, scale);
    let best = match way {
        Way::Less | Way::Flat => low,
        Way::More => high,
        Way::Any => peak(around_highest(&seen), at)?.0,
    };
    Ok((way, best))
}

/// Which way a figure goes from each place to the next, where it is the same way everywhere.
fn throughout(seen: &[(f64, f64)], scale: f64) -> Way {
    let ways: Vec<Way> = seen.windows(2).map(|pair| Way::between(pair[0].1, pair[1].1, scale)).collect();
    let all = |way: Way| ways.iter().all(|one| *one == way || *one == Way::Flat);
    match (all(Way::Flat), all(Way::More), all(Way::Less)) {
        (true, ..) => Way::Flat,
        (_, true, _) => Way::More,
        (_, _, true) => Way::Less,
        _ => Way::Any,
    }
}

struct Probe<'a> {
    ground: &'a Ground<'a>,
    aim: &'a Aim,
    asked: Question,
    limit: &'static str,
    ease: f64,
}

impl Probe<'_> {
    /// By how much the limit is met at a place, in its own unit; the gain `by` times the one wanted.
    fn slack(&self, place: Place, by: f64) -> Result<f64, StudyFault> {
        let gain = self.ground.brief.wish.gain * by;
        let Some(filled) = self.ground.axes.filled(&self.ground.brief, gain, place) else {
            return Ok(f64::NEG_INFINITY);
        };
        let cornered = matches!(self.limit, "gain_error" | "rejection" | "total_error");
        let bench = match cornered {
            true => Bench::new(&self.asked, &filled)?,
            false => Bench::nominal(&self.asked, &filled)?,
        };
        // the limit on the gain error is one of the spread here
        let aim = Aim {
            gain: if self.limit == "gain_error" { bench.nominal.differential } else { self.aim.gain },
            ..*self.aim
        };
        let told = trial(&self.asked, &aim, &bench)?;
        Ok(match told.lines.first() {
            Some(line) => {
                line.margin.unwrap_or(if line.met == Some(false) { f64::NEG_INFINITY } else { f64::INFINITY })
            }
            None => f64::INFINITY,
        })
    }

    /// What a change is measured against.
    fn scale(&self) -> f64 {
        let l = &self.asked.limits;
        [
            l.gain_error,
            l.rejection_db,
            l.rejection_at_interference_db,
            l.offset_v,
            l.noise_v,
            l.bandwidth_hz,
            l.differential_impedance_ohm,
            l.total_error,
            l.headroom_v,
        ]
        .into_iter()
        .flatten()
        .fold(0.0, |held, one: f64| held.max(one.abs()))
    }
}

enum Split {
    Fails {
        sure: bool,
    },
    /// Which way it improves, the best split that was seen, and the ends.
    Holds(Way, f64, Option<(f64, f64)>),
}

/// What the split of gain does to a limit.
fn along(
    probe: &Probe<'_>,
    ends: Option<(f64, f64)>,
    at: &dyn Fn(f64) -> Result<f64, StudyFault>,
) -> Result<Split, StudyFault> {
    let Some((low, high)) = ends else {
        let held = at(1.0)? >= -probe.ease;
        return Ok(if held { Split::Holds(Way::Flat, 1.0, None) } else { Split::Fails { sure: true } });
    };
    // stage one's gain is what these live on; with frequency its bandwidth counts as well
    let falls =
        probe.ground.axes.topology == Topology::ThreeOpAmp && matches!(probe.limit, "rejection" | "noise" | "offset");
    let first = at(low)?;
    if falls {
        if first < -probe.ease {
            return Ok(Split::Fails { sure: true });
        }
        let end = if at(high)? >= -probe.ease { high } else { edge(low, high, probe.ease, at)? };
        return Ok(Split::Holds(Way::Less, low, Some((low, end))));
    }
    let mut seen = vec![(low, first)];
    let mut split = low;
    while split < high {
        split = (split * STRIDE).min(high);
        seen.push((split, at(split)?));
    }
    let peaked = probe.limit == "headroom";
    if peaked && seen.iter().all(|one| one.1 < -probe.ease) {
        let peak = peak(around_highest(&seen), at)?;
        seen.insert(seen.partition_point(|one| one.0 < peak.0), peak);
    }
    let way = throughout(&seen, probe.scale());
    let top = highest(&seen);
    if seen[top].1 < -probe.ease {
        // between two steps it can hardly be better than the best by more than the steps differ
        let near = [top.checked_sub(1), Some(top + 1)].into_iter().flatten().filter_map(|at| seen.get(at));
        let step = near.map(|one| (seen[top].1 - one.1).abs()).fold(0.0, f64::max);
        return Ok(Split::Fails { sure: peaked || way != Way::Any || seen[top].1 + step < -probe.ease });
    }
    let holds = |one: &(f64, f64)| one.1 >= -probe.ease;
    let (first, last) = (seen.iter().position(holds).unwrap_or(0), seen.iter().rposition(holds).unwrap_or(0));
    let from = match first.checked_sub(1) {
        Some(before) => edge(seen[first].0, seen[before].0, probe.ease, at)?,
        None => low,
    };
    let to = match seen.get(last + 1) {
        Some(after) => edge(seen[last].0, after.0, probe.ease, at)?,
        None => high,
    };
    Ok(Split::Holds(way, seen[top].0, Some((from, to))))
}

fn highest(seen: &[(f64, f64)]) -> usize {
    (0..seen.len()).max_by(|&a, &b| seen[a].1.total_cmp(&seen[b].1)).unwrap_or(0)
}

/// The places next to the best one.
fn around_highest(seen: &[(f64, f64)]) -> (f64, f64) {
    let top = highest(seen);
    (seen[top.saturating_sub(1)].0, seen[(top + 1).min(seen.len() - 1)].0)
}

/// The greatest slack between two places, by golden section.
///
/// For headroom there is one peak: with the gain met each voltage is a ratio of two terms linear in the split, so
/// its distance from a limit rises or falls throughout, and the least of several such has no second peak.
fn peak((low, high): (f64, f64), at: &dyn Fn(f64) -> Result<f64, StudyFault>) -> Result<(f64, f64), StudyFault> {
    const SECTION: f64 = 0.618_033_988_749_894_9;
    let between = |share: f64| low * libm::pow(high / low, share);
    let (mut from, mut to) = (0.0, 1.0);
    let (mut one, mut other) = (1.0 - SECTION, SECTION);
    let (mut at_one, mut at_other) = (at(between(one))?, at(between(other))?);
    for _ in 0..SECTIONS {
        if at_one > at_other {
            (to, other, at_other) = (other, one, at_one);
            one = to - SECTION * (to - from);
            at_one = at(between(one))?;
        } else {
            (from, one, at_one) = (one, other, at_other);
            other = from + SECTION * (to - from);
            at_other = at(between(other))?;
        }
    }
    Ok(if at_one > at_other { (between(one), at_one) } else { (between(other), at_other) })
}

/// The last place between a good and a bad one, on the bad side.
fn edge(good: f64, bad: f64, ease: f64, at: &dyn Fn(f64) -> Result<f64, StudyFault>) -> Result<f64, StudyFault> {
    let (mut good, mut bad) = (good, bad);
    for _ in 0..HALVINGS {
        let middle = (good * bad).sqrt();
        if at(middle)? >= -ease { good = middle } else { bad = middle }
    }
    Ok(bad)
}

/// The ends of an axis within which a limit can be held, everything else at its best.
fn narrowed(
    way: Way,
    ends: (f64, f64),
    ease: f64,
    at: &dyn Fn(f64) -> Result<f64, StudyFault>,
) -> Result<(f64, f64), StudyFault> {
    let (good, bad) = match way {
        Way::Less => ends,
        Way::More => (ends.1, ends.0),
        Way::Flat | Way::Any => return Ok(ends),
    };
    if good == bad || at(bad)? >= -ease {
        return Ok(ends);
    }
    let end = edge(good, bad, ease, at)?;
    Ok(if way == Way::Less { (ends.0, end) } else { (end, ends.1) })
}
