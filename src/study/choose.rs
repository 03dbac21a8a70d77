//! Every open value together, in the contract's order of wishes.
//!
//! First the best set whatever the limits. Where it holds them it is the answer. Where it misses some, the
//! places where each of those can be held are found ([`super::feasible`]), and the sets that stand there are judged
//! in the order of wishes ([`super::judge`]): the first that holds every limit is the best there is.
use super::aim::Aim;
use super::bench::Bench;
use super::feasible::{Feasible, feasible};
use super::ground::{Ground, divides};
use super::remedy::only;
use super::trial::{Trial, trial};
use super::{Limits, Prefer, Question, StudyFault};
use crate::designator::{Amp, Designator, Topology};
use crate::sizing::{Filled, First, Ranked, Wishes};
use crate::textbook::WhiteNoise;
use drawn::Drawn;
use search::{End, Found, LISTED, Search};

mod drawn;
mod search;

/// The chosen set and what it was chosen among.
pub(super) struct Choice {
    pub(super) filled: Filled,
    pub(super) bench: Bench,
    pub(super) trial: Trial,
    /// Sets of values in the order of wishes, the chosen one among them.
    pub(super) ranked: Vec<Ranked>,
    /// Sets that would have been better but for the limit they miss.
    pub(super) refused: Vec<(Filled, &'static str)>,
    /// What was searched.
    pub(super) search: Searched,
    /// The yield asked for holds, as far as it was drawn.
    yields: bool,
}

impl Choice {
    /// True where every limit is held that can be told.
    pub(super) fn holds(&self) -> bool {
        self.missed().is_empty()
    }

