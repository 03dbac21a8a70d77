//! What a lecturer would ask of the board: no line that leads nowhere, none that proves itself, no gap without a
//! reason, and figures that hold against values worked out apart from the code.
use crate::desk::{HOOK_LOAD, lesson, lessons, question, specs};
use evenkeel::equation::Equation;
use evenkeel::quantity::Unit;
use evenkeel::spec;
use evenkeel::study::explain::{Explanation, Lesson, Origin, Outcome, Step, Topic, Wanted, explain};
use std::collections::BTreeSet;
use std::f64::consts::PI;

fn outcomes(one: &Explanation) -> impl Iterator<Item = &Outcome> {
    one.outcome.iter().chain(&one.further)
}

fn step<'l>(lesson: &'l Lesson, name: &str) -> Option<&'l Step> {
    let mut steps = lesson.explanations.iter().flat_map(|one| &one.steps);
    steps.find(|step| step.equation.as_ref().is_some_and(|equation| equation.name == name))
}

fn value(lesson: &Lesson, name: &str) -> f64 {
    step(lesson, name).and_then(|step| step.equation.as_ref()).map(Equation::value).unwrap()
}

fn near(told: f64, worked: f64, share: f64) -> bool {
    (told / worked - 1.0).abs() <= share
}

/// Ends of a working that the network has no figure of its own for.
const ENDS: &[&str] = &["dB_1", "dB_G", "A_cm2", "CMRR_A1", "CMRR_est", "k_DC", "f_Z", "P", "f_guess"];

#[test]
fn no_line_leads_nowhere() {
    for (place, lesson) in lessons() {
        let steps = || lesson.explanations.iter().flat_map(|one| &one.steps);
        let sizes = lesson.explanations.iter().filter_map(|one| one.measured.as_ref()).flat_map(|m| &m.causes);
        let all = steps().filter_map(|step| step.equation.as_ref()).chain(sizes.filter_map(|s| s.by_hand.as_ref()));
        let used: BTreeSet<&str> = all.flat_map(|e| e.law.symbols()).map(|symbol| symbol.name.as_ref()).collect();
        let told: Vec<Option<f64>> = lesson.explanations.iter().flat_map(outcomes).map(|one| one.by_hand).collect();
        for step in steps().filter(|step| step.exact.is_none()) {
            let Some(equation) = &step.equation else { continue };
            let name = equation.name.as_ref();
            let an_end = ENDS.contains(&name) || told.contains(&Some(equation.value()));
            assert!(used.contains(name) || an_end, "{place}: {name} is worked out for nothing");
        }
    }
}

#[test]
fn nothing_is_held_against_itself() {
    for (place, lesson) in lessons() {
        for one in &lesson.explanations {
            let network = one.given.iter().filter(|given| given.from == Origin::Network);
            let network: Vec<&str> = network.map(|given| given.symbol.as_str()).collect();
            for step in &one.steps {
                let (Some(equation), Some(_)) = (&step.equation, step.exact) else { continue };
                let taken = equation.law.symbols().into_iter().any(|symbol| network.contains(&symbol.name.as_ref()));
                assert!(!taken, "{place}: {} is taken from the network and held against it", equation.name);
            }
        }
    }
}

#[test]
fn a_gap_that_one_sees_has_its_reason_in_the_closing_table() {
    for (place, lesson) in lessons() {
        for one in &lesson.explanations {
            for step in &one.steps {
                let (Some(equation), Some(exact)) = (&step.equation, step.exact) else { continue };
                let by_hand = equation.value();
                let gap = if equation.unit == Unit::Decibel { (exact - by_hand) / 8.7 } else { exact / by_hand - 1.0 };
                if !(gap.abs() > 0.05 && gap.is_finite()) || one.topic == Topic::Budget {
                    continue;
                }
                // the same reason makes a gap like it in the figure itself
                let like = |outcome: &&Outcome| {
                    let share =
                        outcome.exact.zip(outcome.by_hand).map_or(0.0, |(exact, by_hand)| exact / by_hand - 1.0);
                    outcome.by_hand == Some(by_hand) || (share / gap > 0.3 && outcome.unit == equation.unit)
                };
                let why = outcomes(one).find(like).is_some_and(|outcome| !outcome.why.is_empty());
                let spread = matches!(equation.name.as_ref(), "s_T" | "s_0");
                assert!(why || spread, "{place}, {}: {by_hand} by hand, {exact}", equation.name);
            }
        }
    }
}

