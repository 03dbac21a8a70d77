//! Yield, composed: what is drawn and held, how rare a miss is, and what would move it (figures.md,
//! section 13).
use super::aim::{Aim, aim};
use super::bench::{Bench, fitted, unsolved};
use super::conditions::Conditions;
use super::yield_advice::advice;
use super::{NotPredicted, Question, StudyFault, Told};
use crate::corners::{self, ENUMERATED_AT_FREQUENCY, Method};
use crate::designator::Topology;
use crate::network::Instructions;
use crate::predict::terminals;
use crate::quantity::from_decibels;
use crate::topology::BuildFault;
use crate::yields::{
    self, Bounds, CHUNK, DrawnLimit, Effort, Headroom, Histogram, Problem, QUANTILES, TailWish, Temperature,
};
pub use crate::yields::{Quantile, Shape, Tail};

/// Boards that are drawn unless told otherwise.
pub const USUAL_BOARDS: u64 = 1_000_000;
/// The seed unless told otherwise.
pub const USUAL_SEED: u64 = 1;
/// At most so many boards are drawn again for each change that is tried.
const TRIED: u64 = 64 * CHUNK;

/// What a run of `yield` is told beside the spec; `None`: as the spec says, else the usual.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct YieldOptions {
    /// Boards.
    pub boards: Option<u64>,
    /// Seed.
    pub seed: Option<u64>,
    /// Distribution on each bound; uniform unless told.
    pub shape: Option<Shape>,
    /// Whether temperatures are drawn; at the limit unless told.
    pub uniform_temperature: Option<bool>,
    /// Probabilities of a miss by importance sampling too.
    pub tail: bool,
    /// Threads; they change no byte of the answer.
    pub threads: usize,
    /// Vector instructions; likewise.
    pub instructions: Instructions,
}

impl Default for YieldOptions {
    fn default() -> Self {
        Self {
            boards: None,
            seed: None,
            shape: None,
            uniform_temperature: None,
            tail: false,
            threads: 1,
            instructions: Instructions::best(),
        }
    }
}

/// Share of boards that meet the limits.
#[derive(Clone, Debug, PartialEq)]
pub struct YieldFigure {
    /// Title of the spec.
    pub title: String,
    /// Boards that were drawn.
    pub boards: u64,
    /// The seed.
    pub seed: u64,
    /// How quantities are spread over their bounds.
    pub shape: Shape,
    /// Whether temperatures were drawn.
    pub uniform_temperature: bool,
    /// Boards that meet every drawn limit.
    pub pass: u64,
    /// Their share.
    pub fraction: f64,
    /// Lower end of the exact 95 % interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// True when the run was ended before all boards were drawn.
    pub partial: bool,
    /// Share meeting each limit, in the order of the contract.
    pub by_limit: Vec<(DrawnLimit, f64)>,
    /// Relative gain error.
    pub gain_error: Spread,
    /// Rejection at dc, dB.
    pub rejection_db: Spread,
    /// What moves it, part by part; empty after an early end.
    pub shares: Vec<ShareLine>,
    /// Boards behind each `yield_if_halved`.
    pub halved_boards: u64,
    /// In a sentence, what would move the yield.
    pub advice: Option<String>,
    /// How rare misses are, where asked.
    pub tail: Vec<Tail>,
    /// `limits.yield`, where set.
    pub required: Option<f64>,
    /// Limits that are set but could not be drawn.
    pub not_predicted: Vec<NotPredicted>,
}

impl YieldFigure {
    /// Whether the lower end of the interval reaches `limits.yield`, and nothing that was asked is missing.
    #[must_use]
    pub fn met(&self) -> bool {
        self.required.is_none_or(|required| self.low >= required) && self.not_predicted.is_empty()
    }
}

/// A spread of values.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    /// The values that some shares of the boards lie below.
    pub quantiles: Vec<Quantile>,
    /// Counts.
    pub histogram: Histogram,
    /// Where the limits on it stand, in the same unit.
    pub bounds: Vec<f64>,
}

