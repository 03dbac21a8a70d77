use crate::asked::ask;
use crate::fixture;
use evenkeel::cli::Desk;
use evenkeel::report;
use evenkeel::series::Series;
use evenkeel::study::{Side, SizeAnswer, SizeQuestion, Stock, StudyFault};

/// A study that holds the question against what is expected of it.
fn expecting(check: fn(&SizeQuestion)) -> fn(&SizeQuestion) -> Result<SizeAnswer, StudyFault> {
    // A function pointer can capture nothing, so the check travels in a thread-local.
    thread_local!(static CHECK: std::cell::Cell<Option<fn(&SizeQuestion)>> = const { std::cell::Cell::new(None) });
    CHECK.set(Some(check));
    |question| {
        CHECK.get().expect("a check is set")(question);
        Ok(fixture::size(true))
    }
}

fn asks(line: &str, check: fn(&SizeQuestion)) {
    ask(line).desk(Desk { size: expecting(check), ..Desk::default() }).answers(0);
}

#[test]
fn what_is_not_given_takes_the_defaults_of_the_contract() {
    asks("size 100", |asked| {
        assert_eq!(asked.topology.name(), "three-op-amp");
        assert_eq!((asked.gain, asked.feedback_ohm, asked.tolerance), (100.0, None, 0.01));
        assert_eq!((asked.parts, asked.side, &asked.stock), (1, Side::Nearest, &Stock::Series(Series::E96)));
        assert_eq!((asked.chip_constant_ohm, asked.base_gain, asked.stage_two_gain), (None, 1.0, 1.0));
    });
    asks("size 100 --series e24", |asked| assert_eq!(asked.tolerance, 0.05));
}

#[test]
fn every_flag_reaches_the_question() {
    asks(
        "size 12.5 --feedback 24k9 --series E192 --tolerance 0.1% --parts 2 --side at-most --stage-two-gain 2",
        |asked| {
            assert_eq!((asked.gain, asked.feedback_ohm, asked.tolerance), (12.5, Some(24_900.0), 0.001));
            assert_eq!((asked.parts, asked.side, asked.stage_two_gain), (2, Side::AtMost, 2.0));
        },
    );
    asks("size 100 --topology single-chip --chip-constant 49.4k --base-gain 5 --side at-least", |asked| {
        assert_eq!((asked.chip_constant_ohm, asked.base_gain, asked.side), (Some(49_400.0), 5.0, Side::AtLeast));
    });
    asks("size 10 --stock 100,470,4k7", |asked| assert_eq!(asked.stock, Stock::Values(vec![100.0, 470.0, 4700.0])));
}

#[test]
fn the_answer_names_the_resistors_of_the_circuit() {
    // 1 + 2 * 25 kΩ / 100 Ω = 501, by hand.
    let told = ask("size 501 --feedback 25k").answers(0);
    assert!(told.starts_with("RG = 100 Ω, RF1 and RF2 = 25 kΩ: gain 501, error 0 %.\n"), "{told}");
    let told = ask("size 10 --topology difference --feedback 10k --stock 1k,10k").answers(0);
    assert!(told.starts_with("R1 and R3 = 1 kΩ, R2 and R4 = 10 kΩ: gain 10, error 0 %.\n"), "{told}");
}

#[test]
fn json_has_the_keys_of_the_contract() {
    let told = ask("size 501 --feedback 25k").answers_json(0, "evenkeel.size.v1");
    assert_eq!((&told["topology"], &told["series"]), (&"three-op-amp".into(), &"E96".into()));
    assert_eq!((told["target_gain"].as_f64(), told["exact_ohm"].as_f64()), (Some(501.0), Some(100.0)));
    let best = &told["choices"][0];
    assert_eq!((&best["kind"], &best["parts_ohm"]), (&"single".into(), &serde_json::json!([100.0])));
    assert_eq!((best["ohm"].as_f64(), best["feedback_ohm"].as_f64()), (Some(100.0), Some(25_000.0)));
    assert_eq!((best["gain"].as_f64(), best["error"].as_f64()), (Some(501.0), Some(0.0)));
    for key in ["exact_ohm", "error_low", "error_high"] {
        assert!(best[key].is_f64(), "{key}");
    }
    assert_eq!(told["neighbours"].as_array().map(Vec::len), Some(2));
    assert_eq!(told.get("reason"), None);
}

#[test]
fn a_gain_below_the_least_is_answered_with_a_reason() {
    let told = ask("size 0.5").answers_json(1, "evenkeel.size.v1");
    assert_eq!(told["choices"], serde_json::json!([]));
    assert!(told["reason"].is_string());
    ask("size 0.5").answers(1);
}

#[test]
fn a_fault_of_the_study_points_at_its_flag() {
    let told = ask("size 100 --topology single-chip --chip-constant 50k --feedback 10k").refuses();
    assert!(told.contains("1 | --feedback 10k\n  |            ^^^\n"), "{told}");
    let told = ask("size 100 --topology single-chip").refuses();
    assert!(told.contains("--chip-constant 50k"), "{told}");
}

#[test]
fn an_open_resistor_is_null() {
    let mut answer = fixture::size(true);
    answer.choices[0].ohm = None;
    let document = report::size(&answer);
    assert!(document.to_json().contains("\"ohm\": null"));
    assert!(document.to_text(report::Paint::Plain).starts_with("RG left open"));
}
