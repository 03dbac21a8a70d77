//! Every open value together, in the contract's order of wishes.
//!
//! Limits first: sets of values are tried best first until one holds every limit that values can hold.
//! Where the whole order fails at the first split of gain, other splits and greater values are tried;
//! where nothing holds them, the best set by the other wishes is taken.
use super::aim::Aim;
use super::bench::Bench;
use super::fill::{Brief, brief};
use super::trial::{Trial, trial};
use super::{Prefer, Question, StudyFault};
use crate::designator::{Amp, Designator, Topology};
use crate::sizing::{Filled, First, Ranked, Wishes};
use crate::textbook::WhiteNoise;

/// 0 °C, K.
const FREEZING_K: f64 = 273.15;
/// Sets listed beside the chosen one.
const LISTED: usize = 24;
/// Sets that are tried at one split of gain before the next one.
const TRIED: usize = 4;
/// Sets whose exact gain is compared.
const FINALISTS: usize = 12;
/// A tenth of the worst-case spread counts as equal.
const EQUAL_SHARE: f64 = 0.1;

/// The chosen set and what it was chosen among.
pub(super) struct Choice {
    pub(super) filled: Filled,
    pub(super) bench: Bench,
    pub(super) trial: Trial,
    /// The sets of values ranked at the chosen split, the chosen one among them.
    pub(super) ranked: Vec<Ranked>,
}

/// Chooses the open values of `question` for its aim.
pub(super) fn choose(question: &Question, aim: &Aim) -> Result<Choice, StudyFault> {
    let first = at_split(question, aim, None, 1.0, TRIED)?;
    if first.trial.holds() || !open(question) {
        return Ok(first);
    }
    let mut best = first;
    for (split, scale) in detours(question, aim) {
        let Ok(other) = at_split(question, aim, split, scale, TRIED) else { continue };
        if other.trial.holds() {
            return nearest_holding(question, aim, split, scale, other);
        }
    }
    // nothing holds all: the order without limits decides, at the usual split
    if best.trial.missed() > 0 || !best.trial.fits {
        best = at_split(question, aim, None, 1.0, 1)?;
    }
    Ok(best)
}

/// True where another split of gain or greater values are free to be taken.
fn open(question: &Question) -> bool {
    question.topology != Topology::SingleChip
        && Designator::ALL
            .iter()
            .any(|name| question.topology.resistors().contains(name) && !question.resistors.fixed.contains_key(name))
}

/// Other splits of gain (ascending: the least noise first), and greater values.
fn detours(question: &Question, aim: &Aim) -> Vec<(Option<f64>, f64)> {
    const STEPS: [f64; 12] = [1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2];
    const SCALES: [f64; 6] = [2.0, 5.0, 10.0, 20.0, 50.0, 100.0];
    let mut all = Vec::new();
    let ladder = || (0..4).flat_map(|tens| STEPS.map(|step| step * libm::exp10(f64::from(tens))));
    match question.topology {
        Topology::ThreeOpAmp if question.stage_two_gain.is_none() => {
            all.extend(ladder().skip(1).take_while(|&split| split <= aim.gain).map(|split| (Some(split), 1.0)));
        }
        Topology::TwoOpAmp => {
            let room = aim.gain - 1.0;
            all.extend(ladder().skip(1).take_while(|&split| split <= 0.9 * room).map(|split| (Some(split), 1.0)));
        }
        _ => {}
    }
    all.extend(SCALES.map(|scale| (None, scale)));
    all
}

/// Between the last step that failed and the first that holds, the least one that holds.
fn nearest_holding(
    question: &Question,
    aim: &Aim,
    split: Option<f64>,
    scale: f64,
    found: Choice,
) -> Result<Choice, StudyFault> {
    let mut held = found;
    let (mut good, mut bad) = match split {
        Some(split) => (split, split / 1.25),
        None => (scale, scale / 2.5),
    };
    for _ in 0..6 {
        let middle = (good * bad).sqrt();
        let at = if split.is_some() { (Some(middle), 1.0) } else { (None, middle) };
        match at_split(question, aim, at.0, at.1, TRIED) {
            Ok(other) if other.trial.holds() => {
                held = other;
                good = middle;
            }
            _ => bad = middle,
        }
    }
    Ok(held)
}

/// The best set at one split of gain and one scale: the first of `tried` that holds the limits, else the first.
fn at_split(
    question: &Question,
    aim: &Aim,
    split: Option<f64>,
    scale: f64,
    tried: usize,
) -> Result<Choice, StudyFault> {
    let ranked = ranked(question, aim.gain, split, scale)?;
    let mut first = None;
    let mut tries = 0;
    for one in &ranked {
        if tries >= tried.max(1) {
            break;
        }
        // how much nominal error the limit leaves beside the spread, which hardly depends on the set
        let room = first.as_ref().and_then(|(_, bench, _): &(Filled, Bench, Trial)| room(question, aim, bench));
        if room.is_some_and(|room| one.error.abs() > room) {
            continue;
        }
        tries += 1;
        let bench = Bench::new(question, &one.filled)?;
        let trial = trial(question, aim, &bench)?;
        let holds = trial.holds();
        if first.is_none() || holds {
            first = Some((one.filled.clone(), bench, trial));
        }
        if holds {
            break;
        }
    }
    let (filled, bench, trial) = first.ok_or_else(|| no_value("the stock holds no set of values for this gain"))?;
    Ok(Choice { filled, bench, trial, ranked })
}