/// One part's hand in the spread.
#[derive(Clone, Debug, PartialEq)]
pub struct ShareLine {
    /// A resistor, the members of a network, an op amp; else what is uncertain.
    pub part: String,
    /// Share of the variance of the gain error.
    pub of_gain_variance: f64,
    /// Share of the variance of the common-mode gain at dc.
    pub of_common_mode_variance: f64,
    /// Yield with the part's tolerance halved.
    pub yield_if_halved: f64,
}

/// Answers `yield`. `go_on` hears how many boards are done and ends the run with `false`.
///
/// # Errors
/// [`StudyFault`] when no limit that can be drawn is set, and for everything `design` refuses.
///
/// ```
/// use evenkeel::spec::{NoFiles, read};
/// use evenkeel::study::{YieldOptions, yields};
///
/// let text = "[target]\ngain = 100\n[resistors]\ntolerance = \"0.1 %\"\n[limits]\nrejection = \"100 dB\"\n";
/// let spec = read("s.toml", text, &NoFiles)?;
/// let options = YieldOptions { boards: Some(10_000), ..YieldOptions::default() };
/// let answer = yields(&spec.channels[0].question, &options, &mut |_| true)?;
/// assert!(answer.low < answer.fraction && answer.fraction < answer.high);
///
/// let spec = read("s.toml", "[target]\ngain = 100\n", &NoFiles)?;
/// let fault = yields(&spec.channels[0].question, &options, &mut |_| true).unwrap_err();
/// assert_eq!(fault.code, "no-drawn-limit");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn yields(
    question: &Question,
    options: &YieldOptions,
    go_on: &mut dyn FnMut(u64) -> bool,
) -> Result<YieldFigure, StudyFault> {
    let aim = aim(question)?;
    let (question, bench) = fitted(question, &aim)?;
    let figure = figure(&question, &aim, &bench, options, go_on).map_err(|fault| unsolved(&fault))?;
    figure.map_err(|missing| {
        let needs: Vec<String> = missing.into_iter().map(|line| line.needs).collect();
        StudyFault {
            code: "no-drawn-limit",
            key: "limits".to_owned(),
            message: "a yield is the share of boards within limits, and no limit that is drawn can be told".to_owned(),
            help: if needs.is_empty() {
                "set `gain_error`, `rejection`, `rejection_at_interference` or `headroom` under [limits]".to_owned()
            } else {
                format!("give {}", needs.join(", "))
            },
        }
    })
}

/// The figure of a design, where `limits.yield` is set.
pub(super) fn told(question: &Question, aim: &Aim, bench: &Bench) -> Result<Told<YieldFigure>, BuildFault> {
    if question.limits.yield_fraction.is_none() {
        return Ok(Told { figure: None, not_predicted: Vec::new(), warnings: Vec::new() });
    }
    let mut never = |_| true;
    Ok(match figure(question, aim, bench, &YieldOptions::default(), &mut never)? {
        Ok(figure) => Told { not_predicted: figure.not_predicted.clone(), ..Told::figure(figure) },
        Err(not_predicted) if not_predicted.is_empty() => Told::missing("yield", &["limits"]),
        Err(not_predicted) => {
            let needs: Vec<&str> = not_predicted.iter().map(|line| line.needs.as_str()).collect();
            Told::missing("yield", &needs)
        }
    })
}

