//! Several gains, switched: one tapped string, or a gain-set resistor for each.
use super::bench::Bench;
use super::fill::{brief, stock_of};
use super::purchase::buy;
use super::row::row;
use super::{GainWish, LimitLine, Question, StudyFault, headroom, unsolved};
use crate::designator::{Designator, Topology};
use crate::part::Fixed;
use crate::sizing::{Filled, First, Pick, Ranked, Value, Wishes, tapped};
use Designator::{RF1, RF2, RG};

/// How the gains are switched.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// Two switches at the inverting inputs choose the taps of one string: they carry no signal current.
    Tapped,
    /// A switch in series with each RG: its resistance counts.
    Separate,
}

impl Form {
    /// The word in flags and JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Tapped => "tapped",
            Self::Separate => "separate",
        }
    }
}

/// The answer to `gains`.
#[derive(Clone, Debug, PartialEq)]
pub struct SwitchedAnswer {
    /// Title of the spec.
    pub title: String,
    /// The circuit.
    pub topology: Topology,
    /// How the gains are switched.
    pub form: Form,
    /// All resistors, each value once with its count.
    pub resistors: Vec<SwitchedResistor>,
    /// In the order asked for.
    pub gains: Vec<SwitchedGain>,
}

/// A resistor of the switched circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct SwitchedResistor {
    /// `RG1` for the first gain and so on; `RT0` in the middle of a string, `RT1` the pair around it.
    pub name: String,
    /// Ω; `None`: no resistor, the gain stands without.
    pub ohm: Option<f64>,
    /// How many.
    pub count: usize,
}

/// One gain.
#[derive(Clone, Debug, PartialEq)]
pub struct SwitchedGain {
    /// Wanted, V/V.
    pub target: f64,
    /// Nominal.
    pub gain: f64,
    /// Least relative error over all corners.
    pub error_low: f64,
    /// Greatest.
    pub error_high: f64,
    /// Least rejection over all corners, dB.
    pub rejection_db: Option<f64>,
    /// Headroom at full scale, V; `None`: not predicted.
    pub headroom_v: Option<f64>,
    /// The limits that are set, held against the figures at this gain and its signal.
    pub limits: Vec<LimitLine>,
}

impl SwitchedGain {
    /// True where every limit is met and predicted.
    #[must_use]
    pub fn met(&self) -> bool {
        self.limits.iter().all(|line| line.met == Some(true))
    }
}

impl SwitchedAnswer {
    /// True where every gain meets its limits.
    #[must_use]
    pub fn met(&self) -> bool {
        self.gains.iter().all(SwitchedGain::met)
    }
}

/// Answers `gains`: values from the stock so that the worst nominal gain error is least.
///
/// Limits hold at each gain, with the differential range scaled to the same output as at the spec's own target.
///
/// Gains are in V/V and above 0; a tapped string takes those that are at least the gain of the stage behind. Between
/// the taps of gain `G` lies `P`, the whole string is `S`, and `G = S/P` (the gain law of the three-op-amp circuit
/// with the string's halves as RF1 and RF2).
///
/// # Errors
/// [`StudyFault`] for gains the circuit can't have, for a form it can't take, and where no value does it.
///
/// ```
/// use evenkeel::spec::{NoFiles, read};
/// use evenkeel::study::{Form, switched};
///
/// let spec = read("s.toml", "[target]\ngain = 100\n[circuit]\nstage_two_gain = 1\n", &NoFiles)?;
/// let question = &spec.channels[0].question;
/// let answer = switched(question, &[1.0, 10.0, 100.0], Form::Tapped)?;
/// let string = || answer.resistors.iter().filter(|one| one.name.starts_with("RT"));
/// let whole: f64 = string().filter_map(|one| Some(one.ohm? * one.count as f64)).sum();
/// let middle = string().find(|one| one.name == "RT0").and_then(|one| one.ohm).ok_or("the middle")?;
/// // the greatest gain is taken across the middle alone, with ideal op amps
/// assert!((answer.gains[2].gain / (whole / middle) - 1.0).abs() < 1e-6);
/// assert!(answer.gains.iter().all(|one| (one.gain / one.target - 1.0).abs() < 0.01));
/// let fault = switched(question, &[], Form::Tapped).unwrap_err();
/// assert_eq!(fault.code, "no-such-gains");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn switched(question: &Question, gains: &[f64], form: Form) -> Result<SwitchedAnswer, StudyFault> {
    let topology = question.topology;
    if !topology.gain_set_by_one() || (form == Form::Tapped && topology != Topology::ThreeOpAmp) {
        let help = "take `three-op-amp`, or `--form separate` with `two-op-amp`";
        return Err(fault("circuit.topology", format!("`{topology}` has no {} gains", form.name()), help));
    }
    if gains.is_empty() {
        return Err(fault("GAINS", "no gain is asked for".to_owned(), "give gains, as `1,10,100`"));
    }
    let greatest = gains.iter().copied().fold(0.0, f64::max);
    let base = at_gain(question, super::aim::aim(question)?.gain, greatest);
    let aim = super::aim::aim(&base)?;
    let bought = buy(&base, &aim)?;
    let (question, filled) = (&bought.question, &bought.choice.filled);
    match form {
        Form::Separate => separate(question, filled, gains),
        Form::Tapped => string(question, filled, gains),
    }
}

