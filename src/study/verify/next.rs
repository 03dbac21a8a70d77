//! The reading that would decide what is open: tried out on paper.
use super::{Bench, Expected, Figures, Measured, Reading, ReadingErrors, Standing, held, held_rejection, two_steps};
use crate::study::{Inputs, Question, Span};

/// A reading to take.
#[derive(Clone, Debug, PartialEq)]
pub struct NextReading {
    /// What it would decide: `gain`, `offset_v` or `rejection_db`.
    pub decides: &'static str,
    /// `v_p - v_n`, V.
    pub differential_v: f64,
    /// `(v_p + v_n)/2`, V.
    pub common_mode_v: f64,
    /// How many times; `None`: no number of such readings decides it.
    pub times: Option<u32>,
    /// The same in words.
    pub message: String,
}

/// What is open.
pub(super) struct Open<'m> {
    pub(super) gain: &'m Measured,
    pub(super) offset_v: &'m Measured,
    pub(super) rejection_db: Option<&'m Measured>,
}

/// More repetitions than this are no advice.
const MOST: u32 = 1024;

pub(super) fn reading(
    question: &Question,
    bench: &Bench,
    readings: &[Reading],
    expected: &Expected,
    open: &Open<'_>,
) -> Option<NextReading> {
    let is_open = |one: &Measured| one.verdict == Standing::Undecided;
    let predicted = |one: &Measured| one.predicted_low.is_some() || one.predicted_high.is_some();
    let decides = match open.rejection_db {
        None => "rejection_db",
        Some(one) if is_open(one) => "rejection_db",
        _ if is_open(open.gain) => "gain",
        _ if is_open(open.offset_v) && predicted(open.offset_v) => "offset_v",
        _ => return None,
    };
    let stimuli = stimuli(question, readings, expected.reference_v, decides);
    let mut times = 1;
    while times <= MOST && bench.common {
        if stimuli.iter().any(|pair| decided(bench, readings, expected, decides, pair, times)) {
            let pair = stimuli.iter().find(|pair| decided(bench, readings, expected, decides, pair, times))?;
            return Some(told(decides, *pair, Some(times)));
        }
        times *= 2;
    }
    let pair = *stimuli.first()?;
    Some(if bench.common { told(decides, pair, None) } else { told(decides, pair, Some(1)) })
}

/// Pairs of readings `[(difference, common mode); 2]` that tell most about a figure.
type Pair = [(f64, f64); 2];

fn stimuli(question: &Question, readings: &[Reading], reference_v: f64, decides: &str) -> Vec<Pair> {
    let ends = |values: &mut dyn Iterator<Item = f64>| {
        values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)))
    };
    let wide = |span: Option<Span>, seen: (f64, f64)| match span {
        Some(span) if span.width() > 0.0 => (span.low, span.high),
        _ => seen,
    };
    let difference = wide(question.signal.differential, ends(&mut readings.iter().map(Reading::differential_v)));
    let seen = ends(&mut readings.iter().filter_map(Reading::common_mode_v));
    let common = wide(question.signal.common_mode, seen);
    let common = if common.0 < common.1 { common } else { (reference_v - 1.0, reference_v + 1.0) };
    let zero = 0.0_f64.clamp(difference.0.min(difference.1), difference.1.max(difference.0));
    let middle = f64::midpoint(common.0, common.1);
    match decides {
        "rejection_db" => vec![[(zero, common.0), (zero, common.1)]],
        "gain" => vec![[(difference.0, middle), (difference.1, middle)]],
        _ => vec![[(zero, reference_v), (zero, reference_v)]],
    }
}

/// True where `times` more such pairs, should they lie on the fit, decide the figure.
fn decided(bench: &Bench, readings: &[Reading], expected: &Expected, decides: &str, pair: &Pair, times: u32) -> bool {
    let Some(last) = readings.last() else { return false };
    let own = greatest(readings, |reading| reading.own);
    let shared = greatest(readings, |reading| reading.shared);
    let beta = &bench.fit.beta;
    let reference = expected.reference_v;
    let made = |&(difference, common): &(f64, f64)| {
        let output_v =
            reference + beta[0] + beta[1] * difference + beta.get(2).copied().unwrap_or(0.0) * (common - reference);
        let inputs = match last.inputs {
            Inputs::Wires { .. } => {
                Inputs::Wires { positive_v: common + difference / 2.0, negative_v: common - difference / 2.0 }
            }
            Inputs::Modes { .. } => Inputs::Modes { differential_v: difference, common_mode_v: Some(common) },
        };
        Reading { inputs, output_v, own, shared }
    };
    let mut all = readings.to_vec();
    // Readings on the fit would make its scatter vanish: they are given the scatter there is, up and down.
    let scatter = if own == ReadingErrors::default() { bench.fit.scatter } else { 0.0 };
    for round in 0..times {
        let sign = if round % 2 == 0 { 1.0 } else { -1.0 };
        all.extend(pair.iter().map(made).map(|one| Reading { output_v: one.output_v + sign * scatter, ..one }));
    }
    let columns = [
        vec![1.0; all.len()],
        all.iter().map(Reading::differential_v).collect(),
        all.iter().map(|one| one.common_mode_v().unwrap_or(reference) - reference).collect(),
    ];
    let output: Vec<f64> = all.iter().map(|one| one.output_v - reference).collect();
    let Ok(fit) = two_steps(&columns, &output, &all) else { return false };
    let figures = Figures::of(&fit, true);
    let verdict = match decides {
        "gain" => held(figures.gain, Some(expected.gain.0), Some(expected.gain.1)).verdict,
        "offset_v" => held(figures.offset, expected.offset_v.map(|bound| -bound), expected.offset_v).verdict,
        _ => figures.ratio.map_or(Standing::Undecided, |ratio| held_rejection(ratio, expected.rejection_db).verdict),
    };
    verdict != Standing::Undecided
}

fn greatest(readings: &[Reading], of: impl Fn(&Reading) -> ReadingErrors) -> ReadingErrors {
    readings.iter().map(of).fold(ReadingErrors::default(), |most, one| ReadingErrors {
        first_v: most.first_v.max(one.first_v),
        second_v: most.second_v.max(one.second_v),
        output_v: most.output_v.max(one.output_v),
    })
}

fn told(decides: &'static str, pair: Pair, times: Option<u32>) -> NextReading {
    use crate::quantity::{Unit, rounded};
    let volt = |volt: f64| rounded(volt, Unit::Volt, 4);
    let [(difference, one), (other_difference, other)] = pair;
    let figure = match decides {
        "rejection_db" => "rejection",
        "offset_v" => "offset",
        _ => "gain",
    };
    let stimulus = if decides == "rejection_db" {
        format!("both inputs together at {} and at {}", volt(one), volt(other))
    } else if decides == "gain" {
        format!("differences of {} and {} at a common mode of {}", volt(difference), volt(other_difference), volt(one))
    } else {
        format!("no difference at a common mode of {}", volt(one))
    };
    let message = match times {
        Some(1) => format!("one more reading each with {stimulus} would decide the {figure}"),
        Some(times) => format!("{times} more readings each with {stimulus} would decide the {figure}"),
        None => format!(
            "no number of readings like these decides the {figure}: it lies at the edge of the prediction, or the \
             instruments are too coarse; read {stimulus} with a finer one"
        ),
    };
    NextReading { decides, differential_v: other_difference, common_mode_v: other, times, message }
}