/// The figure for values that are chosen; the limits that can't be drawn when none can.
pub(super) fn figure(
    question: &Question,
    aim: &Aim,
    bench: &Bench,
    options: &YieldOptions,
    go_on: &mut dyn FnMut(u64) -> bool,
) -> Result<Result<YieldFigure, Vec<NotPredicted>>, BuildFault> {
    let (problem, effort, not_predicted) = match asked(question, aim, bench, options) {
        Ok(asked) => asked,
        Err(missing) => return Ok(Err(missing)),
    };
    let uniform_temperature = options.uniform_temperature.or(question.draw.uniform_temperature).unwrap_or(false);
    let tally = yields::run(&problem, &effort, go_on)?;
    let share = |count: u64| if tally.boards == 0 { 0.0 } else { count as f64 / tally.boards as f64 };
    let interval = yields::clopper_pearson(tally.pass, tally.boards);
    let partial = tally.boards < effort.boards;
    let mut figure = YieldFigure {
        title: question.title.clone(),
        boards: tally.boards,
        seed: effort.seed,
        shape: problem.shape,
        uniform_temperature,
        pass: tally.pass,
        fraction: share(tally.pass),
        low: interval.low,
        high: interval.high,
        partial,
        by_limit: problem.bounds.set().into_iter().map(|limit| (limit, share(tally.meeting(limit)))).collect(),
        gain_error: Spread {
            bounds: question.limits.gain_error.map_or_else(Vec::new, |most| vec![-most, most]),
            ..spread(tally.gain_errors(&problem), Some)
        },
        rejection_db: Spread {
            bounds: question.limits.rejection_db.into_iter().collect(),
            ..spread(tally.rejections(), |db| (db < UNBOUNDED_DB).then_some(db))
        },
        shares: Vec::new(),
        halved_boards: 0,
        advice: None,
        tail: Vec::new(),
        required: question.limits.yield_fraction,
        not_predicted,
    };
    if partial {
        return Ok(Ok(figure));
    }
    let tried = Effort { boards: effort.boards.min(TRIED.min((effort.boards / 16).max(CHUNK))), ..effort };
    let advice = advice(&problem, figure.fraction, &tried)?;
    (figure.shares, figure.halved_boards, figure.advice) = (advice.shares, tried.boards, advice.words);
    if options.tail {
        for limit in problem.bounds.set() {
            let (possible, certain) = possible(&problem, bench, limit)?;
            let missing = tally.boards - tally.meeting(limit);
            let wish = TailWish { limit, possible, certain, boards: tally.boards, missing };
            figure.tail.push(yields::tail(&problem, &wish, &effort)?);
        }
    }
    Ok(Ok(figure))
}

/// The lower bound of [`YieldFigure::low`] alone; `None` where no limit can be drawn.
pub(super) fn lower_bound(question: &Question, aim: &Aim, bench: &Bench) -> Result<Option<f64>, BuildFault> {
    let passed = passing(question, aim, bench, &YieldOptions::default())?;
    Ok(passed.map(|(pass, boards)| yields::clopper_pearson(pass, boards).low))
}

/// Boards that pass of those that are drawn; `None` where no limit can be drawn.
pub(super) fn passing(
    question: &Question,
    aim: &Aim,
    bench: &Bench,
    options: &YieldOptions,
) -> Result<Option<(u64, u64)>, BuildFault> {
    let Ok((problem, effort, _)) = asked(question, aim, bench, options) else { return Ok(None) };
    let tally = yields::run(&problem, &effort, &mut |_| true)?;
    Ok(Some((tally.pass, tally.boards)))
}

/// What is drawn, with which effort, and the limits that can't be; those alone where none can.
fn asked<'b>(
    question: &Question,
    aim: &Aim,
    bench: &'b Bench,
    options: &YieldOptions,
) -> Result<(Problem<'b>, Effort, Vec<NotPredicted>), Vec<NotPredicted>> {
    let draw = question.draw;
    let normal = draw.normal.map(|normal| if normal { Shape::Normal } else { Shape::Uniform });
    let uniform_temperature = options.uniform_temperature.or(draw.uniform_temperature).unwrap_or(false);
    let (bounds, not_predicted) = bounds(question, aim, bench);
    if bounds.set().is_empty() {
        return Err(not_predicted);
    }
    let problem = Problem {
        stage: &bench.stage,
        lot: &bench.lot,
        shape: options.shape.or(normal).unwrap_or(Shape::Uniform),
        temperature: temperature(question, uniform_temperature),
        target_gain: aim.gain,
        gain_span: (bench.worst.gain_low, bench.worst.gain_high),
        bounds,
    };
    let effort = Effort {
        boards: options.boards.or(draw.boards).unwrap_or(USUAL_BOARDS),
        seed: options.seed.or(draw.seed).unwrap_or(USUAL_SEED),
        threads: options.threads.max(1),
        instructions: options.instructions,
    };
    Ok((problem, effort, not_predicted))
}

