use super::{Document, Formula, Record, Verdict};
use crate::equation::GIVEN_DIGITS;
use crate::quantity::{Unit, rounded};
use crate::study::explain::{CauseSize, Explanation, Given, Lesson, Measured, Outcome, Step, Topic};

/// The working of every figure for a page that shows the figures, each closed until it is asked for.
pub(super) fn working(lesson: &Lesson, part: &mut Record) {
    for one in &lesson.explanations {
        part.fold(title(one), |part| people(one, part));
    }
    missing(lesson, part);
    given(lesson, part);
    sources(lesson, part);
}

const SCHEMA: &str = "evenkeel.explain.v1";

/// The working of one figure, or of all of them.
///
/// JSON: `figure`, `steps[]`, `exact`, `difference` of the one figure; `figures[]` of such objects
/// where all were asked for.
#[must_use]
pub fn explain(lesson: &Lesson) -> Document {
    let mut body = Record::new();
    body.text("topology", "circuit", lesson.topology.name());
    let verdict = match lesson.explanations.as_slice() {
        [only] => {
            data(only, &mut body);
            people(only, &mut body);
            Verdict::plain(headline(only))
        }
        all => {
            body.table("figures", "", all, |one| {
                let mut record = Record::new();
                data(one, &mut record);
                record
            })
            .for_data();
            for one in all {
                body.section("", title(one), |part| people(one, part)).for_people();
            }
            missing(lesson, &mut body);
            Verdict::plain("The working, from the rules of the op amp to every figure.")
        }
    };
    given(lesson, &mut body);
    sources(lesson, &mut body);
    Document::new(SCHEMA, verdict, body).titled(&lesson.title)
}

fn missing(lesson: &Lesson, body: &mut Record) {
    body.table("not_predicted", "No working", &lesson.missing, |line| {
        let mut row = Record::new();
        row.text("figure", "figure", &line.figure);
        row.text("needs", "needs", &line.needs);
        row
    });
}

const fn title(one: &Explanation) -> &'static str {
    match one.topic {
        Topic::Topology => "Why this circuit",
        Topic::Gain => "Gain",
        Topic::Rejection => "Common-mode rejection",
        Topic::Headroom => "Headroom",
        Topic::Impedance => "Input impedance",
        Topic::Offset => "Offset",
        Topic::Noise => "Noise",
        Topic::Bandwidth => "Bandwidth",
        Topic::InputFilter => "Input filter",
        Topic::Budget => "Error budget",
    }
}

fn headline(one: &Explanation) -> String {
    match &one.outcome {
        None => format!("{}, worked out with the numbers of the spec.", title(one)),
        Some(outcome) => format!(
            "{}: {} by hand, {} by the network.",
            title(one),
            shown(outcome.by_hand, outcome.unit),
            shown(outcome.exact, outcome.unit)
        ),
    }
}

fn shown(value: Option<f64>, unit: Unit) -> String {
    value.map_or_else(|| "unbounded".to_owned(), |value| rounded(value, unit, 5))
}

fn data(one: &Explanation, body: &mut Record) {
    body.text("figure", "", one.topic.name()).for_data();
    body.text("meaning", "", &one.meaning).for_data();
    body.table("steps", "", &one.steps, step_data).for_data();
    if let Some(outcome) = &one.outcome {
        let unit = outcome.unit;
        body.number("result", "", outcome.by_hand, unit).for_data();
        body.number("exact", "", outcome.exact, unit).for_data();
        body.number("difference", "", outcome.difference(), unit).for_data();
        body.texts("why", "", &outcome.why).for_data();
    } else {
        body.number("exact", "", None, Unit::Plain).for_data();
        body.number("difference", "", None, Unit::Plain).for_data();
    }
    if !one.further.is_empty() {
        body.table("further", "", &one.further, further_data).for_data();
    }
    body.table("given", "", &one.given, given_data).for_data();
    if let Some(measured) = &one.measured {
        body.number("measured_db", "", measured.rejection_db, Unit::Decibel).for_data();
        body.table("sizes", "", &measured.causes, size_data).for_data();
    }
}

fn further_data(outcome: &Outcome) -> Record {
    let (mut record, unit) = (Record::new(), outcome.unit);
    record.text("what", "", outcome.what);
    record.number("result", "", outcome.by_hand, unit);
    record.number("exact", "", outcome.exact, unit);
    record.number("difference", "", outcome.difference(), unit);
    record.texts("why", "", &outcome.why);
    record
}

fn given_data(one: &Given) -> Record {
    let mut record = Record::new();
    record.text("symbol", "", &one.symbol);
    record.text("meaning", "", &one.meaning);
    record.number("value", "", Some(one.value), one.unit);
    record.text("printed", "", rounded(one.value, one.unit, GIVEN_DIGITS));
    record.text("from", "", one.from.to_string());
    record
}

fn step_data(step: &Step) -> Record {
    let mut record = Record::new();
    record.text("text", "", &step.text);
    let equation = step.equation.as_ref();
    let text = |words: Option<String>| super::Value::Text(words);
    record.push("equation", "", text(equation.map(|e| format!("{} = {}", e.name, e.symbols()))));
    record.push("with_values", "", text(equation.map(crate::equation::Equation::with_values)));
    record.number("result", "", equation.map(crate::equation::Equation::value), Unit::Plain);
    record.push("printed", "", text(equation.map(crate::equation::Equation::result)));
    record.number("exact", "", step.exact, Unit::Plain);
    record.push("source", "", text(step.law.map(|law| format!("theory ({}): {}", law.number, law.from))));
    record
}