    /// The limits that are missed, by their keys.
    pub(super) fn missed(&self) -> Vec<String> {
        let lines = self.trial.lines.iter().filter(|line| line.met == Some(false)).map(|line| line.limit);
        let mut all: Vec<&str> = self.search.out_of_reach.iter().copied().chain(lines).collect();
        if !self.trial.fits {
            all.push("headroom");
        }
        if !self.yields {
            all.push("yield");
        }
        let mut seen = std::collections::BTreeSet::new();
        all.retain(|limit| seen.insert(*limit));
        all.into_iter().map(str::to_owned).collect()
    }
}

/// What a search for values has shown.
#[derive(Clone, Debug, PartialEq)]
pub struct Searched {
    /// True where no other set of values comes before the chosen one in the order of wishes, limits first.
    pub proven: bool,
    /// Limits that no set of values in the ranges holds.
    pub out_of_reach: Vec<&'static str>,
    /// What was searched and what is not decided, in words; empty where there is nothing to say.
    pub note: String,
}

/// Chooses the open values of `question` for its aim, and lists others beside them.
///
/// Limits that nothing holds are given up, so that the others are held. R5 and R6 of a difference stage are taken
/// where no set without them holds the signal inside the op amp's limits.
pub(super) fn choose(question: &Question, aim: &Aim) -> Result<Choice, StudyFault> {
    choose_beside(question, aim, LISTED)
}

/// The same with as many sets beside the chosen one as `listed`.
pub(super) fn choose_beside(question: &Question, aim: &Aim, listed: usize) -> Result<Choice, StudyFault> {
    let (plain, rough) = Ground::new(question, aim.gain)?;
    let mut drawn = Drawn::new(question, aim);
    let free = match open(question) {
        true => Search::new(&plain, aim, question, true).freely(listed)?,
        false => Found { chosen: plain.rough.clone(), ranked: vec![plain.rough.clone()] },
    };
    let bench = match free.chosen.filled.values == plain.rough.filled.values {
        true => rough,
        false => Bench::new(question, &free.chosen.filled)?,
    };
    let told = trial(question, aim, &bench)?;
    let shopping = !question.resistors.grades.is_empty() || !question.candidates.is_empty();
    // where nothing is open boards are drawn for the sake of the price alone
    let yields = told.holds() && (!open(question) && !shopping || drawn.holds(&bench)? == Some(true));
    if yields || !open(question) {
        let free = choice(free, (bench, told), Vec::new(), Searched::proven(Vec::new()));
        return Ok(Choice { yields, ..free });
    }
    let divided = plain.divided()?;
    let mut ground = &plain;
    let mut asked = question.clone();
    let mut out_of_reach: Vec<&'static str> = Vec::new();
    let mut fit = true;
    loop {
        let mut search = Search::new(ground, aim, &asked, fit);
        let end = search.within_limits(&told, &mut drawn)?;
        let yields = search.yields();
        let (searched, refused) = search.end(&drawn);
        let dividing = || divided.as_ref().filter(|other| !std::ptr::eq(*other, ground));
        match end {
            End::Found(found, judged) => {
                // where all miss the yield those drawn for it are no alternatives
                let same = !yields && found.chosen.filled == free.chosen.filled;
                let (found, refused) = if same { (free, Vec::new()) } else { (found, refused) };
                let found = choice(found, *judged, refused, Searched { out_of_reach, ..searched });
                return Ok(Choice { yields, ..found });
            }
            End::Nowhere("headroom") if fit && dividing().is_some() => ground = dividing().unwrap_or(ground),
            End::Nowhere(limit) => {
                // the signal has to fit where more room than that can't be had
                fit &= limit != "headroom" || asked.limits.headroom_v.is_some_and(|least| least > 0.0);
                if !out_of_reach.contains(&limit) {
                    out_of_reach.push(limit);
                }
                asked.limits = without(&asked.limits, limit);
                if !fit {
                    ground = &plain;
                }
                if trial(&asked, aim, &bench)?.first_missed(fit).is_none() && drawn.holds(&bench)? == Some(true) {
                    return Ok(choice(free, (bench, told), Vec::new(), Searched::proven(out_of_reach)));
                }
            }
            End::NotFound { room: true } if dividing().is_some() => ground = dividing().unwrap_or(ground),
            End::NotFound { .. } => {
                let mut searched = Searched { out_of_reach, ..searched };
                if searched.proven {
                    searched.note =
                        "No set of values in the ranges allowed holds all of the limits together.".to_owned();
                }
                return fallback(ground, (aim, &asked), (free, bench, told), searched);
            }
        }
    }
}

/// True where one of these limits is held by no set of values.
pub(super) fn nowhere(
    question: &Question,
    aim: &Aim,
    limits: impl Iterator<Item = &'static str>,
) -> Result<bool, StudyFault> {
    let (plain, _) = Ground::new(question, aim.gain)?;
    let divided = plain.divided()?;
    for limit in limits {
        let mut held = false;
        for ground in [Some(&plain), divided.as_ref()].into_iter().flatten() {
            held |= !matches!(feasible(ground, aim, limit)?, Feasible::Nowhere);
        }
        if !held {
            return Ok(true);
        }
    }
    Ok(false)
}

/// What is taken where no set of values holds all limits together: where R5 and R6 are needed for the signal to stay
/// inside the op amp's limits the best set with which it does, else the best whatever the limits.
fn fallback(
    ground: &Ground<'_>,
    (aim, asked): (&Aim, &Question),
    (free, bench, told): (Found, Bench, Trial),
    searched: Searched,
) -> Result<Choice, StudyFault> {
    if ground.is_divided() {
        let alone = Question { limits: only(&asked.limits, "headroom"), ..asked.clone() };
        let mut undrawn = Drawn::new(&alone, aim);
        let mut search = Search::new(ground, aim, &alone, true);
        if let End::Found(found, judged) = search.within_limits(&told, &mut undrawn)? {
            return Ok(choice(found, *judged, Vec::new(), searched));
        }
    }
    Ok(choice(free, (bench, told), Vec::new(), searched))
}

impl Searched {
    fn proven(out_of_reach: Vec<&'static str>) -> Self {
        Self { proven: true, out_of_reach, note: String::new() }
    }
}

fn choice(
    found: Found,
    (bench, trial): (Bench, Trial),
    refused: Vec<(Filled, &'static str)>,
    search: Searched,
) -> Choice {
    Choice { filled: found.chosen.filled, bench, trial, ranked: found.ranked, refused, search, yields: true }
}

fn without(limits: &Limits, limit: &str) -> Limits {
    let mut out = *limits;
    match limit {
        "gain_error" => out.gain_error = None,
        "rejection" => out.rejection_db = None,
        "rejection_at_interference" => out.rejection_at_interference_db = None,
        "headroom" => out.headroom_v = None,
        "offset" => out.offset_v = None,
        "noise" => out.noise_v = None,
        "bandwidth" => out.bandwidth_hz = None,
        "differential_impedance" => out.differential_impedance_ohm = None,
        "total_error" => out.total_error = None,
        _ => {}
    }
    out
}

/// True where a value is free to be taken.
fn open(question: &Question) -> bool {
    let fixed = &question.resistors.fixed;
    match question.topology {
        _ if divides(question) => true,
        Topology::SingleChip => !fixed.contains_key(&Designator::RG),
        topology => topology.resistors().iter().any(|name| !fixed.contains_key(name)),
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
            kelvin: question.environment.calibrated_at_k(),
        },
    }
}

pub(super) fn no_value() -> StudyFault {
    StudyFault {
        code: "nothing-in-range",
        key: "resistors".to_owned(),
        message: "the stock holds no set of values for this gain".to_owned(),
        help: "a wider range, or a series with more values".to_owned(),
    }
}
