//! Intermediate results of the working are the voltages of the network.
use crate::desk::{BATTERY, CV_IA3_01, GEOPHONE, HOOK_LOAD, lesson, lessons, question, specs};
use evenkeel::designator::Topology;
use evenkeel::quantity::Unit;
use evenkeel::study::Question;
use evenkeel::study::explain::{Explanation, Lesson, Step, Topic, Wanted, explain};

fn steps(lesson: &Lesson) -> impl Iterator<Item = &Step> {
    lesson.explanations.iter().flat_map(|one| &one.steps)
}

fn one_topic(lesson: &Lesson, topic: Topic) -> &Explanation {
    lesson.explanations.iter().find(|one| one.topic == topic).unwrap()
}

fn named<'l>(lesson: &'l Lesson, name: &str) -> &'l Step {
    steps(lesson).find(|step| step.equation.as_ref().is_some_and(|e| e.name == name)).unwrap()
}

/// CV-IA3-01, published: v_A1 = 5 - 5.005 s, v_A2 = 5 + 5.005 s, A3's inputs 2.5 + 2.5025 s, v_out = 10.01 s; s = 1.
#[test]
fn the_published_node_voltages_appear_in_the_working() {
    let told = lesson(CV_IA3_01, Some(Topic::Gain));
    for (name, published, printed) in [
        ("v_A1", -0.005, "-5 mV"),
        ("v_A2", 10.005, "10.005 V"),
        ("v_x", 5.0025, "5.0025 V"),
        ("v_out", 10.01, "10.01 V"),
        ("G", 1001.0, "1001"),
    ] {
        let step = named(&told, name);
        let equation = step.equation.as_ref().unwrap();
        assert!((equation.value() - published).abs() < 1e-9, "{name} is {}", equation.value());
        assert!((step.exact.unwrap() - published).abs() < 1e-9, "{name} is {:?} in the network", step.exact);
        assert_eq!(equation.result(), printed);
    }
}

/// The same questions with op amps, source and surroundings that are perfect.
fn perfect(text: &str) -> Question {
    let mut question = question(text);
    question.opamps.clear();
    question.source.resistance_ohm = 0.0;
    question.source.imbalance_ohm = 0.0;
    question.source.bias_return_ohm = None;
    question.source.cable_capacitance_f = None;
    question.filter = None;
    question.reference_resistance_ohm = 0.0;
    question.strays = evenkeel::study::Strays::default();
    question
}

#[test]
fn with_perfect_parts_the_working_is_the_network() {
    for (name, text) in specs() {
        let question = perfect(&text);
        if question.topology == Topology::SingleChip {
            continue;
        }
        let told = explain(&question, Wanted::default()).unwrap();
        let mut compared = 0;
        for topic in [Topic::Gain, Topic::Headroom, Topic::Impedance] {
            let Some(one) = told.explanations.iter().find(|one| one.topic == topic) else { continue };
            for step in &one.steps {
                let (Some(equation), Some(exact)) = (&step.equation, step.exact) else { continue };
                if matches!(equation.name.as_ref(), "s_T" | "s_0" | "m_worst") {
                    continue;
                }
                let by_hand = equation.value();
                let scale = by_hand.abs().max(if equation.unit == Unit::Volt { 1.0 } else { 0.0 });
                assert!(
                    (by_hand - exact).abs() <= 1e-9 * scale,
                    "{name}, {topic}, {}: {by_hand} by hand, {exact} by the network",
                    equation.name
                );
                compared += 1;
            }
        }
        assert!(compared >= 5, "{name}: {compared}");
    }
}

/// The spread of the gain is first order: with ideal op amps and small tolerances it is the network's.
#[test]
fn weights_of_the_gain_are_the_networks() {
    for (name, text) in specs() {
        let mut question = perfect(&text);
        if question.topology == Topology::SingleChip {
            continue;
        }
        question.resistors.grade.tolerance = 1e-5;
        question.resistors.grade.tempco_per_k = 0.0;
        question.resistors.own_grade.clear();
        for network in &mut question.resistors.networks {
            network.grade = None;
            network.match_fraction = 4e-6;
            network.match_tempco_per_k = 0.0;
        }
        let told = explain(&question, Wanted { topic: Some(Topic::Gain), measured_db: None }).unwrap();
        let step = named(&told, "s_T");
        let (by_hand, exact) = (step.equation.as_ref().unwrap().value(), step.exact.unwrap());
        assert!((by_hand / exact - 1.0).abs() < 1e-3, "{name}: {by_hand} by hand, {exact} by the network");
    }
}