/// The question at another gain than its `own`: a signal that makes the same output.
fn at_gain(question: &Question, own: f64, gain: f64) -> Question {
    let mut out = question.clone();
    out.target.gain = GainWish::Ratio(gain);
    out.resistors.fixed.remove(&RG);
    if out.topology == Topology::ThreeOpAmp {
        // the stage behind is shared by all gains: the least of them has to be in reach
        out.stage_two_gain.get_or_insert(1.0);
    }
    if let Some(span) = &mut out.signal.differential {
        let by = own / gain;
        (span.low, span.high) = (span.low * by, span.high * by);
    }
    out
}

/// On-resistance and how far it may be off, Ω.
fn on(question: &Question) -> (f64, f64) {
    let switch = question.switch;
    let ohm = switch.on_resistance_ohm.unwrap_or(0.0);
    let drift = switch.tempco_per_k.unwrap_or(0.0) * question.environment.reach_k() * ohm;
    (ohm, switch.on_resistance_match_ohm.unwrap_or(0.0) + drift)
}

fn separate(question: &Question, filled: &Filled, gains: &[f64]) -> Result<SwitchedAnswer, StudyFault> {
    let (on_ohm, off_ohm) = on(question);
    let mut wired = question.clone();
    wired.strays.rg_resistance_ohm += on_ohm;
    // the feedback is shared: the one with the least worst error over all gains
    let feedback = feedbacks(&wired, filled)?;
    let mut best: Option<(f64, Vec<Filled>)> = None;
    let mut why = nothing_fits("resistors", "no value fits".to_owned(), "a wider range");
    for fixed in feedback {
        let mut held = wired.clone();
        held.resistors.fixed.extend(fixed);
        let every = gains.iter().map(|&gain| nearest(&held, gain)).collect::<Result<Option<Vec<Ranked>>, _>>();
        let sets = match every {
            Ok(Some(sets)) => sets,
            Ok(None) => continue,
            // another feedback may do what this one can't
            Err(fault) if fault.no_value() => {
                why = fault;
                continue;
            }
            Err(fault) => return Err(fault),
        };
        let worst = sets.iter().map(|set| set.error.abs()).fold(0.0, f64::max);
        if best.as_ref().is_none_or(|held| worst < held.0 - 1e-15) {
            best = Some((worst, sets.into_iter().map(|set| set.filled).collect()));
        }
    }
    let Some((_, sets)) = best else { return Err(why) };
    let mut resistors = Vec::new();
    let mut lines = Vec::new();
    for (at, (gain, set)) in gains.iter().zip(&sets).enumerate() {
        resistors.push(SwitchedResistor { name: format!("RG{}", at + 1), ohm: set.ohms().get(RG), count: 1 });
        let mut line = told(&wired, set, *gain)?;
        for other in [-off_ohm, off_ohm] {
            if off_ohm > 0.0 && set.ohms().get(RG).is_some() {
                let mut moved = wired.clone();
                moved.strays.rg_resistance_ohm = (moved.strays.rg_resistance_ohm + other).max(0.0);
                line = worse(line, &told(&moved, set, *gain)?);
            }
        }
        lines.push(line);
    }
    if let Some(set) = sets.first() {
        resistors.extend(others(set));
    }
    Ok(answer(question, Form::Separate, resistors, lines))
}

/// The set that is nearest to a gain.
fn nearest(question: &Question, gain: f64) -> Result<Option<Ranked>, StudyFault> {
    Ok(brief(question, gain)?.ranked(question, &exact(question), 1)?.into_iter().next())
}

/// The values of the shared resistors that may be taken: as chosen, or every feedback of the range.
fn feedbacks(question: &Question, filled: &Filled) -> Result<Vec<Vec<(Designator, Fixed)>>, StudyFault> {
    let ohms = filled.ohms();
    let hold = |names: &[Designator]| -> Vec<(Designator, Fixed)> {
        names.iter().filter_map(|name| Some((*name, Fixed::Ohm(ohms.get(*name)?)))).collect()
    };
    use Designator::{R1, R2, R3, R4};
    if question.topology != Topology::ThreeOpAmp || question.resistors.fixed.contains_key(&RF1) {
        return Ok(vec![hold(&[R1, R2, R3, R4, RF1, RF2])]);
    }
    let range = question.resistors.range.get(&RF1).map_or((10e3, 100e3), |span| (span.low, span.high));
    let stage = hold(&[R1, R2, R3, R4]);
    let with = |&ohm: &f64| {
        let mut all = stage.clone();
        all.extend([(RF1, Fixed::Ohm(ohm)), (RF2, Fixed::Ohm(ohm))]);
        all
    };
    Ok(stock_of(question)?.within(range.0, range.1).iter().map(with).collect())
}

/// Least gain error before everything else: the worst of several gains is to be least.
fn exact(question: &Question) -> Wishes {
    Wishes { first: First::Gain, ..super::choose::wishes(question, 0.0) }
}

