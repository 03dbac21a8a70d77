use super::series;
use crate::designator::{Designator, Topology};
use crate::part::Fixed;
use crate::series::Series;
use crate::sizing::{Filled, First, PickKind, Rules, SizingFault, Stock, Wish, Wishes, rank};
use crate::textbook::tests::agree;
use crate::textbook::{GainLaw, WhiteNoise, gains};
use Designator::{R1, R2, R3, R4, R5, R6, RF1, RF2, RG};
use std::collections::BTreeMap;

/// The nearest set of values.
fn fill(wish: &Wish, rules: &Rules) -> Result<Filled, SizingFault> {
    let noise = WhiteNoise { voltage: [0.0; 3], current: [0.0; 3], kelvin: 298.15 };
    let wishes = Wishes { equal: 0.0, first: First::Gain, noise };
    Ok(rank(wish, rules, &wishes, 1)?.remove(0).filled)
}

fn wish(topology: Topology, gain: f64) -> Wish {
    Wish::new(topology, gain)
}

fn rules(stock: Stock, fixed: &[(Designator, f64)]) -> Rules {
    let fixed = fixed.iter().map(|&(name, ohm)| (name, Fixed::Ohm(ohm))).collect();
    Rules { stock, pairs: false, range: BTreeMap::new(), fixed }
}

fn ohms(filled: &Filled, names: &[Designator]) -> Vec<f64> {
    names.iter().map(|&name| filled.ohms().get(name).unwrap()).collect()
}

const STAGE: [Designator; 4] = [R1, R2, R3, R4];

#[test]
fn nothing_decided() {
    let three = fill(&wish(Topology::ThreeOpAmp, 100.0), &rules(series(Series::E96), &[])).unwrap();
    assert_eq!(ohms(&three, &STAGE), [10e3; 4]);
    assert!(three.values.iter().all(|v| v.chosen));
    let names: Vec<_> = three.values.iter().map(|v| v.name).collect();
    assert_eq!(names, [RG, RF1, RF2, R1, R2, R3, R4]);
    // a ratio of two E96 values meets any gain within half a step of the series, 1.2 %
    assert!((three.gain / 100.0 - 1.0).abs() < 0.012);

    let difference = fill(&wish(Topology::Difference, 10.0), &rules(series(Series::E96), &[])).unwrap();
    assert_eq!(ohms(&difference, &STAGE), [10e3, 100e3, 10e3, 100e3]);
    let unity = fill(&wish(Topology::BufferedDifference, 1.0), &rules(series(Series::E96), &[])).unwrap();
    // any four equal ones are exact: the least values make the least noise
    assert_eq!(ohms(&unity, &STAGE), [10e3; 4]);

    let two = fill(&wish(Topology::TwoOpAmp, 50.0), &rules(series(Series::E96), &[])).unwrap();
    let row = ohms(&two, &STAGE);
    assert!(row.iter().all(|ohm| *ohm == row[0]), "{row:?}");
    assert!((two.gain / 50.0 - 1.0).abs() < 0.012);
}

#[test]
fn every_gain_is_the_exact_gain_of_its_values() {
    for topology in [Topology::Difference, Topology::BufferedDifference, Topology::ThreeOpAmp, Topology::TwoOpAmp] {
        for gain in [1.05, 1.3, 1.9, 2.0, 7.0, 48.0, 333.0, 1000.0] {
            let filled = fill(&wish(topology, gain), &rules(series(Series::E96), &[])).unwrap();
            agree(gains(topology, &filled.ohms()).unwrap().differential, filled.gain, 1e-15);
            assert_eq!(gains(topology, &filled.ohms()).unwrap().common_mode, 0.0);
            assert!((filled.gain / gain - 1.0).abs() < 0.012, "{topology} {gain}: {filled:?}");
        }
    }
}

