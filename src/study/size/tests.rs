use crate::designator::Topology;
use crate::series::Series;
use crate::study::{PickKind, Side, SizeQuestion, Stock, size};

fn asked(topology: Topology, gain: f64) -> SizeQuestion {
    SizeQuestion {
        topology,
        gain,
        feedback_ohm: None,
        stock: Stock::Series(Series::E96),
        tolerance: 0.01,
        parts: 1,
        side: Side::Nearest,
        chip_constant_ohm: None,
        base_gain: 1.0,
        stage_two_gain: 1.0,
    }
}

#[test]
fn a_gain_alone_is_answered() {
    let answer = size(&asked(Topology::ThreeOpAmp, 100.0)).unwrap();
    assert_eq!((answer.series.as_str(), answer.choices.len(), answer.reason), ("E96", 5, None));
    let best = &answer.choices[0];
    let (rf, rg) = (best.feedback_ohm.unwrap(), best.ohm.unwrap());
    assert!((10e3..=100e3).contains(&rf));
    // by hand: every choice is 1 + 2*RF/RG, and the exact RG 2*RF/99
    assert!((best.gain - (1.0 + 2.0 * rf / rg)).abs() < 1e-9 * best.gain);
    assert!((answer.exact_ohm.unwrap() - 2.0 * rf / 99.0).abs() < 1e-9 * rg);
    assert_eq!(best.parts_ohm, [rg]);
    assert!(answer.choices.windows(2).all(|two| two[0].error.abs() <= two[1].error.abs() + 1e-12));
    assert_eq!(answer.neighbours.len(), 2);
}

/// Load cell of CV-RG-12 (seen): K = 50 kΩ, gain 200, 251 Ω exact, 249 Ω gives 201.8.
#[test]
fn a_chip_by_its_gain_law() {
    let mut question = asked(Topology::SingleChip, 200.0);
    question.chip_constant_ohm = Some(50e3);
    let answer = size(&question).unwrap();
    assert_eq!((answer.choices[0].ohm, answer.choices[0].feedback_ohm), (Some(249.0), None));
    assert!((answer.exact_ohm.unwrap() - 251.256).abs() < 5e-4);
    question.gain = 1.0;
    let open = size(&question).unwrap();
    assert_eq!((open.choices[0].kind, open.choices[0].ohm, open.exact_ohm), (PickKind::Open, None, None));
}

#[test]
fn what_can_not_be_met_has_a_reason() {
    let low = size(&asked(Topology::ThreeOpAmp, 0.5)).unwrap();
    assert!(low.choices.is_empty() && low.reason.unwrap().contains("amplifies by 1 at least"));
    let mut drawer = asked(Topology::ThreeOpAmp, 100.0);
    drawer.stock = Stock::Values(vec![100.0, 470.0, 4.7e3]);
    // Nothing from 10 kΩ to 100 kΩ in it: RF is taken from what there is, 1 + 2 * 4.7k/100 = 95.
    let makeshift = size(&drawer).unwrap();
    assert_eq!((makeshift.series.as_str(), makeshift.choices[0].gain), ("stock", 95.0));
}

#[test]
fn nonsense_is_laid_to_its_flag() {
    let good = asked(Topology::ThreeOpAmp, 100.0);
    let chip = SizeQuestion { chip_constant_ohm: Some(50e3), ..asked(Topology::SingleChip, 100.0) };
    let cases = [
        ("GAIN", SizeQuestion { gain: 0.0, ..good.clone() }),
        ("GAIN", SizeQuestion { gain: -10.0, ..good.clone() }),
        ("GAIN", SizeQuestion { gain: f64::NAN, ..good.clone() }),
        ("--feedback", SizeQuestion { feedback_ohm: Some(-1.0), ..good.clone() }),
        ("--tolerance", SizeQuestion { tolerance: 1.0, ..good.clone() }),
        ("--tolerance", SizeQuestion { tolerance: f64::NAN, ..good.clone() }),
        ("--parts", SizeQuestion { parts: 3, ..good.clone() }),
        ("--parts", SizeQuestion { parts: 0, ..good.clone() }),
        ("--stock", SizeQuestion { stock: Stock::Values(vec![]), ..good.clone() }),
        ("--stock", SizeQuestion { stock: Stock::Values(vec![100.0, -1.0]), ..good.clone() }),
        ("--stage-two-gain", SizeQuestion { stage_two_gain: 0.0, ..good.clone() }),
        ("--stage-two-gain", SizeQuestion { stage_two_gain: 2.0, ..asked(Topology::TwoOpAmp, 10.0) }),
        ("--chip-constant", SizeQuestion { chip_constant_ohm: Some(50e3), ..good.clone() }),
        ("--base-gain", SizeQuestion { base_gain: 5.0, ..good }),
        ("--chip-constant", asked(Topology::SingleChip, 100.0)),
        ("--chip-constant", SizeQuestion { chip_constant_ohm: Some(0.0), ..chip.clone() }),
        ("--base-gain", SizeQuestion { base_gain: -1.0, ..chip.clone() }),
        ("--feedback", SizeQuestion { feedback_ohm: Some(10e3), ..chip }),
    ];
    for (key, question) in cases {
        let fault = size(&question).unwrap_err();
        assert_eq!(fault.key, key, "{question:?}");
        assert!(!fault.message.is_empty() && !fault.help.is_empty());
    }
}

/// 1 + 2·22k/470 and the like: by hand 94.6, 5.4 % off where 1 % resistors make up to 4 %; with R2/R1 = 22k/10k
/// behind, 1 + 2·22k/1k = 45 is 99.
#[test]
fn a_gain_that_is_missed_is_told() {
    let mut drawer = asked(Topology::ThreeOpAmp, 100.0);
    assert!(size(&drawer).unwrap().warnings.is_empty());
    drawer.stock = Stock::Values(vec![470.0, 1e3, 10e3, 22e3, 27e3]);
    let missed = size(&drawer).unwrap();
    assert!(missed.made && missed.warnings[0].code == "gain-missed", "{missed:?}");
    let advice = &missed.warnings[0].advice;
    assert!(advice.contains("`--parts 2`") && advice.contains("`--stage-two-gain 2.2`"), "{advice}");
    let split = size(&SizeQuestion { stage_two_gain: 2.2, ..drawer.clone() }).unwrap();
    assert!((split.choices[0].gain - 99.0).abs() < 1e-9 && split.warnings.is_empty(), "{split:?}");
    // nothing in it makes 100: 1 + 2·220/100 is 5.4
    drawer.stock = Stock::Values(vec![100.0, 220.0]);
    let none = size(&drawer).unwrap();
    assert!(!none.made && (none.choices[0].gain - 5.4).abs() < 1e-9, "{none:?}");
    assert!(none.warnings[0].advice.contains("4.444 Ω"), "{none:?}");
}
