//! The examples in code run, and say what the command line says.
use crate::asked::ask;
use evenkeel::cli::Desk;
use std::error::Error;
use std::io::Write;

#[path = "../../examples/one_channel.rs"]
#[allow(dead_code, reason = "an example has a main of its own")]
mod one_channel;
#[path = "../../examples/tolerance_sweep.rs"]
#[allow(dead_code, reason = "an example has a main of its own")]
mod tolerance_sweep;
#[path = "../../examples/yield_study.rs"]
#[allow(dead_code, reason = "an example has a main of its own")]
mod yield_study;

type Example = fn(&mut dyn Write) -> Result<(), Box<dyn Error>>;

fn told(tell: Example) -> Vec<String> {
    let mut out = Vec::new();
    tell(&mut out).expect("it runs");
    String::from_utf8(out).expect("UTF-8").lines().map(str::to_owned).collect()
}

#[test]
fn one_channel_in_code_is_the_design_of_the_command() {
    let lines = told(one_channel::tell);
    let spec = "[target]\ngain = 100\n[resistors]\ntolerance = \"0.1 %\"\n[opamp.all]\nrejection = \"100 dB\"\n";
    let design = ask("design -").stdin(spec).desk(Desk::default()).answers_json(0, "evenkeel.design.v1");
    let worst = design["rejection"]["worst_db"].as_f64().expect("bounded");
    assert_eq!(lines.len(), 8, "seven resistors, and what they come to: {lines:?}");
    assert!(
        lines[0].starts_with("RG ") && lines[7].ends_with(&format!("rejection guaranteed {worst:.2} dB")),
        "{lines:?}"
    );
}

/// Four resistors of tolerance t behind a first stage of gain 100 leave 100 · (1 + 1)/(4t), the handbook's estimate.
#[test]
fn a_sweep_in_code_falls_with_the_tolerance() {
    let lines = told(tolerance_sweep::tell);
    let verdicts: Vec<&str> = lines.iter().filter_map(|line| line.split_whitespace().last()).collect();
    assert_eq!(verdicts, ["met", "met", "met", "missed", "missed"], "{lines:?}");
    for (line, tolerance) in lines.iter().zip([0.05, 0.1, 0.25, 0.5, 1.0]) {
        let db: f64 = line.split_whitespace().nth(1).and_then(|db| db.parse().ok()).expect("a number");
        assert!((db - 20.0 * libm::log10(50.0 / (tolerance / 100.0))).abs() < 0.2, "{line}");
    }
}

#[test]
fn a_yield_study_in_code_falls_with_the_tolerance() {
    let lines = told(yield_study::tell);
    let passing = lines.iter().filter(|line| line.contains("of the boards pass"));
    let shares: Vec<f64> = passing.filter_map(|line| line.split_whitespace().nth(2)?.parse().ok()).collect();
    assert!(shares.len() == 3 && shares.windows(2).all(|pair| pair[0] >= pair[1]), "{lines:?}");
    assert!(shares[0] > 99.0 && shares[2] < 70.0, "{lines:?}");
    assert!(lines.last().is_some_and(|line| line.contains("half the spread of R")), "{lines:?}");
}