/// The sizes at 74 dB are far from small; by hand they are still the network's.
#[test]
fn sizes_by_hand_are_the_networks_where_they_are_large() {
    for (place, lesson) in lessons() {
        let sizes = lesson.explanations.iter().filter_map(|one| one.measured.as_ref()).flat_map(|m| &m.causes);
        for size in sizes {
            let (Some(exact), Some(equation)) = (size.size, &size.by_hand) else { continue };
            let by_hand = equation.value();
            assert!(near(by_hand, exact, 0.01), "{place}, {}: {by_hand} by hand, {exact}", size.quantity);
        }
    }
}

/// Hook load at 74 dB, worked out on paper: R_b ∥ r_in = 9.90099 MΩ over 5011.87 is 1975.5 Ω in one leg; the
/// bias return from 1 - t² = 2·t·u, u = 1175·5011.87/1e7; the reference from 4e4·G1/(2·M - 3·G1) for four equal
/// resistors.
#[test]
fn the_hook_loads_sizes_are_those_of_paper() {
    let wanted = Wanted { topic: Some(Topic::Rejection), measured_db: Some(74.0) };
    let told = explain(&question(HOOK_LOAD), wanted).unwrap();
    let sizes = told.explanations[0].measured.as_ref().unwrap();
    let of = |words: &str| sizes.causes.iter().find(|one| one.quantity.contains(words)).unwrap().size;
    let m = libm::pow(10.0, 3.7);
    let u = 1175.0 * m / 1e7;
    let g1 = 1.0 + 23_000.0 / 232.0;
    for (words, worked) in [
        ("one leg", 1e7 * 1e9 / (1e7 + 1e9) / m),
        ("bias-return", (u * u + 1.0).sqrt() - u),
        ("reference", 4e4 * g1 / (2.0 * m - 3.0 * g1)),
        ("filter's resistors", 1e7 * 1e9 / (1e7 + 1e9) / (2e3 * m)),
    ] {
        let size = of(words).unwrap();
        assert!(near(size, worked, 2e-3), "{words}: {size}, {worked}");
    }
    assert_eq!(of("one up and one down"), None, "legs of 175 Ω can't differ by 2 kΩ around that");
}

fn chip() -> Lesson {
    lesson(&spec::starter(evenkeel::designator::Topology::SingleChip), None)
}

/// Rows of 1 MHz at 1 and 120 kHz at 100, RG 511 Ω of 50 kΩ: G = 98.8474, ln G/ln 100 = 0.997483, so 122.215 kHz.
#[test]
fn a_chips_bandwidth_is_read_between_its_rows() {
    let told = chip();
    let step = step(&told, "f_chip").unwrap();
    let equation = step.equation.as_ref().unwrap();
    assert_eq!(equation.symbols(), "BW_a + (BW_b - BW_a)·ln(G/G_a)/ln(G_b/G_a)");
    assert!((equation.value() - 122_215.0).abs() < 5.0, "{}", equation.value());
    let gain = told.explanations.iter().find(|one| one.topic == Topic::Gain).unwrap();
    assert!(gain.steps.iter().any(|step| step.text.contains("a gain of 100: t_chip = 0.3 %")), "where t_chip is from");
}

#[test]
fn a_chips_working_speaks_of_no_op_amp() {
    for (place, lesson) in lessons().iter().filter(|(place, _)| place.contains("single-chip")) {
        for one in lesson.explanations.iter().filter(|one| one.topic != Topic::Topology) {
            let why = outcomes(one).flat_map(|outcome| &outcome.why);
            let meanings = one.given.iter().map(|given| &given.meaning);
            for text in one.steps.iter().map(|step| &step.text).chain([&one.meaning]).chain(why).chain(meanings) {
                assert!(!text.contains("op amp"), "{place}, {}: {text}", one.topic);
            }
        }
    }
}

#[test]
fn a_single_op_amp_has_no_second_cause() {
    for (place, lesson) in lessons().iter().filter(|(place, _)| place.contains("difference") || place == "battery") {
        if place.contains("buffered") {
            continue;
        }
        for name in ["c_2", "q_2", "M_2", "M_meas2"] {
            assert!(step(lesson, name).is_none(), "{place}: {name}");
        }
    }
}

/// Equal speeds leave nothing by hand, nor in the network: what remains at the interference is told without them.
#[test]
fn equal_speed_is_told_and_is_nothing() {
    let mut question = question(HOOK_LOAD);
    question.opamps.values_mut().for_each(|data| data.gain_bandwidth_tolerance = 0.0);
    let told = explain(&question, Wanted { topic: Some(Topic::Rejection), measured_db: None }).unwrap();
    let rejection = &told.explanations[0];
    assert!(rejection.steps.iter().any(|step| step.text.contains("they fall short alike")));
    assert!(step(&told, "q_GBW").is_none());
    let there = &rejection.further[0];
    assert!((there.by_hand.unwrap() - there.exact.unwrap()).abs() < 0.1, "{there:?}");
}

