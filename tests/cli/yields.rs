use crate::asked::{ask, narrow};
use evenkeel::cli::Desk;
use evenkeel::study;
use serde_json::Value;

const SPEC: &str = "title = \"Strut gauge\"\n[interference]\nfrequency = \"50 Hz\"\n[target]\ngain = 100\n\
                    [resistors]\ntolerance = \"0.1 %\"\n[opamp.all]\nrejection = \"100 dB\"\n";

fn spec(limits: &str) -> String {
    format!("{SPEC}[limits]\n{limits}\n")
}

const BOTH: &str = "gain_error = \"0.9 %\"\nrejection = \"92 dB\"";

/// The answer, and the one line about speed on standard error.
fn told(line: &str, spec: &str, status: u8) -> String {
    let told = ask(line).stdin(spec).run();
    assert_eq!(told.status, status, "{}{}", told.stdout, told.stderr);
    assert!(told.stderr.ends_with(" M boards/s\n") && told.stderr.lines().count() == 1, "{}", told.stderr);
    told.stdout
}

fn json(line: &str, spec: &str, status: u8) -> Value {
    serde_json::from_str(&told(&format!("{line} --format json"), spec, status)).expect("JSON")
}

#[test]
fn the_keys_of_the_contract() {
    let answer = json("yield - --boards 1e5 --seed 7 --tail", &spec(BOTH), 0);
    assert_eq!(answer["schema"], "evenkeel.yield.v1");
    assert_eq!((answer["boards"].as_u64(), answer["seed"].as_u64()), (Some(100_000), Some(7)));
    assert_eq!((&answer["shape"], &answer["partial"]), (&"uniform".into(), &false.into()));
    let pass = answer["pass"].as_u64().expect("a count");
    let fraction = answer["fraction"].as_f64().expect("a share");
    assert_eq!(fraction, pass as f64 / 1e5);
    let (low, high) = (answer["low"].as_f64().expect("an end"), answer["high"].as_f64().expect("an end"));
    assert!(low < fraction && fraction < high && fraction > 0.05 && fraction < 0.999, "{low} {fraction} {high}");
    let limits: Vec<&str> =
        answer["by_limit"].as_array().expect("limits").iter().filter_map(|line| line["limit"].as_str()).collect();
    assert_eq!(limits, ["gain_error", "rejection"]);
    for figure in ["gain_error", "rejection_db"] {
        let quantiles = answer[figure]["quantiles"].as_array().expect("quantiles");
        let p: Vec<f64> = quantiles.iter().filter_map(|line| line["p"].as_f64()).collect();
        assert_eq!(p, [0.001, 0.01, 0.05, 0.5, 0.95, 0.99, 0.999]);
        let values: Vec<f64> = quantiles.iter().filter_map(|line| line["value"].as_f64()).collect();
        assert!(values.len() == 7 && values.is_sorted(), "{values:?}");
    }
    for line in answer["shares"].as_array().expect("shares") {
        for key in ["of_gain_variance", "of_common_mode_variance", "yield_if_halved"] {
            assert!(line[key].as_f64().is_some_and(|share| (0.0..=1.0).contains(&share)), "{key}: {line}");
        }
    }
    let tail = answer["tail"].as_array().expect("a tail");
    assert_eq!(tail.len(), 2);
    for line in tail {
        for key in ["limit", "probability", "low", "high", "effective_samples", "trusted"] {
            assert!(!line[key].is_null(), "{key}: {line}");
        }
    }
}

#[test]
fn text_stays_within_a_terminal() {
    let text = told("yield - --boards 20000", &spec(BOTH), 0);
    narrow(&text);
    assert!(text.contains("20 000 boards pass") && text.contains("Strut gauge") && text.contains('█'), "{text}");
    assert!(text.contains("R1..R4 as a 0.02 % network"), "{text}");
}

#[test]
fn flags_win_over_the_spec() {
    let drawn = format!("{}[yield]\nboards = \"10k\"\nseed = 3\nshape = \"normal\"\n", spec(BOTH));
    let of_spec = json("yield -", &drawn, 0);
    assert_eq!((of_spec["boards"].as_u64(), &of_spec["shape"]), (Some(10_000), &"normal".into()));
    let of_flags = json("yield - --boards 5k --shape uniform --temperature uniform", &drawn, 0);
    assert_eq!((of_flags["boards"].as_u64(), &of_flags["shape"]), (Some(5000), &"uniform".into()));
    assert_eq!((of_flags["seed"].as_u64(), &of_flags["temperature"]), (Some(3), &"uniform".into()));
}

#[test]
fn threads_change_no_byte() {
    let one = told("yield - --boards 200k --threads 1", &spec(BOTH), 0);
    assert_eq!(one, told("yield - --boards 200k --threads 3", &spec(BOTH), 0));
}

#[test]
fn a_yield_under_its_limit_is_status_1() {
    let text = told("yield - --boards 20000", &spec(&format!("{BOTH}\nyield = \"99.9 %\"")), 1);
    assert!(text.contains("99.9 % is not met"), "{text}");
    let wide = "gain_error = \"5 %\"\nyield = \"99.9 %\"";
    assert!(told("yield - --boards 20000", &spec(wide), 0).contains("99.9 % is met"));
    // Of few boards not even all passing is enough.
    told("yield - --boards 100", &spec(wide), 1);
}

#[test]
fn a_limit_that_can_not_be_drawn_is_status_1() {
    let answer = json("yield - --boards 1000", &spec("gain_error = \"5 %\"\nheadroom = \"0.1 V\""), 1);
    assert_eq!(answer["not_predicted"][0]["figure"], "headroom");
}

#[test]
fn without_a_limit_there_is_no_yield() {
    let told = ask("yield -").stdin(SPEC).refuses();
    let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("`gain_error`, `rejection`, `rejection_at_interference` or `headroom`"), "{told}");
    let only = ask("yield -").stdin(&spec("noise = \"2 µV\"")).refuses_json();
    assert_eq!(only[0]["code"], "no-drawn-limit");
}

#[test]
fn counts_that_are_none() {
    for (flag, value) in [("--boards", "0"), ("--boards", "1.5"), ("--seed", "-1"), ("--boards", "many")] {
        let told = ask(&format!("yield - {flag} {value}")).stdin(&spec(BOTH)).refuses();
        assert!(told.contains(flag) && told.contains(value), "{told}");
    }
}

/// An interrupted run is told as far as it got.
#[test]
fn interruption_is_status_130() {
    let desk = Desk {
        yields: |question, options, go_on| study::yields(question, options, &mut |done| go_on(done) && done == 0),
        ..Desk::default()
    };
    let told = ask("yield - --boards 1G --threads 1 --format json").desk(desk).stdin(&spec(BOTH)).run();
    assert_eq!(told.status, 130, "{}", told.stderr);
    let answer: Value = serde_json::from_str(&told.stdout).expect("JSON");
    assert_eq!((&answer["partial"], answer["boards"].as_u64()), (&true.into(), Some(65_536)));
}

/// `limits.yield` puts the figure into the design.
#[test]
fn a_design_tells_the_yield_where_it_is_limited() {
    let spec = spec("gain_error = \"5 %\"\nyield = \"99.9 %\"");
    let answer = ask("design -").desk(Desk::default()).stdin(&spec).answers_json(0, "evenkeel.design.v1");
    assert_eq!(answer["yield"]["fraction"], 1.0);
    let line = &answer["limits"][1];
    assert_eq!((&line["limit"], &line["met"]), (&"yield".into(), &true.into()));
    assert!(line["predicted"].as_f64().is_some_and(|low| low > 0.999_9 && low < 1.0), "{line}");
}
