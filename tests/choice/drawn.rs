//! A yield that is asked for takes part in the choice.
use crate::{designed, ohm, question};
use Designator::{R1, R2, R3, R4};
use evenkeel::designator::Designator;
use evenkeel::part::Fixed;
use evenkeel::study::{Question, YieldOptions, yields};

/// 100.03 kΩ over 10 kΩ is nearer than a tenth of the spread and makes less noise than 200 kΩ over 20 kΩ, which is exact.
const SPEC: &str = "[target]\ngain = 10\n[circuit]\ntopology = \"difference\"\n[resistors]\n\
    stock = [\"10k\", \"20k\", \"100.03k\", \"200k\"]\ntolerance = \"0.1 %\"\ntempco = \"0 ppm/K\"\n\
    [yield]\nboards = 40000\n[limits]\ngain_error = \"0.15 %\"\n";

/// The lower end of the yield with these values, drawn for them alone.
fn low(question: &Question, r1: f64, r2: f64) -> f64 {
    let mut asked = question.clone();
    for (name, ohm) in [(R1, r1), (R2, r2), (R3, r1), (R4, r2)] {
        asked.resistors.fixed.insert(name, Fixed::Ohm(ohm));
    }
    yields(&asked, &YieldOptions::default(), &mut |_| true).expect("a limit is drawn").low
}

#[test]
fn values_that_hold_the_yield_come_first() {
    let free = question(SPEC);
    let (quiet, exact) = (low(&free, 10e3, 100.03e3), low(&free, 20e3, 200e3));
    assert!(exact > quiet + 1e-3, "{exact} {quiet}");
    assert_eq!(ohm(&designed(&free), "R1"), 10e3);
    let asks = |least: f64| question(&format!("{SPEC}yield = \"{} %\"\n", 100.0 * least));
    let held = designed(&asks(f64::midpoint(quiet, exact)));
    assert_eq!((ohm(&held, "R1"), ohm(&held, "R2")), (20e3, 200e3), "{:?}", held.search);
    let line = |found: &evenkeel::study::Design| {
        found.limits.iter().find(|line| line.limit == "yield").and_then(|one| one.met)
    };
    assert_eq!(line(&held), Some(true));
    // what no set holds is said, and the first in the order is taken
    let none = designed(&asks(exact + 0.5 * (1.0 - exact)));
    assert_eq!((ohm(&none, "R1"), line(&none)), (10e3, Some(false)));
    assert!(!none.search.proven && none.search.note.contains("yield"), "{:?}", none.search);
}

/// Limits that the worst board holds are held by all: nothing has to be drawn to know it.
#[test]
fn a_yield_that_cannot_fail_changes_nothing() {
    let text = SPEC.replace("0.15 %", "0.5 %");
    let (free, held) = (designed(&question(&text)), designed(&question(&format!("{text}yield = \"99.9 %\"\n"))));
    assert_eq!((ohm(&free, "R1"), ohm(&free, "R2")), (ohm(&held, "R1"), ohm(&held, "R2")));
    assert!(held.met && held.search.proven, "{:?}", held.search);
}
