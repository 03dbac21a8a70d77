//! Cautions come when they are due, and not else.
use crate::bench::case;
use evenkeel::designator::Topology;
use evenkeel::study::{Interference, NOT_ISOLATION, Question, Span, cautions};

fn quiet() -> Question {
    case(Topology::Difference, &[]).supply(0.0, 5.0).signals((2.0, 3.0), (-0.1, 0.1)).question
}

#[track_caller]
fn raises(question: &Question, words: &str) {
    let told = cautions(question);
    assert!(told.iter().any(|one| one.contains(words)), "{words} not in {told:?}");
    assert_eq!(told.last().unwrap(), NOT_ISOLATION);
}

#[test]
fn a_bench_supply_and_a_bridge_need_none() {
    assert!(cautions(&quiet()).is_empty());
}

#[test]
fn high_voltages_are_named_by_what_instrument_makers_print() {
    // CV-SF-01: 30 V rms, 42.4 V peak or 60 V dc.
    let mut question = quiet();
    question.supply = None;
    question.signal.differential = None;
    let mut at = |low: f64, high: f64, pick_up: f64| {
        question.signal.common_mode = Some(Span { low, high });
        question.interference = Some(Interference { frequency_hz: 50.0, amplitude_v: pick_up });
        cautions(&question)
    };
    assert!(at(60.0, 60.0, 0.0).is_empty(), "60 V dc is not above 60 V dc");
    assert!(at(-60.1, -60.1, 0.0)[0].contains("dc"));
    assert!(at(-42.3, 42.3, 0.0).is_empty());
    assert!(at(-42.5, 0.0, 0.0)[0].contains("peak"));
    assert!(at(0.0, 0.0, 42.5)[0].contains("42.5 V peak"));
    assert!(at(24.0, 24.0, 20.0)[0].contains("44 V peak"));
    question.signal.common_mode = Some(Span::point(59.9));
    question.interference = None;
    question.signal.differential = Some(Span { low: -0.4, high: 0.1 });
    raises(&question, "60.1 V dc");
}

#[test]
fn wires_outside_the_supplies_people_and_the_mains_raise_one() {
    let mut question = quiet();
    question.interference = Some(Interference { frequency_hz: 50.0, amplitude_v: 2.5 });
    raises(&question, "outside the supplies");
    let mut question = quiet();
    question.source.on_body = true;
    raises(&question, "may be a person");
    let mut question = quiet();
    question.source.mains_connected = true;
    raises(&question, "mains");
    let told = cautions(&question).join(" ");
    for words in ["not isolation", "safety standard", "local code", "qualified practice"] {
        assert!(told.contains(words), "{words}");
    }
}