fn others(set: &Filled) -> impl Iterator<Item = SwitchedResistor> + '_ {
    let rest = set.values.iter().filter(|value| value.name != RG);
    rest.map(|value| SwitchedResistor { name: value.name.name().to_owned(), ohm: value.pick.ohm(), count: 1 })
}

fn string(question: &Question, filled: &Filled, gains: &[f64]) -> Result<SwitchedAnswer, StudyFault> {
    let ohms = filled.ohms();
    let second = match (ohms.get(Designator::R1), ohms.get(Designator::R2)) {
        (Some(r1), Some(r2)) => r2 / r1,
        _ => 1.0,
    };
    let mut order: Vec<usize> = (0..gains.len()).collect();
    order.sort_by(|&a, &b| gains[b].total_cmp(&gains[a]));
    let stage: Vec<f64> = order.iter().map(|&at| gains[at] / second).collect();
    let found = tapped(&stage, &stock_of(question)?).map_err(|why| {
        nothing_fits("resistors.series", why.to_string(), "gains of 1 or more, and a series with more values")
    })?;
    let whole: f64 = found.ohms.iter().enumerate().map(|(at, ohm)| if at == 0 { *ohm } else { 2.0 * ohm }).sum();
    let mut lines: Vec<Option<SwitchedGain>> = vec![None; gains.len()];
    let mut between = 0.0;
    for (step, &at) in order.iter().enumerate() {
        between += found.ohms[step] * if step == 0 { 1.0 } else { 2.0 };
        // at the ends of the string nothing is left for the feedback
        let feedback = ((whole - between) / 2.0).max(1e-3);
        let set = with_values(filled, &[(RG, between), (RF1, feedback), (RF2, feedback)]);
        lines[at] = Some(told(question, &set, gains[at])?);
    }
    let mut resistors: Vec<SwitchedResistor> = found
        .ohms
        .iter()
        .enumerate()
        .map(|(at, ohm)| SwitchedResistor {
            name: format!("RT{at}"),
            ohm: Some(*ohm),
            count: if at == 0 { 1 } else { 2 },
        })
        .collect();
    resistors.extend(others(filled).filter(|one| !one.name.starts_with("RF")));
    Ok(answer(question, Form::Tapped, resistors, lines.into_iter().flatten().collect()))
}

fn with_values(filled: &Filled, new: &[(Designator, f64)]) -> Filled {
    let mut out = filled.clone();
    for &(name, ohm) in new {
        match out.values.iter_mut().find(|value| value.name == name) {
            Some(value) => value.pick = Pick::single(ohm),
            None => out.values.push(Value { name, pick: Pick::single(ohm), chosen: true }),
        }
    }
    out
}

/// What one gain comes to.
fn told(question: &Question, set: &Filled, target: f64) -> Result<SwitchedGain, StudyFault> {
    let mut asked = at_gain(question, super::aim::aim(question)?.gain, target);
    for value in &set.values {
        asked.resistors.fixed.insert(value.name, value.pick.ohm().map_or(Fixed::Open, Fixed::Ohm));
    }
    let row = row(&asked)?;
    let bench = Bench::nominal(&asked, set)?;
    let reference_v = super::aim::aim(&asked)?.reference_v;
    Ok(SwitchedGain {
        target,
        gain: row.gain_nominal,
        error_low: row.gain_error_low,
        error_high: row.gain_error_high,
        rejection_db: row.rejection_worst_db,
        headroom_v: headroom::margin(&asked, &bench.stage, reference_v).map_err(|fault| unsolved(&fault))?,
        limits: row.limits,
    })
}

/// The worse of both, figure by figure: two switches of one kind.
fn worse(one: SwitchedGain, other: &SwitchedGain) -> SwitchedGain {
    let least = |a: Option<f64>, b: Option<f64>| a.zip(b).map_or(a.or(b), |(a, b)| Some(a.min(b)));
    let rank = |line: &LimitLine| (line.met.map_or(0, |met| if met { 2 } else { 1 }), line.margin);
    let limits = one.limits.into_iter().zip(&other.limits);
    SwitchedGain {
        error_low: one.error_low.min(other.error_low),
        error_high: one.error_high.max(other.error_high),
        rejection_db: least(one.rejection_db, other.rejection_db),
        headroom_v: least(one.headroom_v, other.headroom_v),
        limits: limits.map(|(a, b)| if rank(b) < rank(&a) { b.clone() } else { a }).collect(),
        ..one
    }
}

fn answer(
    question: &Question,
    form: Form,
    resistors: Vec<SwitchedResistor>,
    gains: Vec<SwitchedGain>,
) -> SwitchedAnswer {
    SwitchedAnswer { title: question.title.clone(), topology: question.topology, form, resistors, gains }
}

/// No standard value can do it.
fn nothing_fits(key: &str, message: String, help: &str) -> StudyFault {
    StudyFault { code: "nothing-in-range", ..fault(key, message, help) }
}

fn fault(key: &str, message: String, help: &str) -> StudyFault {
    StudyFault { code: "no-such-gains", key: key.to_owned(), message, help: help.to_owned() }
}
