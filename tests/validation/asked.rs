//! tests/data/asked.toml: questions to the whole tool, each a spec or a command, and where in its JSON the answer
//! stands.
use crate::direct;
use crate::row::{HALF_A_DIGIT, Kind, Row, read};
use evenkeel::cli::{Streams, run};
use serde::Deserialize;
use serde_json::Value;
use std::ffi::OsString;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Published {
    ask: Vec<Ask>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Ask {
    entry: String,
    source: String,
    kind: Kind,
    /// What `design` is given.
    spec: Option<String>,
    /// Another command, split at spaces.
    command: Option<String>,
    figures: Vec<Figure>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Figure {
    figure: String,
    /// Where in the answer; or, without spec and command, a call of [`direct`].
    at: Option<String>,
    call: Option<direct::Call>,
    /// From the program's unit to the printed one.
    scale: Option<f64>,
    /// The printed figure is the square.
    #[serde(default)]
    squared: bool,
    printed: String,
    /// What it ought to be, where the print is wrong or loose.
    ought: Option<String>,
    allowed: Option<f64>,
    reason: Option<String>,
    kind: Option<Kind>,
}

/// What a command says in JSON.
pub(crate) fn answer(args: &[String], stdin: &str) -> Value {
    let (mut stdout, mut stderr) = (Vec::new(), Vec::new());
    let mut streams = Streams::new(stdin.as_bytes(), &mut stdout, &mut stderr);
    let args = std::iter::once("evenkeel").chain(args.iter().map(String::as_str)).chain(["--format", "json"]);
    run(args.map(OsString::from), &mut streams);
    drop(streams);
    serde_json::from_slice(&stdout)
        .unwrap_or_else(|fault| panic!("{fault}: {}\n{stdin}", String::from_utf8_lossy(&stderr)))
}

/// The number at a path like `/budget/lines/[cause=offset]/ppm`.
fn number(answer: &Value, path: &str) -> f64 {
    let mut here = answer;
    for step in path.trim_start_matches('/').split('/') {
        here = match (here, step.strip_prefix('[').and_then(|rest| rest.strip_suffix(']'))) {
            (Value::Array(list), Some(choice)) => {
                let (key, value) = choice.split_once('=').unwrap();
                list.iter().find(|one| one[key] == value).unwrap_or_else(|| panic!("{path}: {here}"))
            }
            (Value::Array(list), None) => &list[step.parse::<usize>().unwrap()],
            _ => &here[step],
        };
    }
    here.as_f64().unwrap_or_else(|| panic!("{path} is {here} in {answer}"))
}

pub(crate) fn rows() -> Vec<Row> {
    let published: Published =
        toml::from_str(include_str!("../data/asked.toml")).unwrap_or_else(|fault| panic!("{fault}"));
    let mut rows = Vec::new();
    for ask in published.ask {
        let told = match (&ask.spec, &ask.command) {
            (Some(spec), None) => answer(&["design".to_owned(), "-".to_owned()], spec),
            (None, Some(command)) => answer(&command.split(' ').map(str::to_owned).collect::<Vec<_>>(), ""),
            _ => Value::Null,
        };
        for one in ask.figures {
            let raw = match (&one.at, &one.call) {
                (Some(path), None) => number(&told, path),
                (None, Some(call)) => call.value(),
                _ => panic!("{}: either `at` or `call`", ask.entry),
            };
            let scaled = raw * one.scale.unwrap_or(1.0);
            let got = if one.squared { scaled * scaled } else { scaled };
            let (want, half) = read(one.ought.as_ref().unwrap_or(&one.printed));
            rows.push(Row {
                entry: ask.entry.clone(),
                figure: one.figure,
                source: ask.source.clone(),
                kind: one.kind.unwrap_or(ask.kind),
                printed: one.printed,
                ought: one.ought,
                want,
                got,
                allowed: one.allowed.unwrap_or(half),
                reason: one.reason.unwrap_or_else(|| HALF_A_DIGIT.to_owned()),
            });
        }
    }
    rows
}

/// The question of a spec.
pub(crate) fn question(text: &str) -> evenkeel::study::Question {
    let spec = evenkeel::spec::read("asked.toml", text, &evenkeel::spec::NoFiles).expect("a spec");
    spec.channels[0].question.clone()
}
