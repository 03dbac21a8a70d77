use super::{Document, Number, Record, Value, Verdict};
use crate::quantity::{Unit, rounded};
use crate::study::{Measured, NextReading, NodeSpan, Plan, PlanStep, Spread, Standing, VerifyAnswer};

/// The report on bench readings.
#[must_use]
pub fn verify(answer: &VerifyAnswer) -> Document {
    let mut body = Record::new();
    body.text("title", "", &answer.title).for_data();
    body.push("readings", "readings", Value::Count(answer.readings as u64));
    body.number("temperature_c", "temperature of the bench", answer.temperature_c, Unit::Celsius);
    let figures = [
        ("gain", "gain", Unit::Plain, Some(answer.gain)),
        ("offset_v", "offset", Unit::Volt, Some(answer.offset_v)),
        ("rejection_db", "rejection", Unit::Decibel, answer.rejection_db),
    ];
    let there: Vec<_> =
        figures.into_iter().filter_map(|(key, name, unit, one)| Some((key, name, unit, one?))).collect();
    body.table("", "Measured, with the interval that covers 95 %", &there, |(_, name, unit, one)| {
        row(name, *unit, one)
    })
    .for_people();
    for (key, _, unit, one) in &there {
        body.section(key, "", |part| data(part, *unit, one)).for_data();
    }
    body.flag("rejection_is_bound", "", answer.rejection_is_bound).for_data();
    if let (true, Some(low)) = (answer.rejection_is_bound, answer.rejection_db.map(|one| one.low)) {
        let low = low.map_or_else(|| "200 dB".to_owned(), |db| rounded(db, Unit::Decibel, 4));
        body.note(format!("Rejection: better than {low}; these readings see no more."));
    }
    let (word, sentence) = match answer.spread {
        Spread::Scatter => ("scatter", "Uncertainty from the scatter of the readings about the fit (type A)."),
        Spread::Stated => {
            ("stated", "Uncertainty as stated with the readings (type B); they scatter no more than it explains.")
        }
    };
    body.text("uncertainty_from", "", word).for_data();
    body.number("scatter", "", answer.scatter, Unit::Plain).for_data();
    body.note(sentence);
    match &answer.next_reading {
        Some(next) => {
            body.section("next_reading", "", |part| next_reading(part, next)).for_data();
            body.note(format!("Next: {}.", next.message));
        }
        None => {
            body.push("next_reading", "", Value::Text(None)).for_data();
        }
    }
    body.table("not_measured", "Not measured", &answer.not_measured, |line| {
        let mut row = Record::new();
        row.text("figure", "figure", &line.figure);
        row.text("needs", "needs", &line.needs);
        row
    });
    Document::new(
        "evenkeel.verify.v1",
        verdict(&there.iter().map(|(_, name, _, one)| (*name, one.verdict)).collect::<Vec<_>>()),
        body,
    )
    .titled(&answer.title)
}

fn verdict(all: &[(&str, Standing)]) -> Verdict {
    let of = |wanted: Standing| {
        all.iter().filter(|(_, one)| *one == wanted).map(|(name, _)| *name).collect::<Vec<_>>().join(", ")
    };
    let (outside, open) = (of(Standing::Outside), of(Standing::Undecided));
    match (outside.is_empty(), open.is_empty()) {
        (true, true) => Verdict::good("The board is as predicted."),
        (true, false) => Verdict::plain(format!("Nothing lies outside the prediction; not decidable: {open}.")),
        (false, true) => Verdict::bad(format!("Outside the prediction: {outside}.")),
        (false, false) => Verdict::bad(format!("Outside the prediction: {outside}. Not decidable: {open}.")),
    }
}

fn row(name: &str, unit: Unit, one: &Measured) -> Record {
    let number = |si: Option<f64>, none| Value::Number(Number { si, unit, digits: 5, none });
    let mut row = Record::new();
    row.text("", "figure", name);
    row.push("", "value", number(one.value, "unbounded"));
    row.push("", "from", number(one.low, "unbounded"));
    row.push("", "to", number(one.high, "unbounded"));
    row.push("", "predicted from", number(one.predicted_low, ""));
    row.push("", "to at most", number(one.predicted_high, ""));
    let verdict = match one.verdict {
        Standing::Within => Some(true),
        Standing::Outside => Some(false),
        Standing::Undecided => None,
    };
    row.push("", "verdict", Value::Flag(verdict, ["within", "outside", "undecided"]));
    row
}

fn data(part: &mut Record, unit: Unit, one: &Measured) {
    part.number("value", "", one.value, unit);
    part.number("low", "", one.low, unit);
    part.number("high", "", one.high, unit);
    part.number("predicted_low", "", one.predicted_low, unit);
    part.number("predicted_high", "", one.predicted_high, unit);
    part.text("verdict", "", one.verdict.name());
}