/// The side that counts is told, and finite open-loop gain only where it counts.
#[test]
fn the_budget_tells_which_board_is_farthest_off() {
    let mut sides = BTreeSet::new();
    for (place, lesson) in lessons() {
        let Some(step) = step(lesson, "b_G") else { continue };
        let lowest = step.text.contains("the board with the lowest");
        assert!(lowest || step.text.contains("the board with the highest"), "{place}: {}", step.text);
        let used = step.equation.as_ref().unwrap().symbols().contains("l_OL");
        assert!(!used || lowest, "{place}: open-loop gain can't raise the gain");
        sides.insert(lowest);
    }
    assert_eq!(sides.len(), 2, "both sides are met");
}

/// The hook load's reference lies in the middle of its common mode: 50 mV off before, 100 mV from end to end after.
#[test]
fn the_common_mode_after_calibration_is_told() {
    let told = lesson(HOOK_LOAD, Some(Topic::Budget));
    let (before, after) = (value(&told, "b_cm"), value(&told, "b_cmcal"));
    assert!(near(after, 2.0 * before, 1e-9), "{before}, {after}");
    assert!(near(step(&told, "b_cmcal").unwrap().exact.unwrap(), after, 0.01));
}

/// A slew rate of 0.5 V/µs over half the span of 36 mV times what each output makes of it: with a stage two of 0.4 A1
/// and A2 swing by a quarter of G1·FS, more than the output's 0.4·G1·FS/2.
#[test]
fn the_op_amp_that_slews_first_is_told() {
    let text = HOOK_LOAD.replace("stage_two_gain = 1", "stage_two_gain = 0.4");
    let told = lesson(&text, Some(Topic::Bandwidth));
    let peak = value(&told, "G1") * 0.036 / 4.0;
    let step = step(&told, "f_p").unwrap();
    assert!(near(value(&told, "f_p"), 0.5e6 / (2.0 * PI * peak), 1e-6));
    assert!(near(step.exact.unwrap(), value(&told, "f_p"), 0.001), "{:?}", step.exact);
}

#[test]
fn every_limit_by_slewing_is_worked_out() {
    let mut seen = 0;
    for (place, lesson) in lessons() {
        let (_, text) = specs().into_iter().find(|(name, _)| name == place).unwrap();
        if !text.contains("\nslew_rate") {
            continue;
        }
        let step = step(lesson, "f_p").unwrap_or_else(|| panic!("{place}: no line for slewing"));
        let by_hand = step.equation.as_ref().map(Equation::value).unwrap();
        // a plain difference amplifier loads its source, and its output swings less by that
        let share = if place == "crowded difference" { 0.04 } else { 0.02 };
        assert!(near(by_hand, step.exact.unwrap(), share), "{place}: {by_hand}, {:?}", step.exact);
        seen += 1;
    }
    assert!(seen >= 10, "{seen}");
}

/// What the network finds by trying, by hand: the least gain at which a pin meets its limit. A battery's output meets
/// 11.8 V at 75 mV: 157.33.
#[test]
fn the_greatest_gain_that_fits_is_solved_for() {
    let mut seen = 0;
    for (place, lesson) in lessons() {
        let Some(step) = step(lesson, "G_fit") else { continue };
        let by_hand = step.equation.as_ref().map(Equation::value).unwrap();
        assert!(near(by_hand, step.exact.unwrap(), 0.01), "{place}: {by_hand}, {:?}", step.exact);
        if place == "battery" {
            assert!(near(by_hand, 11.8 / 0.075, 1e-9) && step.text.contains("A1 output"), "{by_hand}: {}", step.text);
        }
        seen += 1;
    }
    assert!(seen >= 10, "{seen}");
}

/// First order: the margin on the worst board is the network's but for what two deviations make together.
#[test]
fn the_margin_on_the_worst_board_is_near_the_networks() {
    for (place, lesson) in lessons() {
        let (Some(worst), Some(swing)) = (step(lesson, "m_worst"), step(lesson, "G")) else { continue };
        let by_hand = worst.equation.as_ref().map(Equation::value).unwrap();
        let gain = swing.equation.as_ref().map(Equation::value).unwrap();
        let (_, text) = specs().into_iter().find(|(name, _)| name == place).unwrap();
        let span = question(&text).signal.differential.unwrap();
        let output = gain * span.high.abs().max(span.low.abs());
        let gap = (by_hand - worst.exact.unwrap()).abs();
        assert!(gap < 0.003 * output, "{place}: {by_hand}, {:?}", worst.exact);
    }
}
