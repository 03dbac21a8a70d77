//! Switched gains: the equations of both forms.
use crate::question;
use evenkeel::study::{Form, switched};

const SPEC: &str = "[target]\ngain = 100\n[circuit]\nstage_two_gain = 1\n[resistors]\nseries = \"E192\"\ntolerance = \"0.1 %\"\n\
    tempco = \"0 ppm/K\"\n";

#[test]
fn taps_divide_one_string() {
    let found = switched(&question(SPEC), &[1.0, 10.0, 100.0], Form::Tapped).expect("an answer");
    let value =
        |name: &str| found.resistors.iter().find(|one| one.name == name).and_then(|one| one.ohm).expect("there");
    let (middle, inner, outer) = (value("RT0"), value("RT1"), value("RT2"));
    let whole = middle + 2.0 * inner + 2.0 * outer;
    let by_hand = [1.0, whole / (middle + 2.0 * inner), whole / middle];
    for (line, gain) in found.gains.iter().zip(by_hand) {
        assert!((line.gain / gain - 1.0).abs() < 1e-6, "{line:?}, by hand {gain}");
        assert!((line.gain / line.target - 1.0).abs() < 2e-3);
    }
    assert!((10e3..=100e3).contains(&(whole / 2.0)));
}

#[test]
fn a_switch_stands_in_series_with_its_resistor() {
    let spec = format!("{SPEC}[switch]\non_resistance = \"20 Ω\"\non_resistance_match = \"5 Ω\"\n");
    let found = switched(&question(&spec), &[2.0, 20.0, 200.0], Form::Separate).expect("an answer");
    let value =
        |name: &str| found.resistors.iter().find(|one| one.name == name).and_then(|one| one.ohm).expect("there");
    for (at, line) in found.gains.iter().enumerate() {
        let rg = value(&format!("RG{}", at + 1));
        let gain = |on: f64| 1.0 + 2.0 * value("RF1") / (rg + on);
        assert!((line.gain / gain(20.0) - 1.0).abs() < 1e-9, "{line:?}");
        assert!((line.gain / line.target - 1.0).abs() < 6e-3, "{line:?}");
        // the match alone moves the gain at least so far
        assert!(line.error_high >= gain(15.0) / line.target - 1.0 && line.error_low <= gain(25.0) / line.target - 1.0);
    }
}

/// `(1 + A)/(4 t)` of a subtractor, times the gain in front of it; the output swings as far at every gain.
#[test]
fn limits_hold_at_every_gain_with_its_signal() {
    let spec = format!(
        "{SPEC}[supply]\npositive = \"15 V\"\nnegative = \"-15 V\"\n[signal]\ndifferential = \"-50 mV .. 50 mV\"\n\
        common_mode = \"0 V\"\n[limits]\nrejection = \"80 dB\"\nheadroom = \"9.5 V\"\n"
    );
    let found = switched(&question(&spec), &[10.0, 1000.0], Form::Tapped).expect("an answer");
    for (line, (gain, met)) in found.gains.iter().zip([(10.0, false), (1000.0, true)]) {
        let rejection = 20.0 * libm::log10(gain * 2.0 / (4.0 * 0.001));
        assert_eq!(line.limits.iter().map(|one| one.limit).collect::<Vec<_>>(), ["rejection", "headroom"]);
        assert!((line.limits[0].predicted.expect("told") - rejection).abs() < 0.03, "{line:?}");
        // 50 mV at the spec's own gain of 100
        assert!((line.limits[1].predicted.expect("told") - (15.0 - 5.0)).abs() < 0.05, "{line:?}");
        assert_eq!((line.limits[0].met, line.limits[1].met, line.met()), (Some(met), Some(true), met));
    }
    assert!(!found.met());
}

#[test]
fn other_circuits_and_gains_are_refused() {
    let difference = question("[target]\ngain = 10\n[circuit]\ntopology = \"difference\"\n");
    assert!(switched(&difference, &[1.0, 10.0], Form::Separate).is_err());
    let two = question("[target]\ngain = 10\n[circuit]\ntopology = \"two-op-amp\"\n");
    assert!(switched(&two, &[2.0, 10.0], Form::Tapped).is_err());
    assert!(switched(&two, &[2.5, 10.0], Form::Separate).is_ok());
    assert!(switched(&question(SPEC), &[0.5, 10.0], Form::Tapped).is_err());
}

/// `G = 1 + 50k/RG` with the values of the series by hand.
#[test]
fn a_chip_switches_one_rg_for_each_gain() {
    let spec = "[target]\ngain = 100\n[circuit]\ntopology = \"single-chip\"\n[resistors]\nseries = \"E96\"\ntolerance = \"0.1 %\"\n\
        tempco = \"0 ppm/K\"\n[chip]\ngain_constant = \"50k\"\nrejection = [{ gain = 1, at = \"80 dB\" }, { gain = 100, at = \"110 dB\" }]\n";
    let found = switched(&question(spec), &[1.0, 10.0, 101.0], Form::Separate).expect("an answer");
    let ohms: Vec<Option<f64>> = found.resistors.iter().map(|one| one.ohm).collect();
    assert_eq!(ohms, [None, Some(5.62e3), Some(499.0)]);
    for (line, rg) in found.gains.iter().zip([f64::INFINITY, 5.62e3, 499.0]) {
        assert!((line.gain / (1.0 + 50e3 / rg) - 1.0).abs() < 1e-9, "{line:?}");
    }
    // the rejection listed at the gain, or at the next lower one
    let told: Vec<f64> = found.gains.iter().filter_map(|line| line.rejection_db).collect();
    assert!(
        (told[0] - 80.0).abs() < 0.01 && (told[1] - 80.0).abs() < 0.01 && (told[2] - 110.0).abs() < 0.01,
        "{told:?}"
    );
    assert!(switched(&question(spec), &[1.0, 10.0], Form::Tapped).is_err());
}
