//! Trimming: the range covers every corner of the untrimmed circuit.
use crate::question;
use evenkeel::study::{Question, trim};

const SPEC: &str = "[signal]\ndifferential = \"± 18 mV\"\ncommon_mode = \"2 V .. 3 V\"\n[target]\ngain = 101\n\
    [circuit]\nstage_two_gain = 1\n[resistors]\ntolerance = \"1 %\"\ntempco = \"0 ppm/K\"\n\
    fixed = { RF = \"20k\", RG = \"400\", R1 = \"10k\", R2 = \"10k\" }\n";

fn asked(more: &str) -> Question {
    question(&format!("{SPEC}{more}"))
}

/// By hand, ideal op amps: with RF and the stage off by 1 % each, RG has to be
/// `2RF(1 ± t)/(G/g - 1)`, where g is the stage's gain at its worst, `(a + b)/2` over its corners.
#[test]
fn the_range_needed_is_that_of_the_equations() {
    let found = trim(&asked("")).expect("an answer");
    let gain = found.gain.expect("RG can be trimmed");
    let t = 0.01_f64;
    let stage = |s: f64| {
        let b = (1.0 + s * t) / (1.0 - s * t);
        let a = (1.0 + b) * (1.0 + s * t) / ((1.0 + s * t) + (1.0 - s * t));
        (a, b)
    };
    let needed = |s: f64| {
        let (a, b) = stage(s);
        (a + b) * 20e3 * (1.0 + s * t) / (101.0 - (a + b) / 2.0)
    };
    assert!(
        (gain.part.needed_high_ohm / needed(1.0) - 1.0).abs() < 1e-6,
        "{} {}",
        gain.part.needed_high_ohm,
        needed(1.0)
    );
    assert!((gain.part.needed_low_ohm / needed(-1.0) - 1.0).abs() < 1e-6, "{}", gain.part.needed_low_ohm);
    // R4 = R2R3/R1 nulls the stage: three resistors at their ends
    let leg = found.rejection.expect("R4 can be trimmed").part;
    let (low, high) = (10e3 * 0.99 * 0.99 / 1.01, 10e3 * 1.01 * 1.01 / 0.99);
    assert!((leg.needed_low_ohm / low - 1.0).abs() < 1e-6 && (leg.needed_high_ohm / high - 1.0).abs() < 1e-6);
}

#[test]
fn fixed_part_and_trimmer_reach_it_whatever_they_are() {
    for more in ["", "[trimmer]\ntolerance = \"20 %\"\nend_resistance = \"10 Ω\"\nadjustability = \"0.1 %\"\n"] {
        let found = trim(&asked(more)).expect("an answer");
        let (tolerance, end) = if more.is_empty() { (0.1, None) } else { (0.2, Some(10.0)) };
        for one in [found.gain.expect("gain"), found.rejection.expect("rejection")] {
            let part = one.part;
            let end = end.unwrap_or((0.01 * part.trimmer_ohm).max(2.0));
            let width = part.needed_high_ohm - part.needed_low_ohm;
            let least = part.fixed_ohm * 1.01 + end;
            let greatest = part.fixed_ohm * 0.99 + part.trimmer_ohm * (1.0 - tolerance);
            assert!(least <= part.needed_low_ohm - 0.0999 * width, "{part:?}");
            assert!(greatest >= part.needed_high_ohm + 0.0999 * width, "{part:?}");
            assert!(part.spare >= 0.1);
        }
        assert!(found.steps.len() >= 6 && found.notes.is_empty(), "{:?}", found.notes);
    }
}

#[test]
fn trimming_leaves_less_than_before() {
    let found = trim(&asked("")).expect("an answer");
    let (gain, rejection) = (found.gain.expect("gain"), found.rejection.expect("rejection"));
    assert!(gain.after.expect("told") < found.untrimmed_error / 10.0);
    // no tempco: what is left of the gain error is the step of the trimmer
    assert!((gain.after.unwrap() / gain.resolution.unwrap() - 1.0).abs() < 1e-6);
    assert!(rejection.after.expect("told") > found.untrimmed_db.expect("bounded") + 20.0);
}

#[test]
fn a_difference_stage_has_no_gain_trimmer() {
    let text = "[target]\ngain = 10\n[circuit]\ntopology = \"buffered-difference\"\n[resistors]\ntolerance = \"1 %\"\n";
    let found = trim(&question(text)).expect("an answer");
    assert!(found.gain.is_none() && found.rejection.is_some());
    assert!(found.notes[0].contains("two matched resistors"), "{:?}", found.notes);
}