#[test]
fn what_is_decided_stays() {
    let fixed = [(R1, 12e3), (RF1, 20e3), (R4, 12.1e3)];
    let filled = fill(&wish(Topology::ThreeOpAmp, 30.0), &rules(series(Series::E96), &fixed)).unwrap();
    // R2 follows R4, R3 follows R1, RF2 follows RF1
    assert_eq!(ohms(&filled, &[R1, R2, R3, R4, RF1, RF2]), [12e3, 12.1e3, 12e3, 12.1e3, 20e3, 20e3]);
    let decided: Vec<_> = filled.values.iter().filter(|v| !v.chosen).map(|v| v.name).collect();
    assert_eq!(decided, [RF1, R1, R4]);
    // (1 + 40k/RG)*12.1/12 = 30: RG = 1391 Ω, from the series 1.40 kΩ
    assert_eq!(ohms(&filled, &[RG]), [1.40e3]);
}

#[test]
fn a_network_of_a_value_outside_the_series_is_its_own_partner() {
    let filled = fill(&wish(Topology::ThreeOpAmp, 10.0), &rules(series(Series::E24), &[(R1, 25e3)])).unwrap();
    assert_eq!(ohms(&filled, &STAGE), [25e3; 4]);
    let small = fill(&wish(Topology::TwoOpAmp, 10.0), &rules(series(Series::E24), &[(R4, 500.0)])).unwrap();
    assert_eq!(ohms(&small, &STAGE), [500.0; 4]);
}

#[test]
fn the_stage_behind_is_as_near_as_the_stock_allows_and_rg_makes_up_for_it() {
    let mut asked = wish(Topology::ThreeOpAmp, 60.0);
    asked.stage_two_gain = Some(3.0);
    // E24: 30/10, 33/11, … are exact; E12: 100/33 is the nearest to 3
    let exact = fill(&asked, &rules(series(Series::E24), &[])).unwrap();
    assert_eq!(ohms(&exact, &STAGE), [10e3, 30e3, 10e3, 30e3]);
    let filled = fill(&asked, &rules(series(Series::E12), &[])).unwrap();
    assert_eq!(ohms(&filled, &STAGE), [33e3, 100e3, 33e3, 100e3]);
    let [rg, rf] = ohms(&filled, &[RG, RF1])[..] else { panic!() };
    agree(filled.gain, (1.0 + 2.0 * rf / rg) * 10.0 / 3.3, 1e-14);
    assert!((filled.gain / 60.0 - 1.0).abs() < 0.1, "half a step of E12: {filled:?}");
}

#[test]
fn wiring_is_counted_in() {
    let mut asked = wish(Topology::ThreeOpAmp, 1.0 + 50e3 / 100.5);
    let fixed = [(RF1, 25e3)];
    asked.wiring_ohm = 0.5;
    let filled = fill(&asked, &rules(series(Series::E96), &fixed)).unwrap();
    assert_eq!(ohms(&filled, &[RG]), [100.0]);
    agree(filled.gain, asked.gain, 1e-14);
}

#[test]
fn pairs_for_rg_only() {
    let mut pairs = rules(series(Series::E12), &[(RF1, 25e3)]);
    pairs.pairs = true;
    let filled = fill(&wish(Topology::ThreeOpAmp, 1.0 + 50e3 / 104.7), &pairs).unwrap();
    let rg = filled.values.iter().find(|v| v.name == RG).unwrap();
    assert_eq!((rg.pick.kind(), rg.pick.parts_ohm()), (PickKind::Series, &[4.7, 100.0][..]));
}

#[test]
fn dividing_resistors_are_taken_as_given() {
    let fixed = [(R5, 1e3), (R6, 1e3)];
    let filled = fill(&wish(Topology::Difference, 1.0), &rules(series(Series::E96), &fixed)).unwrap();
    assert_eq!(ohms(&filled, &[R5, R6]), [1e3, 1e3]);
    agree(filled.gain, 1.0, 1e-14);
    let behind = fill(&wish(Topology::BufferedDifference, 1.0), &rules(series(Series::E96), &fixed)).unwrap();
    assert_eq!(behind.ohms().get(R5), None);
}

