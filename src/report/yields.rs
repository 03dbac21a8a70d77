use super::{Document, Record, Value, Verdict, picture};
use crate::quantity::{Unit, rounded};
use crate::study::{Quantile, ShareLine, Tail, YieldFigure, YieldSpread};

/// The report on a yield.
#[must_use]
pub fn yields(figure: &YieldFigure) -> Document {
    let mut body = Record::new();
    fields(figure, &mut body);
    Document::new("evenkeel.yield.v1", verdict(figure), body).titled(&figure.title)
}

fn verdict(figure: &YieldFigure) -> Verdict {
    let interval = format!("{} to {}", share(figure.low), share(figure.high));
    let words = format!(
        "{}{} of {} boards pass; 95 % sure: {interval}",
        if figure.partial { "Interrupted: " } else { "" },
        share(figure.fraction),
        grouped(figure.boards),
    );
    match figure.required {
        None if figure.not_predicted.is_empty() => Verdict::plain(words + "."),
        None => Verdict::bad(words + "; a limit could not be drawn."),
        Some(required) if figure.met() => Verdict::good(format!("{words}; {} is met.", share(required))),
        Some(required) => Verdict::bad(format!("{words}; {} is not met.", share(required))),
    }
}

/// The yield object.
pub(super) fn fields(figure: &YieldFigure, body: &mut Record) {
    body.push("boards", "boards", Value::Count(figure.boards)).for_data();
    body.text("", "boards", grouped(figure.boards)).for_people();
    body.push("seed", "seed", Value::Count(figure.seed));
    body.text("shape", "spread", figure.shape.name());
    body.text("temperature", "temperature", if figure.uniform_temperature { "uniform" } else { "limit" });
    body.push("pass", "pass", Value::Count(figure.pass)).for_data();
    body.number("fraction", "", figure.fraction, Unit::Fraction).for_data();
    body.number("low", "", figure.low, Unit::Fraction).for_data();
    body.number("high", "", figure.high, Unit::Fraction).for_data();
    body.text("", "yield", share(figure.fraction)).for_people();
    body.text("", "95 % interval", format!("{} .. {}", share(figure.low), share(figure.high))).for_people();
    body.flag("partial", "partial", figure.partial).for_data();
    body.table("by_limit", "Boards that meet each limit", &figure.by_limit, |(limit, fraction)| {
        let mut row = Record::new();
        row.text("limit", "", limit.name()).for_data();
        row.text("", "limit", limit.name().replace('_', " ")).for_people();
        row.number("fraction", "", *fraction, Unit::Fraction).for_data();
        row.text("", "share", share(*fraction)).for_people();
        row
    });
    spread(("gain_error", "Gain error"), &figure.gain_error, Unit::Fraction, body);
    spread(("rejection_db", "Rejection"), &figure.rejection_db, Unit::Decibel, body);
    body.table("shares", "What moves it", &figure.shares, part);
    if !figure.shares.is_empty() {
        body.push("halved_boards", "", Value::Count(figure.halved_boards)).for_data();
        body.note("Each part halved alone, on the same boards: what several bring together is not their sum.");
    }
    if let Some(advice) = &figure.advice {
        body.text("advice", "", advice).for_data();
        body.note(advice.clone());
    }
    if !figure.tail.is_empty() {
        body.table("tail", "How rare a miss is", &figure.tail, rare);
    }
    if !figure.not_predicted.is_empty() {
        body.table("not_predicted", "Not drawn", &figure.not_predicted, |line| {
            let mut row = Record::new();
            row.text("figure", "limit", &line.figure);
            row.text("needs", "needs", &line.needs);
            row
        });
    }
}

fn spread((key, label): (&'static str, &'static str), spread: &YieldSpread, unit: Unit, body: &mut Record) {
    body.section(key, label, |part| {
        part.table("quantiles", "", &spread.quantiles, |quantile| self::quantile(quantile, unit)).for_data();
        part.picture(picture::spread(key, spread, unit));
        part.table("", "Quantiles", &spread.quantiles, |quantile| self::quantile(quantile, unit)).for_people();
    });
}

fn quantile(quantile: &Quantile, unit: Unit) -> Record {
    let mut row = Record::new();
    row.number("p", "boards below", quantile.p, Unit::Fraction);
    row.number("value", "value", quantile.value, unit);
    row
}

fn part(line: &ShareLine) -> Record {
    let mut row = Record::new();
    row.text("part", "part", &line.part);
    row.number("of_gain_variance", "of gain variance", line.of_gain_variance, Unit::Fraction).digits(3);
    row.number("of_common_mode_variance", "of A_cm variance", line.of_common_mode_variance, Unit::Fraction).digits(3);
    row.number("yield_if_halved", "", line.yield_if_halved, Unit::Fraction).for_data();
    row.text("", "yield if halved", share(line.yield_if_halved)).for_people();
    row
}

fn rare(tail: &Tail) -> Record {
    let mut row = Record::new();
    row.text("limit", "", tail.limit.name()).for_data();
    row.text("", "limit", tail.limit.name().replace('_', " ")).for_people();
    row.number("probability", "", tail.probability, Unit::Plain).for_data();
    row.number("low", "", tail.low, Unit::Plain).for_data();
    row.number("high", "", tail.high, Unit::Plain).for_data();
    let words =
        if tail.probability == 0.0 && tail.high == 0.0 { "none can miss".to_owned() } else { chance(tail.probability) };
    row.text("", "misses", words).for_people();
    row.text("", "95 % interval", format!("{} .. {}", chance(tail.low), chance(tail.high))).for_people();
    row.number("effective_samples", "", tail.effective_samples, Unit::Plain).for_data();
    row.flag("trusted", "trusted", tail.trusted);
    row.push("doubt", "", Value::Text(tail.doubt.map(str::to_owned)));
    row
}

/// A probability: as a percentage, in parts per million, or with an exponent.
fn chance(p: f64) -> String {
    match p {
        0.0 => "0".to_owned(),
        p if p >= 1e-3 => rounded(p, Unit::Fraction, 3),
        p if p >= 1e-7 => format!("{} ppm", rounded(p * 1e6, Unit::Plain, 3)),
        p => format!("{p:.2e}"),
    }
}

/// A yield with two digits of what is lost.
fn share(fraction: f64) -> String {
    let lost = 1.0 - fraction;
    let places = if lost > 0.0 { libm::ceil(-libm::log10(lost)).clamp(0.0, 12.0) as usize } else { 0 };
    rounded(fraction, Unit::Fraction, if lost < 0.1 { 1 + places } else { 4 })
}

/// A whole number in groups of three.
fn grouped(count: u64) -> String {
    let digits = count.to_string();
    let mut out = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            out.push(' ');
        }
        out.push(digit);
    }
    out
}