/// By hand, `A_cm = (e1 + e4 - e2 - e3)/2` with equal resistors, G = 100, 45 K. The network alone: each of four off by
/// half the match and half of 2 ppm/K, 95 ppm: 114.4 dB. With a fixed part of about 9.76 kΩ (25 ppm/K) and 240 Ω of
/// trimmer (100 ppm/K) for R4: it drifts by 27 ppm/K on its own, the other three by 25 ppm/K in common and 1 ppm/K
/// each, `(27 + 25 + 3) ppm/K · 45 K / 2 = 0.124 %`: 98.1 dB.
#[test]
fn what_trimming_makes_worse_is_not_advised() {
    let spec = "[environment]\ntemperature = \"-20 °C .. 70 °C\"\n[target]\ngain = 100\n[circuit]\nstage_two_gain = 1\n\
        [resistors]\ntolerance = \"0.1 %\"\ntempco = \"25 ppm/K\"\nfixed = { RF = \"11.5k\", RG = \"232\", R1 = \"10k\", R2 = \"10k\" }\n\
        [[resistors.network]]\nmembers = [\"R1\", \"R2\", \"R3\", \"R4\"]\nmatch = \"0.01 %\"\nmatch_tempco = \"2 ppm/K\"\n";
    let found = trim(&question(spec)).expect("an answer");
    let rejection = found.rejection.expect("R4 has a trimmer");
    assert!(!rejection.worthwhile && rejection.drifts, "{rejection:?}");
    let (before, after) = (found.untrimmed_db.expect("bounded"), rejection.after.expect("bounded"));
    assert!((after - 98.1).abs() < 0.5 && (before - 114.4).abs() < 0.2, "{after} {before}");
    assert!(found.notes.iter().any(|note| note.starts_with("don't trim R4") && note.contains("leaves its network")));
    assert!(!found.steps.iter().any(|step| step.contains("R4")), "{:?}", found.steps);
    assert!(found.gain.expect("gain").worthwhile);
}

#[test]
fn a_chip_is_trimmed_for_gain_only() {
    let text = "[environment]\ntemperature = \"0 °C .. 50 °C\"\n[target]\ngain = 100\n[circuit]\ntopology = \"single-chip\"\n\
        [resistors]\ntolerance = \"1 %\"\ntempco = \"50 ppm/K\"\n\
        [chip]\ngain_constant = \"50k\"\ngain_error = [{ gain = 1, error = \"0.05 %\" }, { gain = 100, error = \"0.3 %\" }]\n";
    let found = trim(&question(text)).expect("an answer");
    assert!(found.rejection.is_none() && found.notes.iter().any(|note| note.contains("trimmed by its maker")));
    let gain = found.gain.expect("RG can be trimmed");
    // G = 1 + 50k/RG: 505.05 Ω, and ±0.3 % of the chip asks for so much either way
    let exact = 50e3 / 99.0;
    assert!(gain.part.needed_low_ohm < exact * 0.9975 && gain.part.needed_high_ohm > exact * 1.0025, "{:?}", gain.part);
    assert!(gain.worthwhile && gain.after.expect("told") < 0.005);
}

/// Bourns 3296 data sheet, seen: an end resistance of 1 % or 2 Ω, whichever is greater. Large trimmers have more than 2 Ω.
#[test]
fn the_end_of_a_large_trimmer_is_counted() {
    let spec = "[target]\ngain = 2\n[resistors]\ntolerance = \"5 %\"\ntempco = \"0 ppm/K\"\n\
        fixed = { RG = \"100k\", RF1 = \"49.9k\", RF2 = \"49.9k\" }\n";
    let found = trim(&question(spec)).expect("an answer");
    let part = found.gain.expect("gain").part;
    assert!(part.trimmer_ohm >= 10e3, "{part:?}");
    let least = part.fixed_ohm * 1.05 + 0.01 * part.trimmer_ohm;
    assert!((part.least_ohm / least - 1.0).abs() < 1e-9, "{part:?}, by hand {least}");
}

/// A board as fitted, the trimmer in its middle: A_cm = (R1·R4 - R2·R3)/(R1·(R3 + R4)) at its corners, R4 the
/// fixed part and half the trimmer, each with its own tolerance.
#[test]
fn the_reading_before_trimming_is_that_of_the_board_as_fitted() {
    let found = trim(&asked("[trimmer]\ntolerance = \"20 %\"\n")).expect("an answer");
    let part = found.rejection.expect("R4 can be trimmed").part;
    let mut worst = 0.0_f64;
    for corner in 0..16_u32 {
        let sign = |bit: u32| if corner >> bit & 1 == 1 { 1.0 } else { -1.0 };
        let [r1, r2, r3] = [0, 1, 2].map(|bit| 10e3 * (1.0 + 0.01 * sign(bit)));
        let r4 = part.fixed_ohm * (1.0 + 0.01 * sign(3)) + part.trimmer_ohm / 2.0 * (1.0 + 0.2 * sign(3));
        worst = worst.max(((r1 * r4 - r2 * r3) / (r1 * (r3 + r4))).abs());
    }
    let step = found.steps.iter().find(|step| step.contains("moves by up to")).expect("a step");
    let told = step.split("up to ").nth(1).and_then(|rest| rest.split(' ').next()).expect("a number");
    let told: f64 = told.parse().expect("millivolts");
    assert!((told / (worst * 1e3) - 1.0).abs() < 1e-3, "{step}: {worst}");
}
