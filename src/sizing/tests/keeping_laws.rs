use super::{series, sized, wanted};
use crate::designator::Topology;
use crate::series::Series;
use crate::sizing::{PickKind, Side, Stock, gain_set};
use crate::textbook::GainLaw;
use crate::textbook::tests::agree;
use proptest::prelude::*;

fn some_values() -> impl Strategy<Value = Vec<f64>> {
    prop::collection::vec(prop::sample::select(Series::E24.ohms(1.0, 10e6)), 2..40)
}

fn topology() -> impl Strategy<Value = Topology> {
    prop::sample::select(vec![
        Topology::ThreeOpAmp,
        Topology::TwoOpAmp,
        Topology::Difference,
        Topology::BufferedDifference,
    ])
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn more_values_are_never_worse(few in some_values(), more in some_values(), topology in topology(), gain in 1.01..3000.0_f64, pairs: bool) {
        let mut question = wanted(topology, gain, Stock::new(few.iter().copied()).unwrap());
        question.pairs = pairs;
        let before = sized(&question);
        question.stock = Stock::new(few.into_iter().chain(more)).unwrap();
        let after = sized(&question);
        // A first value in the usual feedback range ends the makeshift of a drawer that had none there.
        let makeshift = before.choices.iter().any(|c| c.feedback_ohm.is_some_and(|ohm| !(10e3..=100e3).contains(&ohm)));
        if let (Some(best), false) = (before.choices.first(), makeshift) {
            prop_assert!(after.choices[0].error.abs() <= best.error.abs() + 1e-12);
        }
    }

    #[test]
    fn the_order_of_the_drawer_changes_nothing(values in some_values(), topology in topology(), gain in 1.01..3000.0_f64) {
        let mut question = wanted(topology, gain, Stock::new(values.iter().copied()).unwrap());
        question.pairs = true;
        let one = sized(&question);
        question.stock = Stock::new(values.into_iter().rev()).unwrap();
        prop_assert_eq!(one, sized(&question));
    }

    #[test]
    fn choices_keep_to_the_side_and_lie_within_their_spread(topology in topology(), gain in 1.5..3000.0_f64, tolerance in 0.0001..0.2_f64) {
        let mut question = wanted(topology, gain, series(Series::E48));
        question.tolerance = tolerance;
        for side in [Side::AtLeast, Side::AtMost] {
            question.side = side;
            for choice in sized(&question).choices {
                let inside = if side == Side::AtLeast { choice.error >= -1e-12 } else { choice.error <= 1e-12 };
                prop_assert!(inside && choice.error_span.0 < choice.error && choice.error < choice.error_span.1);
            }
        }
    }
}

#[test]
fn equal_ratios_go_to_the_feedback_nearest_to_24k9() {
    // 10k/10k, 20k/20k, … are all exact
    let best = sized(&wanted(Topology::ThreeOpAmp, 3.0, series(Series::E96))).choices[0];
    assert_eq!((best.feedback_ohm, best.pick.ohm(), best.error), (Some(24.9e3), Some(24.9e3), 0.0));
    let best = sized(&wanted(Topology::Difference, 10.0, series(Series::E96))).choices[0];
    assert_eq!((best.feedback_ohm, best.pick.ohm()), (Some(24.9e3), Some(2.49e3)));
}

#[test]
fn the_shorter_of_two_exact_ways_wins() {
    let mut question = wanted(Topology::ThreeOpAmp, 3.0, series(Series::E12));
    question.pairs = true;
    question.feedback_ohm = Some(15e3);
    let found = sized(&question);
    assert_eq!((found.choices[0].pick.kind(), found.choices[0].pick.ohm()), (PickKind::Single, Some(15e3)));
    let second = found.choices[1];
    assert_eq!((second.pick.kind(), second.pick.parts_ohm()), (PickKind::Series, &[6.8e3, 8.2e3][..]));
}

#[test]
fn neighbours_are_one_step_away() {
    let mut question = wanted(Topology::ThreeOpAmp, 100.0, series(Series::E96));
    question.feedback_ohm = Some(24.9e3);
    let found = sized(&question);
    let steps: Vec<_> = found.neighbours.iter().map(|n| n.pick.ohm()).collect();
    assert_eq!((found.choices[0].pick.ohm(), steps), (Some(499.0), vec![Some(487.0), Some(511.0)]));

    question.stock = Stock::new([100.0, 150.0, 470.0]).unwrap();
    question.pairs = true;
    // of all sums and parallels of the three: 470 + 100 above, 470 below 503; 300 below 470
    let found = sized(&question);
    let steps: Vec<_> = found.neighbours.iter().map(|n| n.pick.ohm()).collect();
    assert_eq!((found.choices[0].pick.ohm(), steps), (Some(470.0), vec![Some(300.0), Some(570.0)]));
}

#[test]
fn sums_of_decimals_are_decimals() {
    let mut question = wanted(Topology::ThreeOpAmp, 1.0 + 49.8e3 / 104.02, Stock::new([100.0, 4.02]).unwrap());
    question.feedback_ohm = Some(24.9e3);
    question.pairs = true;
    assert_eq!(sized(&question).choices[0].pick.ohm(), Some(104.02));
}

/// Difference stage of gain G, all four off by t: A_d = (a + b)/2 with b = G(1 + t)/(1 - t) at most, a by the
/// divider; the greatest has R1, R3 low and R2, R4 high.
#[test]
fn the_spread_of_a_difference_stage() {
    let (gain, t) = (10.0, 0.01);
    let mut question = wanted(Topology::Difference, gain, series(Series::E96));
    question.tolerance = t;
    let ratio = gain * (1.0 + t) / (1.0 - t);
    let (low, high) = sized(&question).choices[0].error_span;
    agree(high, ratio / gain - 1.0, 1e-12);
    agree(low, gain * (1.0 - t) / (1.0 + t) / gain - 1.0, 1e-12);
}

/// All seven resistors of a three-op-amp circuit count: first order 2t (G - 1)/G of stage one and 2t of R1 to R4.
#[test]
fn the_spread_covers_all_seven_resistors() {
    let mut question = wanted(Topology::ThreeOpAmp, 1000.0, series(Series::E96));
    question.tolerance = 1e-6;
    let choice = sized(&question).choices[0];
    let half = (choice.error_span.1 - choice.error_span.0) / 2.0;
    agree(half, 1e-6 * (2.0 * (1.0 - 1.0 / choice.gain) + 2.0) * choice.gain / 1000.0, 1e-5);
}

#[test]
fn a_chip_spreads_by_rg_alone() {
    let mut question = wanted(Topology::SingleChip, 101.0, series(Series::E96));
    question.chip = Some(GainLaw::new(1.0, 50e3).unwrap());
    let choice = gain_set(&question).unwrap().choices[0];
    assert_eq!((choice.pick.ohm(), choice.feedback_ohm), (Some(499.0), None));
    agree(choice.error_span.0, (1.0 + 50e3 / (499.0 * 1.01)) / 101.0 - 1.0, 1e-12);
    agree(choice.error_span.1, (1.0 + 50e3 / (499.0 * 0.99)) / 101.0 - 1.0, 1e-12);
}