fn next_reading(part: &mut Record, next: &NextReading) {
    part.text("decides", "", next.decides);
    part.number("differential_v", "", next.differential_v, Unit::Volt);
    part.number("common_mode_v", "", next.common_mode_v, Unit::Volt);
    let times = next.times.map_or(Value::Text(None), |times| Value::Count(u64::from(times)));
    part.push("times", "", times);
    part.text("message", "", &next.message);
}

/// The sheet to fill in, for people and scripts.
#[must_use]
pub fn plan(plan: &Plan) -> Document {
    let mut body = Record::new();
    body.text("title", "", &plan.title).for_data();
    sheet(plan, &mut body);
    Document::new("evenkeel.verify-plan.v1", Verdict::plain(format!("{} readings to take.", plan.steps.len())), body)
        .titled(&plan.title)
}

/// What to apply and what to expect.
pub(super) fn sheet(plan: &Plan, body: &mut Record) {
    body.number("temperature_c", "temperature of the bench", plan.temperature_c, Unit::Celsius);
    let needs = [
        ("gain_needs_u_output_v", "output to be read within, for the gain", plan.gain_needs_u_output_v),
        ("rejection_needs_u_output_v", "output to be read within, for the rejection", plan.rejection_needs_u_output_v),
    ];
    for (key, words, volt) in needs {
        body.number(key, words, volt, Unit::Volt).or_say("no reading can");
    }
    let numbered: Vec<(usize, &PlanStep)> = plan.steps.iter().enumerate().collect();
    body.table("steps", "Steps, in this order", &numbered, |(at, step)| numbered_step(*at, step));
    let once = numbered.len() / 2;
    for (at, step) in numbered.iter().take(once) {
        if !step.nodes.is_empty() {
            let heading = format!("Voltages in step {}: {}", at + 1, step.purpose);
            body.push("", heading, Value::Table(step.nodes.iter().map(|node| node_row(node, true)).collect()))
                .for_people();
        }
    }
    body.note(
        "Read within one standard uncertainty of the size above; the second half of the steps goes back the same way, \
         so that a drift shows. `evenkeel verify SPEC --plan --format csv` writes the sheet as a table that `verify` \
         reads.",
    );
}

fn numbered_step(at: usize, step: &PlanStep) -> Record {
    let mut row = Record::new();
    row.push("step", "step", Value::Count(at as u64 + 1));
    row.text("purpose", "for", step.purpose);
    row.number("differential_v", "difference", step.differential_v, Unit::Volt);
    row.number("common_mode_v", "common mode", step.common_mode_v, Unit::Volt);
    row.number("output_v", "expected", step.output.nominal_v, Unit::Volt).digits(5);
    row.number("output_low_v", "at least", step.output.low_v, Unit::Volt).digits(5);
    row.number("output_high_v", "at most", step.output.high_v, Unit::Volt).digits(5);
    row.table("nodes", "", &step.nodes, |node| node_row(node, false)).for_data();
    row
}

fn node_row(node: &NodeSpan, for_people: bool) -> Record {
    let mut row = Record::new();
    row.text("name", "node", &node.name);
    let digits = if for_people { 5 } else { 4 };
    row.number("nominal_v", "expected", node.nominal_v, Unit::Volt).digits(digits);
    row.number("low_v", "at least", node.low_v, Unit::Volt).digits(digits);
    row.number("high_v", "at most", node.high_v, Unit::Volt).digits(digits);
    row
}

/// The sheet as a table that `verify` reads once its output column is filled in; the columns of the printed one.
#[must_use]
pub fn plan_csv(plan: &Plan) -> String {
    let mut out =
        "step,for,positive [V],negative [V],output [V],u_output [V],expected [V],at least [V],at most [V]\n".to_owned();
    for (at, step) in plan.steps.iter().enumerate() {
        let (middle, half) = (step.common_mode_v, step.differential_v / 2.0);
        let [positive, negative] = [middle + half, middle - half].map(nanovolts);
        let output = &step.output;
        let [nominal, low, high] = [output.nominal_v, output.low_v, output.high_v].map(nanovolts);
        out += &format!("{},\"{}\",{positive},{negative},,,{nominal},{low},{high}\n", at + 1, step.purpose);
    }
    out
}

/// No meter reads more, and no sum of doubles shows its last bit.
fn nanovolts(volt: f64) -> f64 {
    // a sum with zero has no negative zero
    (volt * 1e9).round() / 1e9 + 0.0
}