/// The nominal gain error that a limit on the whole leaves; with a little to spare, as sets differ a little.
fn room(question: &Question, aim: &Aim, bench: &Bench) -> Option<f64> {
    let limit = question.limits.gain_error?;
    let half = (bench.worst.gain_high - bench.worst.gain_low).abs() / (2.0 * aim.gain);
    Some((limit - 0.98 * half).max(0.0))
}

/// Sets ranked by their exact gains: what source loading and finite op amps take away is asked for in addition.
fn ranked(question: &Question, gain: f64, split: Option<f64>, scale: f64) -> Result<Vec<Ranked>, StudyFault> {
    let mut brief = brief(question, gain)?;
    match question.topology {
        Topology::TwoOpAmp => brief.wish.split = split,
        _ => brief.wish.stage_two_gain = split.or(brief.wish.stage_two_gain),
    }
    if scale > 1.0 {
        scaled(question, &mut brief, scale);
    }
    let mut wishes = wishes(question, 0.0);
    let rough = brief.ranked(question, &wishes, 1)?;
    let Some(rough) = rough.first() else { return Err(no_value("the stock holds no value")) };
    let bench = Bench::new(question, &rough.filled)?;
    wishes.equal = EQUAL_SHARE * (bench.worst.gain_high - bench.worst.gain_low).abs() / gain;
    if brief.rules.fixed.len() >= question.topology.resistors().len() {
        let sets = brief.ranked(question, &wishes, LISTED)?;
        return Ok(sets);
    }
    let share = loss(rough, &bench, &brief);
    if share > 0.0 && share.is_finite() {
        brief.wish.gain = gain / share;
    }
    let asked = brief.ranked(question, &wishes, LISTED).or_else(|fault| {
        // the gain that loading asks for may be out of reach where the gain wanted is not
        brief.wish.gain = gain;
        brief.ranked(question, &wishes, LISTED).map_err(|_| fault)
    })?;
    by_exact_gain(question, asked, &wishes, gain)
}

/// What is left of the gain by the book, the source in front of R1 apart.
fn loss(set: &Ranked, bench: &Bench, brief: &Brief) -> f64 {
    let book = (1.0 + set.error) * brief.wish.gain;
    bench.nominal.differential / book
}

/// The finalists once more, by the gain of the whole network.
fn by_exact_gain(
    question: &Question,
    mut sets: Vec<Ranked>,
    wishes: &Wishes,
    gain: f64,
) -> Result<Vec<Ranked>, StudyFault> {
    let mut exact = Vec::new();
    for set in sets.iter().take(FINALISTS) {
        let error = Bench::gain(question, &set.filled)? / gain - 1.0;
        exact.push(set.clone().with_error(error, wishes));
    }
    exact.sort_by(|a, b| a.compare(b, wishes.first));
    let rest = sets.split_off(exact.len());
    exact.extend(rest);
    Ok(exact)
}

/// R1 and RF from `scale` times their least values up, where they are open and their range is not asked for.
fn scaled(question: &Question, brief: &mut Brief, scale: f64) {
    let asked = &question.resistors.range;
    for name in [Designator::R1, Designator::R2, Designator::R3, Designator::R4] {
        if !asked.contains_key(&name) && question.topology != Topology::TwoOpAmp {
            brief.rules.range.insert(name, ((10e3 * scale).min(1e6), 10e6));
        }
    }
    for name in [Designator::RF1, Designator::RF2] {
        if !asked.contains_key(&name) && question.topology == Topology::ThreeOpAmp {
            brief.rules.range.insert(name, ((10e3 * scale).min(90e3), 100e3));
        }
    }
}

/// The wishes of a question; gain errors up to `equal` count as equal.
pub(super) fn wishes(question: &Question, equal: f64) -> Wishes {
    let of = |read: fn(&crate::part::OpAmp) -> Option<f64>| {
        [Amp::A1, Amp::A2, Amp::A3].map(|amp| question.opamps.get(&amp).and_then(read).unwrap_or(0.0))
    };
    Wishes {
        equal,
        first: match question.target.prefer {
            Prefer::Gain | Prefer::Price => First::Gain,
            Prefer::Parts => First::Parts,
            Prefer::Noise => First::Noise,
        },
        noise: WhiteNoise {
            voltage: of(|data| data.voltage_noise_v_per_rthz),
            current: of(|data| data.current_noise_a_per_rthz),
            kelvin: question.environment.calibrated_at_c + FREEZING_K,
        },
    }
}

fn no_value(message: &str) -> StudyFault {
    StudyFault {
        code: "nothing-in-range",
        key: "resistors".to_owned(),
        message: message.to_owned(),
        help: "a wider range, or a series with more values".to_owned(),
    }
}
