use super::agree;
use crate::designator::{Designator, Ohms, Topology};
use crate::textbook::{
    GainLaw, GainSet, TextbookFault, gain_law, gain_resistor, gains, ideal_gain, least_gain, two_op_amp_ratio,
};
use Designator::{R1, R2, R3, R4, RF1, RF2, RG};
use proptest::prelude::*;

fn ohm() -> impl Strategy<Value = f64> {
    1e2..1e6
}

proptest! {
    /// What the balanced formula says, the exact equations say of a balanced circuit, and nothing of common mode.
    #[test]
    fn balanced_circuits_have_the_balanced_gain(one in ohm(), two in ohm(), rf in ohm(), rg in ohm()) {
        let three = [(RG, rg), (RF1, rf), (RF2, rf), (R1, one), (R2, two), (R3, one), (R4, two)];
        let row = [(RG, rg), (R1, one), (R2, two), (R3, two), (R4, one)];
        for (topology, values) in [
            (Topology::Difference, &three[3..]),
            (Topology::BufferedDifference, &three[3..]),
            (Topology::ThreeOpAmp, &three[..]),
            (Topology::TwoOpAmp, &row[..]),
        ] {
            let ohms: Ohms = values.iter().copied().collect();
            let exact = gains(topology, &ohms).unwrap();
            agree(exact.differential, ideal_gain(topology, &ohms).unwrap(), 1e-14);
            prop_assert_eq!(exact.common_mode, 0.0);
        }
    }

    /// The inverse, put back in, gives the gain that was asked for, balanced or not.
    #[test]
    fn the_gain_resistor_gives_the_gain(values in prop::array::uniform6(ohm()), over in 0.01..1e4_f64) {
        let [r1, r2, r3, r4, rf1, rf2] = values;
        let mut ohms: Ohms = [(R1, r1), (R2, r2), (R3, r3), (R4, r4), (RF1, rf1), (RF2, rf2)].into_iter().collect();
        for topology in [Topology::ThreeOpAmp, Topology::TwoOpAmp] {
            let target = gain_law(topology, &ohms).unwrap().base_gain + over;
            let GainSet::Ohm(rg) = gain_resistor(topology, target, &ohms).unwrap() else { panic!("above the base") };
            ohms.set(RG, Some(rg));
            agree(gains(topology, &ohms).unwrap().differential, target, 1e-11);
        }
    }
}

#[test]
fn a_gain_at_the_base_leaves_the_resistor_out() {
    let ohms: Ohms =
        [(RF1, 24.9e3), (RF2, 24.9e3), (R1, 10e3), (R2, 11e3), (R3, 10e3), (R4, 11e3)].into_iter().collect();
    assert_eq!(gain_resistor(Topology::ThreeOpAmp, 1.1, &ohms), Ok(GainSet::Open));
    assert_eq!(gain_resistor(Topology::ThreeOpAmp, 1.099, &ohms), Ok(GainSet::Below));
    assert!(matches!(gain_resistor(Topology::ThreeOpAmp, 1.101, &ohms), Ok(GainSet::Ohm(_))));
}

#[test]
fn difference_stages_are_set_by_r1() {
    let ohms: Ohms = [(R2, 100e3)].into_iter().collect();
    assert_eq!(gain_resistor(Topology::Difference, 0.1, &ohms), Ok(GainSet::Ohm(1e6)));
    assert_eq!(gain_resistor(Topology::BufferedDifference, 50.0, &ohms), Ok(GainSet::Ohm(2e3)));
}

#[test]
fn least_gains() {
    let least = Topology::ALL.map(|topology| least_gain(topology, 3.0));
    assert_eq!(least, [Some(0.0), Some(0.0), Some(3.0), Some(1.0), None]);
    assert_eq!(two_op_amp_ratio(2.0), Ok(1.0));
    assert_eq!(two_op_amp_ratio(1.5), Ok(0.25));
    assert!(two_op_amp_ratio(1.0).is_err());
}

#[test]
fn what_can_not_be_evaluated_is_named() {
    let none = Ohms::default();
    let missing = gains(Topology::TwoOpAmp, &none);
    assert_eq!(missing, Err(TextbookFault::Missing { topology: Topology::TwoOpAmp, name: R1 }));
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let ohms: Ohms = [(R1, bad), (R2, 1.0), (R3, 1.0), (R4, 1.0)].into_iter().collect();
        assert!(matches!(gains(Topology::Difference, &ohms), Err(TextbookFault::NotAResistance { name: R1, .. })));
        assert!(GainLaw::new(1.0, bad).is_err());
        assert!(gain_resistor(Topology::Difference, bad, &ohms).is_err());
    }
    assert!(matches!(gains(Topology::SingleChip, &none), Err(TextbookFault::NoResistors)));
}
