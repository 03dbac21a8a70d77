use super::told;
use crate::designator::{Designator, Topology};
use crate::sizing::SizingFault;
use crate::study::Stock;

#[test]
fn every_fault_names_its_key() {
    let range = |asked| SizingFault::NothingInRange { name: Designator::RG, low: 1.0, high: 2.0, asked };
    let drawer = Stock::Values(vec![1.0]);
    for (fault, key) in [
        (range(true), "resistors.range"),
        (range(false), "resistors.stock"),
        (SizingFault::NotAGain { gain: 0.0 }, "target.gain"),
        (SizingFault::BelowLeast { topology: Topology::ThreeOpAmp, least: 1.0, gain: 0.5 }, "target.gain"),
        (SizingFault::CantBeOpen { name: Designator::R1 }, "resistors.fixed"),
        (SizingFault::NoChip, "chip.gain_constant"),
    ] {
        assert_eq!(told(&drawer, &fault).key, key);
    }
}
