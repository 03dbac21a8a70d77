//! What would meet a missed limit, against closed forms.
use crate::{designed, question};
use evenkeel::designator::Topology;
use evenkeel::quantity::{Unit, parse};
use evenkeel::study::{RejectQuestion, reject};

fn number(words: &[String], before: &str, after: &str, unit: Unit) -> f64 {
    let line =
        words.iter().find(|line| line.starts_with(before)).unwrap_or_else(|| panic!("no `{before}` in {words:?}"));
    let text = line[before.len()..].split(after).next().expect("words");
    parse(text.trim(), unit).expect("a quantity")
}

/// Worst resistors of a difference stage, exact: `CMRR = (1 + G - (G - 1)t²)/(4t)`; Pallàs-Areny and Webster,
/// *Common mode rejection ratio in differential amplifiers*, IEEE Trans. Instrum. Meas. 40 (1991), as in
/// figures.md of this project. At G = 1: t = 1/(2·CMRR).
#[test]
fn the_loosest_tolerance_is_that_of_the_closed_form() {
    let found = designed(&question(
        "[target]\ngain = 1\n[circuit]\ntopology = \"difference\"\n[resistors]\ntolerance = \"1 %\"\ntempco = \"0 ppm/K\"\n\
         [limits]\nrejection = \"60 dB\"\n",
    ));
    let line = &found.limits[0];
    assert_eq!(line.met, Some(false));
    let tolerance = number(&line.would_meet, "resistor tolerance ", " or better", Unit::Fraction);
    let exact = 1.0 / (2.0 * 1000.0);
    assert!(tolerance <= exact && tolerance > exact * 0.999, "{tolerance}, by the book {exact}");
    // a network: each member within half the match
    let matched = number(&line.would_meet, "R1 to R4 as a network matched to ", " or better", Unit::Fraction);
    assert!(matched <= 2.0 * exact && matched > 2.0 * exact * 0.999, "{matched}");
}

/// The op amp of a difference stage alone: its own rejection carries over unchanged.
#[test]
fn the_least_op_amp_rejection_is_the_limit_itself() {
    let found = designed(&question(
        "[target]\ngain = 10\n[circuit]\ntopology = \"difference\"\n[resistors]\ntolerance = \"0 %\"\ntempco = \"0 ppm/K\"\n\
         [opamp.all]\nrejection = \"80 dB\"\n[limits]\nrejection = \"86 dB\"\n",
    ));
    let db = number(&found.limits[0].would_meet, "op-amp rejection ", " or more", Unit::Rejection);
    let db = evenkeel::quantity::decibels(db);
    assert!((85.999..86.011).contains(&db), "{db}");
}

/// Imbalance d into four balanced resistors of a difference stage of gain 1: `CMRR = 2·(R1 + Rs + ...)/d` to
/// first order, `(1 + G)(R1 + Rs)/d` (the bridge of figures.md with its legs off by d).
#[test]
fn the_largest_imbalance_is_that_of_the_bridge() {
    let found = designed(&question(
        "[source]\nresistance = \"100 Ω\"\nimbalance = \"50 Ω\"\n[target]\ngain = 1\n[circuit]\ntopology = \"difference\"\n\
         [resistors]\ntolerance = \"0 %\"\ntempco = \"0 ppm/K\"\nfixed = { R1 = \"10k\", R2 = \"10.1k\" }\n\
         [limits]\nrejection = \"60 dB\"\n",
    ));
    let d = number(&found.limits[0].would_meet, "source imbalance ", " or less", Unit::Ohm);
    let by_hand = 2.0 * 10.1e3 / 1000.0;
    assert!((d / by_hand - 1.0).abs() < 0.01, "{d}, by hand {by_hand}");
}

#[test]
fn what_is_said_to_meet_a_limit_meets_it() {
    let spec = |tolerance: &str| {
        format!(
            "[target]\ngain = 100\n[circuit]\nstage_two_gain = 1\n[resistors]\ntolerance = \"{tolerance}\"\ntempco = \"10 ppm/K\"\n\
             fixed = {{ RF = \"10k\", RG = \"202\", R1 = \"10k\", R2 = \"10k\" }}\n[opamp.all]\nrejection = \"115 dB\"\n\
             [limits]\nrejection = \"96 dB\"\n"
        )
    };
    let found = designed(&question(&spec("1 %")));
    let words = &found.limits[0].would_meet;
    let line = words.iter().find(|line| line.starts_with("resistor tolerance ")).expect("a tolerance");
    let tolerance = line["resistor tolerance ".len()..].split(" or").next().expect("words");
    assert!(designed(&question(&spec(tolerance))).met, "{line}");
    let looser = parse(tolerance, Unit::Fraction).expect("a share") * 1.002;
    assert!(!designed(&question(&spec(&format!("{} %", looser * 100.0)))).met);
}

