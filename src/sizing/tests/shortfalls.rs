use super::{series, sized, wanted};
use crate::designator::Topology;
use crate::series::Series;
use crate::sizing::{PickKind, Shortfall, Side, SizingFault, Stock, gain_set};
use crate::textbook::GainLaw;

#[test]
fn the_least_gain_leaves_rg_out() {
    for stage_two_gain in [1.0, 0.7, 1.1, 3.3] {
        let mut question = wanted(Topology::ThreeOpAmp, stage_two_gain, series(Series::E96));
        question.stage_two_gain = stage_two_gain;
        for side in [Side::Nearest, Side::AtLeast, Side::AtMost] {
            question.side = side;
            let found = sized(&question);
            assert_eq!(found.choices.len(), 1);
            let only = found.choices[0];
            assert_eq!((only.pick.kind(), only.pick.ohm(), only.exact_ohm), (PickKind::Open, None, None));
            assert_eq!((only.feedback_ohm, only.error.abs() < 1e-15), (Some(24.9e3), true));
            let steps: Vec<_> = found.neighbours.iter().map(|n| n.pick.ohm()).collect();
            assert_eq!(steps, [Some(10e6)]);
        }
    }
    let two = sized(&wanted(Topology::TwoOpAmp, 2.0, series(Series::E24)));
    assert_eq!((two.choices[0].pick.kind(), two.choices[0].gain), (PickKind::Open, 2.0));
}

#[test]
fn below_the_least_gain_there_is_a_reason() {
    for (topology, gain, least) in [
        (Topology::ThreeOpAmp, 0.5, 1.0),
        (Topology::ThreeOpAmp, 0.999, 1.0),
        (Topology::TwoOpAmp, 1.0, 1.0),
        (Topology::TwoOpAmp, 0.2, 1.0),
        (Topology::SingleChip, 4.0, 5.0),
    ] {
        let mut question = wanted(topology, gain, series(Series::E96));
        question.chip = Some(GainLaw::new(5.0, 200e3).unwrap());
        let found = sized(&question);
        assert!(found.choices.is_empty() && found.neighbours.is_empty());
        assert_eq!(found.shortfall, Some(Shortfall::BelowLeast { topology, least, gain }));
    }
    assert!(sized(&wanted(Topology::TwoOpAmp, 1.1, series(Series::E96))).shortfall.is_none());
    assert!(sized(&wanted(Topology::Difference, 0.001, series(Series::E96))).shortfall.is_none());
}

#[test]
fn out_of_reach_there_is_a_reason() {
    for (topology, gain) in [
        (Topology::ThreeOpAmp, 1e6),
        (Topology::ThreeOpAmp, 1.0001),
        (Topology::Difference, 1e-4),
        (Topology::TwoOpAmp, 1e7),
        (Topology::TwoOpAmp, 1.0001),
    ] {
        let found = sized(&wanted(topology, gain, series(Series::E96)));
        assert!(matches!(found.shortfall, Some(Shortfall::OutOfReach { .. })), "{topology} {gain}: {found:?}");
    }
    let mut question = wanted(Topology::ThreeOpAmp, 1e5, series(Series::E96));
    question.feedback_ohm = Some(24.9e3); // 0.498 Ω
    assert!(sized(&question).shortfall.unwrap().to_string().contains("498 mΩ"));
    question.feedback_ohm = Some(2e7);
    assert_eq!(sized(&question).shortfall, Some(Shortfall::Feedback { feedback_ohm: 2e7 }));
}

#[test]
fn a_drawer_may_lack_what_is_needed() {
    let stock = Stock::new([100.0, 470.0, 4.7e3]).unwrap();
    let mut question = wanted(Topology::ThreeOpAmp, 100.0, stock);
    // Nothing from 10 kΩ to 100 kΩ: what there is serves, 1 + 2 * 4.7k/100 = 95.
    let best = &sized(&question).choices[0];
    assert_eq!((best.feedback_ohm, best.pick.ohm(), best.gain), (Some(4.7e3), Some(100.0), 95.0));
    question.feedback_ohm = Some(24.9e3);
    assert_eq!(sized(&question).choices[0].pick.ohm(), Some(470.0));
    question.side = Side::AtMost; // 503 Ω and above: 4.7 kΩ is all there is
    assert_eq!(sized(&question).choices[0].pick.ohm(), Some(4.7e3));
    question.gain = 5.0; // 12.45 kΩ and above
    assert_eq!(sized(&question).shortfall, Some(Shortfall::NoneOnThatSide));
}

#[test]
fn nonsense_is_an_error() {
    for gain in [0.0, -5.0, f64::NAN, f64::INFINITY] {
        let asked = gain_set(&wanted(Topology::ThreeOpAmp, gain, series(Series::E96)));
        assert!(matches!(asked, Err(SizingFault::NotAGain { .. })));
    }
    assert_eq!(Stock::new([0.1, 20e6]), Err(SizingFault::EmptyStock));
    assert!(matches!(Stock::new([1.0, -1.0]), Err(SizingFault::NotAResistance { .. })));
    assert_eq!(gain_set(&wanted(Topology::SingleChip, 5.0, series(Series::E96))), Err(SizingFault::NoChip));
}
