use super::{agree, prints};
use crate::designator::{Amp, Designator, Ohms, Topology};
use crate::textbook::{Drive, gain_law, gains, nodes, rejection_db};
use Designator::{R1, R2, R3, R4, RF1, RF2, RG};

/// CV-DA-01: the textbook difference amplifier (Sedra/Smith, Franco; value from memory).
#[test]
fn one_resistor_off_by_a_thousandth() {
    let ohms: Ohms = [(R1, 10e3), (R2, 10e3), (R3, 10e3), (R4, 10.01e3)].into_iter().collect();
    let found = gains(Topology::Difference, &ohms).unwrap();
    prints(found.common_mode * 1e4, "4.9975", "A_cm");
    prints(rejection_db(found.rejection()).unwrap(), "66.03", "CMRR");
    let buffered = gains(Topology::BufferedDifference, &ohms).unwrap();
    assert_eq!(buffered, found);
}

/// CV-IA3-01: Sedra/Smith, Microelectronic Circuits, example 2.17, seen: RG = 1 kΩ, both feedback resistors
/// 500 kΩ, 10 kΩ around the difference stage; 5 V common, 10 mV peak between.
#[test]
fn node_voltages_of_a_three_op_amp_circuit() {
    let ohms: Ohms =
        [(RG, 1e3), (RF1, 500e3), (RF2, 500e3), (R1, 10e3), (R2, 10e3), (R3, 10e3), (R4, 10e3)].into_iter().collect();
    for s in [-1.0, 0.0, 1.0] {
        let drive = Drive { positive_v: 5.0 + 0.005 * s, negative_v: 5.0 - 0.005 * s, reference_v: 0.0 };
        let [low, high, last] = nodes(Topology::ThreeOpAmp, &ohms, drive).unwrap().try_into().unwrap();
        assert_eq!([low.amp, high.amp, last.amp], [Amp::A1, Amp::A2, Amp::A3]);
        let published = [5.0 - 5.005 * s, 5.0 + 5.005 * s, 2.5 + 2.5025 * s, 10.01 * s];
        for (told, printed) in [low.output_v, high.output_v, last.input_v, last.output_v].into_iter().zip(published) {
            assert!((told - printed).abs() < 1e-9, "{told} is not {printed}");
        }
    }
    agree(gains(Topology::ThreeOpAmp, &ohms).unwrap().differential, 1001.0, 1e-14);
}

/// CV-IA2-01: Analog Devices AD627 data sheet, Rev. E, p. 19, four measured resistors, 85 dB calculated, seen.
#[test]
fn rejection_of_four_measured_resistors() {
    let ohms: Ohms = [(R1, 9999.5), (R2, 999.76), (R3, 1000.2), (R4, 9997.7)].into_iter().collect();
    let found = gains(Topology::TwoOpAmp, &ohms).unwrap();
    prints(found.common_mode * 1e4, "6.198", "A_cm");
    prints(rejection_db(found.rejection()).unwrap(), "85", "CMRR");
    prints(rejection_db(found.rejection()).unwrap(), "84.98", "CMRR recomputed");
}

/// CV-IA2-03: 25 kΩ and 100 kΩ give 5 + 200k/RG (AD627 data sheet, Rev. E, seen); 10 kΩ and 40 kΩ give
/// 5 + 80k/RG (INA126, from memory).
#[test]
fn gain_laws_of_two_chips_from_their_resistors() {
    for (outer, inner, constant) in [(100e3, 25e3, 200e3), (40e3, 10e3, 80e3)] {
        let ohms: Ohms = [(R1, outer), (R2, inner), (R3, inner), (R4, outer)].into_iter().collect();
        let law = gain_law(Topology::TwoOpAmp, &ohms).unwrap();
        assert_eq!((law.base_gain, law.constant_ohm), (5.0, constant));
    }
}

/// CV-IA2-05, the statement of the Analog Devices handbook seen in words, numbers recomputed: at a gain of 1.1
/// the first op amp makes 11 of the common mode.
#[test]
fn the_first_op_amp_runs_out_of_swing_at_low_gain() {
    let ohms: Ohms = [(R1, 1e3), (R2, 10e3), (R3, 10e3), (R4, 1e3)].into_iter().collect();
    let drive = Drive { positive_v: 1.0, negative_v: 1.0, reference_v: 0.0 };
    let told = nodes(Topology::TwoOpAmp, &ohms, drive).unwrap();
    agree(told[0].output_v, 11.0, 1e-14);
    agree(gains(Topology::TwoOpAmp, &ohms).unwrap().differential, 1.1, 1e-14);
}