#[test]
fn where_nothing_helps_it_says_why() {
    let found = designed(&question(
        "[target]\ngain = 1\n[circuit]\ntopology = \"difference\"\n[resistors]\ntolerance = \"1 %\"\n[opamp.all]\n\
         rejection = \"60 dB\"\n[limits]\nrejection = \"80 dB\"\n",
    ));
    let words = &found.limits[0].would_meet;
    assert!(words.len() == 1 && words[0].starts_with("no single change (60.00 dB with perfect resistors"), "{words:?}");
}

/// First order: `G1·(1 + G2)/(4t)` with G2 = 1, plus what the worst corner loses of the gain.
#[test]
fn reject_tells_the_least_stage_one_gain() {
    let asked = RejectQuestion {
        topology: Topology::ThreeOpAmp,
        gain: 10.0,
        tolerance: Some(0.001),
        match_fraction: None,
        opamp_rejection: None,
        stage_two_gain: 1.0,
        need_db: Some(90.0),
    };
    let need = reject(&asked).expect("an answer").need.expect("the inverse");
    let gain = need.least_stage_one_gain.expect("a gain");
    let estimate = evenkeel::quantity::from_decibels(90.0) * 0.004 / 2.0;
    assert!((gain / estimate - 1.0).abs() < 0.006, "{gain}, estimate {estimate}");
    let with = |gain: f64| reject(&RejectQuestion { gain, ..asked }).expect("an answer").worst_db.expect("bounded");
    assert!(with(gain) >= 90.0 - 1e-9 && with(gain * 0.9999) < 90.0);
    // 0.1 % leaves less than 90 dB at gain 10, whatever the op amps
    assert!(need.loosest_match.is_none() && need.why.is_some_and(|why| why.contains("resistors alone")));
}

/// The suggested tolerance is put in: the yield is met, and missed a little beyond.
#[test]
fn what_would_meet_a_missed_yield_meets_it() {
    let spec = |tolerance: &str| {
        format!(
            "[target]\ngain = 1\n[circuit]\ntopology = \"difference\"\n[resistors]\ntolerance = \"{tolerance}\"\ntempco = \"0 ppm/K\"\n\
             fixed = {{ R1 = \"10k\", R2 = \"10k\" }}\n[yield]\nboards = 100000\n[limits]\nrejection = \"54 dB\"\nyield = \"95 %\"\n"
        )
    };
    let line = |tolerance: &str| {
        let found = designed(&question(&spec(tolerance)));
        found.limits.iter().find(|line| line.limit == "yield").expect("a yield").clone()
    };
    let missed = line("1 %");
    assert_eq!(missed.met, Some(false));
    let words = missed.would_meet.iter().find(|words| words.starts_with("resistor tolerance ")).expect("a tolerance");
    let tolerance = words["resistor tolerance ".len()..].split(" or").next().expect("words");
    assert_eq!(line(tolerance).met, Some(true), "{words}");
    let looser = parse(tolerance, Unit::Fraction).expect("a share") * 1.1;
    assert_eq!(line(&format!("{} %", looser * 100.0)).met, Some(false), "{words}");
    // A_cm = t·(x1 + x4 - x2 - x3)/2 to first order, x uniform from -1 to 1; for 2 <= s <= 4 the sum of four of
    // them exceeds s with probability (4 - s)⁴/(2⁴·4!) (Irwin and Hall), and as often falls below -s
    let s = 2.0 * libm::pow(10.0, -54.0 / 20.0) / parse(tolerance, Unit::Fraction).expect("a share");
    let inside = |s: f64| 1.0 - 2.0 * libm::pow(4.0 - s, 4.0) / 384.0;
    assert!((inside(s) - 0.95).abs() < 0.006, "{s} {}", inside(s));
}

#[test]
fn a_yield_that_nothing_lifts_says_why() {
    let found = designed(&question(
        "[target]\ngain = 1\n[circuit]\ntopology = \"difference\"\n[resistors]\ntolerance = \"1 %\"\ntempco = \"0 ppm/K\"\n\
         fixed = { R1 = \"10k\", R2 = \"10k\" }\n[opamp.all]\nrejection = \"60 dB\"\n[yield]\nboards = 20000\n\
         [limits]\nrejection = \"70 dB\"\nyield = \"95 %\"\n",
    ));
    let line = found.limits.iter().find(|line| line.limit == "yield").expect("a yield");
    assert!(line.would_meet.len() == 1 && line.would_meet[0].starts_with("no single change ("), "{line:?}");
}