fn size_data(size: &CauseSize) -> Record {
    let mut record = Record::new();
    record.text("cause", "", size.cause);
    record.text("quantity", "", &size.quantity);
    record.number("size", "", size.size, size.unit);
    record.number("by_hand", "", size.by_hand.as_ref().map(crate::equation::Equation::value), size.unit);
    record.number("given", "", size.given, size.unit);
    record.push("source", "", super::Value::Text(size.law.map(|law| format!("theory ({}): {}", law.number, law.from))));
    record
}

fn people(one: &Explanation, body: &mut Record) {
    body.note(&one.meaning);
    for step in &one.steps {
        if !step.text.is_empty() {
            body.note(&step.text);
        }
        if let Some(equation) = &step.equation {
            let beside = step.exact.map(|exact| format!("network {}", equation.as_result(exact)));
            let label = step.law.map(|law| format!("({})", law.number));
            body.equation(Formula {
                equation: equation.clone(),
                beside: beside.unwrap_or_default(),
                label: label.unwrap_or_default(),
            });
        }
    }
    if let Some(outcome) = &one.outcome {
        body.section("", "By hand and by the network", |part| {
            for outcome in std::iter::once(outcome).chain(&one.further) {
                compared(outcome, part);
            }
        })
        .for_people();
    }
    if let Some(measured) = &one.measured {
        body.section("", "What was measured", |part| sizes(measured, part)).for_people();
    }
}

fn compared(outcome: &Outcome, part: &mut Record) {
    part.text("", outcome.what, format!("{} by hand", shown(outcome.by_hand, outcome.unit)));
    part.text("", "", format!("{} by the network", shown(outcome.exact, outcome.unit)));
    let Some(difference) = outcome.difference() else { return };
    let told = told(difference, outcome);
    let same = told == NO_DIFFERENCE;
    part.text("", "difference", told);
    if !same {
        part.texts("", "Why they differ", &outcome.why);
    }
}

const NO_DIFFERENCE: &str = "none";

/// A difference of rounding is none.
fn told(difference: f64, outcome: &Outcome) -> String {
    let scale = outcome.exact.map_or(0.0, f64::abs);
    if difference.abs() <= 1e-9 * scale {
        return NO_DIFFERENCE.to_owned();
    }
    match outcome.unit {
        Unit::Decibel if difference.abs() < 0.5e-3 => "below 0.001 dB".to_owned(),
        Unit::Decibel => rounded(difference, outcome.unit, 5),
        unit => {
            let own = if unit == Unit::Plain { " V/V" } else { "" };
            let share = rounded(difference / scale, Unit::Fraction, 3);
            format!("{}{own}, which is {share} of the network's", rounded(difference, unit, 3))
        }
    }
}

fn sizes(measured: &Measured, part: &mut Record) {
    part.note(format!(
        "{} was measured. If one cause alone were to blame, at dc, it would have to be so large:",
        rounded(measured.rejection_db, Unit::Decibel, 4)
    ));
    part.table("", "", &measured.causes, |size| {
        let show = |value: f64| match size.unit {
            Unit::Rejection => rounded(value, Unit::Rejection, 4),
            unit => rounded(value, unit, 3),
        };
        let mut row = Record::new();
        row.text("", "cause", size.cause);
        row.text("", "what", &size.quantity);
        row.text("", "alone", size.size.map_or_else(|| "none it can have".to_owned(), show));
        row.text("", "by hand", size.by_hand.as_ref().map_or_else(String::new, |e| show(e.value())));
        row.text("", "in the spec", size.given.map_or_else(|| "not given".to_owned(), show));
        row
    });
    for size in &measured.causes {
        if let (Some(equation), Some(law)) = (&size.by_hand, size.law) {
            part.note(format!("{}:", size.quantity));
            part.equation(Formula {
                equation: equation.clone(),
                beside: size.size.map(|exact| format!("network {}", equation.as_result(exact))).unwrap_or_default(),
                label: format!("({})", law.number),
            });
        }
    }
}

/// What stands in the equations and is worked out in none of them.
fn given(lesson: &Lesson, body: &mut Record) {
    let equations = lesson.explanations.iter().flat_map(|one| &one.steps).filter_map(|step| step.equation.as_ref());
    let worked: Vec<&str> = equations.map(|equation| equation.name.as_ref()).collect();
    let mut all: Vec<&Given> = Vec::new();
    for one in lesson.explanations.iter().flat_map(|one| &one.given) {
        if !worked.contains(&one.symbol.as_str()) && !all.iter().any(|other| other.symbol == one.symbol) {
            all.push(one);
        }
    }
    body.table("", "What is given", &all, |one| {
        let mut row = Record::new();
        row.text("", "symbol", &one.symbol);
        row.text("", "value", rounded(one.value, one.unit, GIVEN_DIGITS));
        row.text("", "what it is", &one.meaning);
        row.text("", "from", one.from.to_string());
        row
    })
    .for_people();
}

/// Where each number in parentheses leads.
fn sources(lesson: &Lesson, body: &mut Record) {
    let steps = lesson.explanations.iter().flat_map(|one| &one.steps).filter_map(|step| step.law);
    let measured = lesson.explanations.iter().filter_map(|one| one.measured.as_ref());
    let sizes = measured.flat_map(|measured| &measured.causes).filter_map(|size| size.law);
    let mut laws: Vec<(u16, &str)> = steps.chain(sizes).map(|law| (law.number, law.from)).collect();
    laws.sort_unstable();
    laws.dedup();
    body.table("", "Sources; the numbers are those of docs/theory.md", &laws, |(number, from)| {
        let mut row = Record::new();
        row.text("", "law", format!("({number})"));
        row.text("", "where it is from", *from);
        row
    })
    .for_people();
}