/// 200 dB and above count as unbounded.
const UNBOUNDED_DB: f64 = 200.0;

fn spread(histogram: Histogram, value: impl Fn(f64) -> Option<f64>) -> Spread {
    let quantile = |p: f64| Quantile { p, value: value(histogram.quantile(p)) };
    Spread { quantiles: QUANTILES.into_iter().map(quantile).collect(), histogram, bounds: Vec::new() }
}

fn temperature(question: &Question, uniform: bool) -> Temperature {
    let environment = &question.environment;
    let away = |celsius: f64| celsius - environment.calibrated_at_c;
    let span = environment.temperature_c;
    if uniform { Temperature::Uniform { low_k: away(span.low), high_k: away(span.high) } } else { Temperature::Limit }
}

/// The limits that are set and can be drawn, and what the others need.
fn bounds(question: &Question, aim: &Aim, bench: &Bench) -> (Bounds, Vec<NotPredicted>) {
    let limits = &question.limits;
    let mut missing = Vec::new();
    let mut lacks = |limit: DrawnLimit, needs: &[&str]| {
        missing.push(NotPredicted { figure: limit.name().to_owned(), needs: needs.join(", ") });
    };
    let at_interference = limits.rejection_at_interference_db.and_then(|db| match question.interference {
        Some(interference) => Some((interference.frequency_hz, from_decibels(db))),
        None => {
            lacks(DrawnLimit::RejectionAtInterference, &["interference.frequency"]);
            None
        }
    });
    let headroom = limits.headroom_v.and_then(|least_v| match Conditions::of(question, aim.reference_v) {
        // A chip's inner nodes are no part of the network that is drawn.
        _ if question.topology == Topology::SingleChip => {
            lacks(DrawnLimit::Headroom, &["circuit.topology"]);
            None
        }
        Ok(conditions) => Some(Headroom {
            least_v,
            terminals: terminals(&bench.stage, conditions.supplies),
            signals: conditions.load.signals,
            reference_v: conditions.load.reference_v,
        }),
        Err(needs) => {
            lacks(DrawnLimit::Headroom, &needs);
            None
        }
    });
    let bounds = Bounds {
        gain_error: limits.gain_error,
        rejection: limits.rejection_db.map(from_decibels),
        at_interference,
        headroom,
    };
    (bounds, missing)
}

/// Whether the worst board of all misses a limit, and whether it is surely the worst.
fn possible(problem: &Problem<'_>, bench: &Bench, limit: DrawnLimit) -> Result<(bool, bool), BuildFault> {
    let worst = &bench.worst;
    let bounds = &problem.bounds;
    Ok(match limit {
        DrawnLimit::GainError => {
            let error = |gain: f64| (gain / problem.target_gain - 1.0).abs();
            let greatest = error(worst.gain_low).max(error(worst.gain_high));
            (bounds.gain_error.is_some_and(|most| greatest > most), worst.gain_method != Method::Searched)
        }
        DrawnLimit::Rejection => {
            (bounds.rejection.is_some_and(|least| worst.rejection < least), worst.method != Method::Searched)
        }
        DrawnLimit::RejectionAtInterference => {
            let Some((hz, least)) = bounds.at_interference else { return Ok((false, true)) };
            let quantities = bench.stage.quantities(&bench.lot, hz);
            let there = corners::at_frequency(&bench.stage, &quantities, hz, ENUMERATED_AT_FREQUENCY)?;
            (there.rejection < least, there.method != Method::Searched)
        }
        DrawnLimit::Headroom => {
            let Some(headroom) = &bounds.headroom else { return Ok((false, true)) };
            let quantities = corners::of_resistors(&bench.stage, &bench.stage.quantities(&bench.lot, 0.0));
            let load = corners::Load { signals: headroom.signals, reference_v: headroom.reference_v };
            let worst = corners::worst_margin(&bench.stage, &quantities, &headroom.terminals, load)?;
            (worst.margin_v < headroom.least_v, quantities.len() <= corners::ENUMERATED_AT_DC)
        }
    })
}
