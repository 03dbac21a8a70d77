//! The largest gain, by hand; and what is said when it does not fit.
use crate::bench::{amps, case, near};
use evenkeel::designator::{Designator, Topology};
use evenkeel::study::{LargestGain, Span};

const THREE: [(&str, f64); 7] =
    [("RG", 1e3), ("RF1", 50e3), ("RF2", 50e3), ("R1", 1e4), ("R2", 1e4), ("R3", 1e4), ("R4", 1e4)];

#[track_caller]
fn up_to(told: LargestGain, gain: f64) {
    near(told.gain().unwrap() / gain, 1.0, 1e-9);
}

#[test]
fn the_output_limits_where_the_common_mode_is_small() {
    // G·0.1 V = 13 V.
    let told = case(Topology::ThreeOpAmp, &THREE).supply(-15.0, 15.0).rails(2.0, 0.0);
    up_to(told.signals((-2.0, 2.0), (-0.1, 0.1)).headroom().largest_gain, 130.0);
}

#[test]
fn the_first_stage_limits_where_it_is_large_and_the_note_says_how_to_cut_it() {
    // 10 V + G·0.05 V = 13 V.
    let mut clipping =
        case(Topology::ThreeOpAmp, &THREE).supply(-15.0, 15.0).rails(2.0, 0.0).signals((-10.0, 10.0), (-0.1, 0.1));
    let told = clipping.told();
    let figure = told.figure.unwrap();
    up_to(figure.largest_gain, 60.0);
    near(figure.margin_v, 13.0 - 15.05, 1e-9);
    assert_eq!(told.warnings.len(), 1);
    // 101/60, rounded up.
    assert!(told.warnings[0].advice.contains("circuit.stage_two_gain = 1.69"), "{:?}", told.warnings);
    assert!(told.warnings[0].message.contains("A1 output"), "{:?}", told.warnings);
    let ohms = &mut clipping.circuit.ohms;
    ohms.set(Designator::RG, Some(100e3 / (101.0 / 1.69 - 1.0)));
    for name in [Designator::R2, Designator::R4] {
        ohms.set(name, Some(16.9e3));
    }
    assert!(clipping.headroom().fits);
}

#[test]
fn a_difference_stage_is_turned_by_its_feedback_pair() {
    let ohms = [("R1", 1e4), ("R2", 1e5), ("R3", 1e4), ("R4", 1e5)];
    for topology in [Topology::Difference, Topology::BufferedDifference] {
        let told = case(topology, &ohms).supply(-15.0, 15.0).rails(2.0, 0.0).signals((0.0, 0.0), (-0.5, 0.5));
        up_to(told.headroom().largest_gain, 26.0);
    }
}

#[test]
fn common_mode_alone_may_leave_no_gain() {
    // CV-IA2-05: A1 carries 11 times the common mode, whatever RG is.
    let ohms = [("R1", 1e3), ("R2", 1e4), ("R3", 1e4), ("R4", 1e3)];
    let told =
        case(Topology::TwoOpAmp, &ohms).supply(-15.0, 15.0).rails(2.0, 0.0).signals((2.0, 2.0), (0.0, 0.01)).told();
    assert_eq!(told.figure.as_ref().unwrap().largest_gain, LargestGain::None);
    assert!(told.warnings[0].advice.contains("11 times the common mode"), "{:?}", told.warnings);
}

#[test]
fn a_difference_of_one_sign_may_ask_for_more_gain() {
    // A1: 1.25·11 V - 0.2 V·(25 kΩ/RG + 0.625) = 13.625 V without RG, at most 13 V from 25 kΩ/RG = 3.125 on; the
    // output, 0.2 V·(5 + 200 kΩ/RG) = 13 V, ends it at G = 65.
    let ohms = [("R1", 100e3), ("R2", 25e3), ("R3", 25e3), ("R4", 100e3)];
    let told =
        case(Topology::TwoOpAmp, &ohms).supply(-15.0, 15.0).rails(2.0, 0.0).signals((11.0, 11.0), (0.2, 0.2)).told();
    let figure = told.figure.unwrap();
    assert!(!figure.fits);
    near(figure.margin_v, 13.0 - (1.25 * 11.0 - 0.2 * 0.625), 1e-12);
    up_to(figure.largest_gain, 65.0);
    assert!(told.warnings[0].advice.contains("a higher gain fits, up to 65"), "{:?}", told.warnings);
}

#[test]
fn no_signal_bounds_no_gain() {
    let told = case(Topology::ThreeOpAmp, &THREE).supply(-15.0, 15.0).signals((0.0, 0.0), (0.0, 0.0));
    assert_eq!(told.headroom().largest_gain, LargestGain::Unbounded);
}

#[test]
fn an_output_that_fills_its_limits_exactly_fits() {
    // Gains and ranges that binary numbers don't hold: rounding must not make a millionth of a nanovolt a miss.
    for (rg, half) in [(1e5 / 99.0, 0.02), (1e5 / 2.3, 2.0 / 3.3), (1e5 / 0.7, 2.0 / 1.7)] {
        let mut ohms = THREE;
        ohms[0].1 = rg;
        let mut told =
            case(Topology::ThreeOpAmp, &ohms).supply(0.0, 5.0).rails(0.5, 0.0).signals((2.5, 2.5), (-half, half));
        told.reference_v = 2.5;
        let figure = told.headroom();
        near(figure.margin_v, 0.0, 0.0);
        assert!(figure.fits);
        up_to(figure.largest_gain, 2.0 / half);
    }
}

#[test]
fn limits_that_are_not_given_are_the_rails_and_a_note_says_so() {
    let told = case(Topology::ThreeOpAmp, &THREE).supply(-15.0, 15.0).signals((0.0, 1.0), (0.0, 0.01)).told();
    let figure = told.figure.unwrap();
    assert!(figure.points.iter().all(|point| (point.low_limit_v, point.high_limit_v) == (-15.0, 15.0)));
    assert_eq!(told.warnings.len(), 2);
    for amp in amps(Topology::ThreeOpAmp) {
        assert!(told.warnings.iter().all(|one| one.message.contains(amp.name())), "{:?}", told.warnings);
    }
}

#[test]
fn what_is_missing_is_said() {
    let bare = case(Topology::ThreeOpAmp, &THREE);
    let told = bare.told();
    assert!(told.figure.is_none() && told.warnings.is_empty());
    assert_eq!(told.not_predicted[0].figure, "headroom");
    assert_eq!(told.not_predicted[0].needs, "supply, signal.differential, signal.common_mode");
    let mut partly = bare.supply(0.0, 5.0);
    partly.question.signal.differential = Some(Span { low: 0.0, high: 1.0 });
    assert_eq!(partly.told().not_predicted[0].needs, "signal.common_mode");
}