/// Each closed form of a single cause, in decibels, beside the network's figure for that cause alone.
#[test]
fn closed_forms_of_single_causes_are_near_the_network() {
    let mut seen: Vec<String> = Vec::new();
    for (name, told) in lessons() {
        let told = one_topic(told, Topic::Rejection);
        for step in &told.steps {
            let (Some(equation), Some(exact)) = (&step.equation, step.exact) else { continue };
            let of_whole = matches!(equation.name.as_ref(), "CMRR_all" | "CMRR_i" | "CMRR_h2" | "CMRR_h10");
            if equation.unit != Unit::Decibel || of_whole {
                continue;
            }
            assert!(
                (equation.value() - exact).abs() < 0.5,
                "{name}, {}: {} by hand, {exact} by the network",
                equation.name,
                equation.value()
            );
            seen.push(equation.name.clone().into_owned());
        }
    }
    for due in [
        "CMRR_R",
        "CMRR_1",
        "CMRR_2",
        "CMRR_OL",
        "CMRR_ref",
        "CMRR_b",
        "CMRR_s",
        "CMRR_fil",
        "CMRR_1i",
        "CMRR_2i",
        "CMRR_GBWi",
        "CMRR_si",
        "CMRR_cabi",
        "CMRR_fili",
        "CMRR_Gi",
    ] {
        assert!(seen.iter().any(|name| name == due), "{due} is nowhere held against the network");
    }
}

/// What the examples' figures come to by hand: near enough for a reader who checks.
#[test]
fn the_examples_by_hand_are_near_the_network() {
    for (name, text) in [("hook-load", HOOK_LOAD), ("geophone", GEOPHONE), ("battery", BATTERY)] {
        let told = lesson(text, None);
        assert!(told.missing.is_empty(), "{name}: {:?}", told.missing);
        for one in &told.explanations {
            let Some(outcome) = &one.outcome else { continue };
            let (by_hand, exact) = (outcome.by_hand.unwrap(), outcome.exact.unwrap());
            let (near, far) = match one.topic {
                Topic::Rejection => ((by_hand - exact).abs(), 0.1),
                Topic::Bandwidth => ((by_hand / exact - 1.0).abs(), 0.01),
                Topic::InputFilter => ((by_hand / exact - 1.0).abs(), 0.005),
                Topic::Noise => ((by_hand / exact - 1.0).abs(), 0.01),
                Topic::Budget => ((by_hand / exact - 1.0).abs(), 0.01),
                _ => ((by_hand / exact - 1.0).abs(), 0.002),
            };
            assert!(near <= far, "{name}, {}: {by_hand} by hand, {exact} by the network", one.topic);
        }
        let rejection = told.explanations.iter().find(|one| one.topic == Topic::Rejection).unwrap();
        let there = rejection.further.iter().find(|one| one.what.contains("interference")).unwrap();
        let gap = there.by_hand.unwrap() - there.exact.unwrap();
        assert!(gap.abs() < 0.1, "{name}: at the interference {gap} dB are left");
    }
}

/// At the interference and its harmonics too, with everything around the circuit that there is.
#[test]
fn all_causes_together_are_near_the_network() {
    let mut seen = 0;
    for (name, told) in lessons() {
        let told = one_topic(told, Topic::Rejection);
        for step in &told.steps {
            let (Some(equation), Some(exact)) = (&step.equation, step.exact) else { continue };
            if matches!(equation.name.as_ref(), "CMRR_all" | "CMRR_i" | "CMRR_h2" | "CMRR_h10") {
                let by_hand = equation.value();
                assert!((by_hand - exact).abs() < 0.3, "{name}, {}: {by_hand} by hand, {exact}", equation.name);
                seen += 1;
            }
        }
    }
    assert!(seen > 30, "{seen}");
}

/// The budget's lines by hand are no copy of the network's: some differ, none by much.
#[test]
fn lines_of_the_budget_are_a_second_witness() {
    for (name, told) in lessons() {
        let Some(budget) = told.explanations.iter().find(|one| one.topic == Topic::Budget) else { continue };
        let outcome = budget.outcome.as_ref().unwrap();
        let (by_hand, exact) = (outcome.by_hand.unwrap(), outcome.exact.unwrap());
        assert!((by_hand / exact - 1.0).abs() < 0.03, "{name}: {by_hand} by hand, {exact}");
        for step in &budget.steps {
            let (Some(equation), Some(exact_line)) = (&step.equation, step.exact) else { continue };
            if equation.unit == Unit::Fraction && equation.name.starts_with("b_") {
                let gap = (equation.value() - exact_line).abs();
                assert!(gap < 0.02 * exact, "{name}, {}: {} by hand, {exact_line}", equation.name, equation.value());
            }
        }
    }
}

/// What one cause does alone at a chip is told without the chip's own rejection: bias returns of 1 MΩ off by
/// 2 % behind 340 Ω make 2·0.02·340/1e6.
#[test]
fn a_cause_alone_at_a_chip_is_alone() {
    let (_, text) = specs().into_iter().find(|(name, _)| name == "crowded single-chip").unwrap();
    let told = lesson(&text, Some(Topic::Rejection));
    let alone = named(&told, "CMRR_b").exact.unwrap();
    let worked = -20.0 * libm::log10(2.0 * 0.02 * 340.0 / 1e6);
    assert!((alone - worked).abs() < 0.01, "{alone} dB, {worked}");
}