#[test]
fn ranges_hold() {
    let mut narrow = rules(series(Series::E96), &[]);
    narrow.range = [(RF1, (40e3, 60e3)), (RF2, (45e3, 90e3)), (R1, (20e3, 30e3))].into_iter().collect();
    let filled = fill(&wish(Topology::ThreeOpAmp, 77.0), &narrow).unwrap();
    let [rf1, rf2, r1] = ohms(&filled, &[RF1, RF2, R1])[..] else { panic!() };
    assert!((45e3..=60e3).contains(&rf1) && rf1 == rf2 && (20e3..=30e3).contains(&r1), "{filled:?}");

    narrow.range.insert(RG, (200e3, 300e3)); // far from what is needed: its end is taken
    assert_eq!(ohms(&fill(&wish(Topology::ThreeOpAmp, 77.0), &narrow).unwrap(), &[RG]), [200e3]);

    narrow.range.insert(RG, (101.0, 101.5));
    let nothing = fill(&wish(Topology::ThreeOpAmp, 77.0), &narrow);
    assert!(matches!(nothing, Err(SizingFault::NothingInRange { name: RG, asked: true, .. })), "{nothing:?}");
    narrow.range.insert(RF2, (70e3, 90e3));
    let nothing = fill(&wish(Topology::ThreeOpAmp, 77.0), &narrow);
    assert!(matches!(nothing, Err(SizingFault::NothingInRange { name: RF1, asked: true, .. })));
}

#[test]
fn a_drawer_is_all_there_is() {
    let drawer = [1e3, 2.2e3, 10e3, 15e3, 22e3, 47e3, 100e3];
    for topology in [Topology::Difference, Topology::ThreeOpAmp, Topology::TwoOpAmp] {
        for gain in [1.5, 3.0, 12.0] {
            let filled = fill(&wish(topology, gain), &rules(Stock::new(drawer).unwrap(), &[])).unwrap();
            assert!(filled.ohms().present().all(|(_, ohm)| drawer.contains(&ohm)), "{filled:?}");
        }
    }
}

#[test]
fn rg_left_out() {
    let open = fill(&wish(Topology::ThreeOpAmp, 1.0), &rules(series(Series::E96), &[])).unwrap();
    assert_eq!(open.values[0].pick.kind(), PickKind::Open);
    assert_eq!(open.gain, 1.0);
    let mut decided = rules(series(Series::E96), &[]);
    decided.fixed.insert(RG, Fixed::Open);
    let filled = fill(&wish(Topology::ThreeOpAmp, 9.0), &decided).unwrap();
    assert_eq!((filled.values[0].pick.kind(), filled.values[0].chosen, filled.gain), (PickKind::Open, false, 1.0));
    decided.fixed.insert(R1, Fixed::Open);
    assert_eq!(fill(&wish(Topology::ThreeOpAmp, 9.0), &decided), Err(SizingFault::CantBeOpen { name: R1 }));
}

#[test]
fn feedback_is_chosen_around_a_decided_rg() {
    let filled = fill(&wish(Topology::ThreeOpAmp, 101.0), &rules(series(Series::E96), &[(RG, 499.0)])).unwrap();
    assert_eq!(ohms(&filled, &[RG, RF1]), [499.0, 24.9e3]);
}

#[test]
fn a_chip_has_rg_alone() {
    let mut asked = wish(Topology::SingleChip, 200.0);
    assert_eq!(fill(&asked, &rules(series(Series::E96), &[])), Err(SizingFault::NoChip));
    asked.chip = Some(GainLaw::new(1.0, 50e3).unwrap());
    let filled = fill(&asked, &rules(series(Series::E96), &[])).unwrap();
    // CV-RG-12: load cell, 251 Ω exact, 249 Ω gives 201.8
    assert_eq!(ohms(&filled, &[RG]), [249.0]);
    asked.gain = 0.5;
    assert!(matches!(fill(&asked, &rules(series(Series::E96), &[])), Err(SizingFault::BelowLeast { .. })));
}

#[test]
fn gains_out_of_reach() {
    let any = rules(series(Series::E96), &[]);
    let refused = |topology, gain| fill(&wish(topology, gain), &any).unwrap_err();
    assert!(matches!(refused(Topology::ThreeOpAmp, 0.5), SizingFault::BelowLeast { .. }));
    assert!(matches!(refused(Topology::TwoOpAmp, 1.0), SizingFault::BelowLeast { .. }));
    assert!(matches!(refused(Topology::ThreeOpAmp, 1e6), SizingFault::OutOfReach { .. }));
    assert!(matches!(refused(Topology::ThreeOpAmp, -1.0), SizingFault::NotAGain { .. }));
}
