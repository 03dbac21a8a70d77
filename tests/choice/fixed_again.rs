//! The chosen design, put back as `fixed`, predicts the same; source loading is asked for in addition.
use crate::{designed, ohm, question};
use evenkeel::part::Fixed;

const SPEC: &str = "[signal]\ndifferential = \"± 18 mV\"\ncommon_mode = \"2.45 V .. 2.55 V\"\nbandwidth = \"200 Hz\"\n\
    [source]\nresistance = \"350 Ω\"\nimbalance = \"2 Ω\"\n[supply]\npositive = \"5 V\"\nnegative = \"0 V\"\nreference = \"2.5 V\"\n\
    [target]\ngain = 47\n[resistors]\ntolerance = \"0.1 %\"\ntempco = \"25 ppm/K\"\n\
    [opamp.all]\nrejection = \"110 dB\"\nopen_loop_gain = \"110 dB\"\nvoltage_noise = \"9 nV/√Hz\"\n";

#[test]
fn a_chosen_design_put_back_as_fixed_is_the_same_design() {
    for topology in ["difference", "buffered-difference", "three-op-amp", "two-op-amp"] {
        for parts in [1, 2] {
            let asked = question(
                &format!("{SPEC}[circuit]\ntopology = \"{topology}\"\n")
                    .replace("tempco = ", &format!("parts = {parts}\ntempco = ")),
            );
            let first = designed(&asked);
            let mut again = asked.clone();
            for line in &first.resistors {
                assert!(line.chosen);
                again.resistors.fixed.insert(line.name, line.ohm.map_or(Fixed::Open, Fixed::Ohm));
            }
            let second = designed(&again);
            assert!(second.resistors.iter().all(|line| !line.chosen));
            assert_eq!((first.gain, &first.rejection), (second.gain, &second.rejection), "{topology}");
            assert_eq!((&first.headroom, &first.noise), (&second.headroom, &second.noise), "{topology}");
        }
    }
}

#[test]
fn a_chosen_rg_of_a_chip_put_back_as_fixed_is_the_same_design() {
    let chip = "[circuit]\ntopology = \"single-chip\"\n[chip]\ngain_constant = \"50k\"\n";
    let text = SPEC.split("[opamp.all]").next().expect("a spec");
    for parts in [1, 2] {
        let asked = question(&format!("{}{}", text.replace("tempco = ", &format!("parts = {parts}\ntempco = ")), chip));
        let first = designed(&asked);
        let mut again = asked.clone();
        for line in &first.resistors {
            again.resistors.fixed.insert(line.name, line.ohm.map_or(Fixed::Open, Fixed::Ohm));
        }
        let second = designed(&again);
        assert_eq!((first.gain, &first.rejection, &first.noise), (second.gain, &second.rejection, &second.noise));
        assert!(first.gain.error_nominal.abs() < if parts == 1 { 0.012 } else { 1e-3 }, "{:?}", first.gain);
    }
}

/// Series resistance in front of R1 takes `R1/(R1 + Rs)` of the gain (a divider; no source needed): with
/// Rs = 350 Ω and 10 kΩ that is 3.4 %, far more than half a step of E192.
#[test]
fn what_the_source_takes_away_is_asked_for() {
    let asked = question(
        &format!("{SPEC}series = \"E192\"\n[circuit]\ntopology = \"difference\"\n")
            .replace("series = \"E192\"\n", "")
            .replace("[resistors]\n", "[resistors]\nseries = \"E192\"\n"),
    );
    let found = designed(&asked);
    assert!(found.gain.error_nominal.abs() < 1e-3, "{:?}", found.gain);
    let by_hand = ohm(&found, "R2") / (ohm(&found, "R1") + 350.0);
    assert!((by_hand / found.gain.nominal - 1.0).abs() < 1e-3, "{by_hand} {:?}", found.gain);
}

#[test]
fn headroom_that_one_split_lacks_another_has() {
    // A1 and A2 carry common mode plus half the signal times stage one's gain: 0.35 V at the input of a
    // 3.3 V supply leaves little below
    let text = "[signal]\ndifferential = \"0 V .. 20 mV\"\ncommon_mode = \"0.6 V\"\n[supply]\npositive = \"3.3 V\"\n\
        negative = \"0 V\"\nreference = \"0.2 V\"\n[target]\ngain = 100\n[resistors]\ntolerance = \"0.1 %\"\n\
        [opamp.all]\noutput_swing = { from_negative = \"0.05 V\", from_positive = \"0.05 V\" }\n\
        input_range = { from_negative = \"0 V\", from_positive = \"1.2 V\" }\n[limits]\nheadroom = \"20 mV\"\n";
    let found = designed(&question(text));
    assert!(found.met, "{:?}", found.limits);
    let second = ohm(&found, "R2") / ohm(&found, "R1");
    assert!(second > 1.2, "stage two has to take gain: {second}");
    // by hand: 0.6 V - 20 mV/2*G1 >= 70 mV, so G1 <= 53
    assert!(100.0 / second <= 53.1, "{second}");
}
