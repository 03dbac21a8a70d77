use crate::quantity::{Unit, decibels, from_decibels, parse, parse_count, parse_range};
use proptest::prelude::*;

/// Each expectation is the decimal that the text names, rounded once by the compiler.
fn reads(unit: Unit, cases: &[(&str, f64)]) {
    for (text, value) in cases {
        match parse(text, unit) {
            Ok(read) => assert_eq!(read.to_bits(), value.to_bits(), "{text}: {read} is not {value}"),
            Err(fault) => panic!("{text}: {fault}"),
        }
    }
}

#[test]
fn every_spelling_of_the_contract() {
    reads(
        Unit::Ohm,
        &[
            ("4.7 kΩ", 4700.0),
            ("4.7k", 4700.0),
            ("4k7", 4700.0),
            ("4R7", 4.7),
            ("0R05", 0.05),
            ("499", 499.0),
            ("4.7 k\u{2126}", 4700.0),
            ("4.7 kohm", 4700.0),
            ("4.7K", 4700.0),
            ("4K7", 4700.0),
            ("9980.0 ohm", 9980.0),
            ("10MΩ", 10e6),
            ("10 mΩ", 0.01),
            ("1 GΩ", 1e9),
            ("470R", 470.0),
            ("4.7 R", 4.7),
            ("4k7 Ω", 4700.0),
            ("1e3", 1000.0),
            ("1E3", 1000.0),
            ("4E7", 4e7),
            ("\u{a0}24.9\u{202f}kΩ ", 24_900.0),
            ("0 Ω", 0.0),
            ("-0", 0.0),
            ("-4k7", -4700.0),
        ],
    );
    reads(Unit::Volt, &[("20 mV", 0.02), ("20mV", 0.02), ("2e-5 V", 2e-5), ("−18 mV", -0.018), ("-18 mV", -0.018)]);
    reads(Unit::Volt, &[("50 µV", 50e-6), ("50 \u{3bc}V", 50e-6), ("50 uV", 50e-6), (".5 V", 0.5), ("1 MV", 1e6)]);
    reads(Unit::Fraction, &[("0.1 %", 0.001), ("0.1%", 0.001), ("100 ppm", 1e-4), ("0.05 %", 0.0005)]);
    reads(Unit::PerKelvin, &[("25 ppm/K", 25e-6), ("25 ppm/°C", 25e-6), ("25ppm/C", 25e-6), ("0.1 %/K", 1e-3)]);
    reads(Unit::Rejection, &[("80 dB", 1e4), ("100 dB", 1e5), ("100000:1", 1e5), ("100 V/mV", 1e5), ("1 V/uV", 1e6)]);
    reads(Unit::Rejection, &[("1e5 : 1", 1e5), ("7 V/V", 7.0), ("-20 dB", 0.1), ("90dB", 31_622.776_601_683_792)]);
    reads(Unit::Decibel, &[("0.1 dB", 0.1), ("-30 dB", -30.0)]);
    reads(Unit::VoltPerRootHertz, &[("10 nV/√Hz", 1e-8), ("10 nV/rtHz", 1e-8)]);
    reads(Unit::AmperePerRootHertz, &[("0.1 pA/√Hz", 1e-13), ("100fA/rtHz", 1e-13)]);
    reads(Unit::VoltPerSecond, &[("0.5 V/µs", 5e5), ("0.5 V/us", 5e5), ("500 V/ms", 5e5), ("500 kV/s", 5e5)]);
    reads(Unit::VoltPerKelvin, &[("0.5 µV/K", 5e-7), ("0.5 uV/°C", 5e-7), ("500 nV/C", 5e-7)]);
    reads(Unit::Celsius, &[("-20 °C", -20.0), ("−20 °C", -20.0), ("25C", 25.0), ("25 ℃", 25.0)]);
    reads(Unit::Kelvin, &[("10 K", 10.0), ("10 °C", 10.0), ("5 mK", 0.005)]);
    reads(Unit::KelvinPerWatt, &[("200 K/W", 200.0), ("200 °C/W", 200.0), ("0.2 K/mW", 200.0)]);
    reads(Unit::Farad, &[("100 pF", 1e-10), ("1 nF", 1e-9), ("4.7uF", 4.7e-6)]);
    reads(Unit::Ampere, &[("2 nA", 2e-9)]);
    reads(Unit::Hertz, &[("0.1 Hz", 0.1), ("1 MHz", 1e6), ("120 kHz", 1.2e5)]);
    reads(Unit::Second, &[("3 s", 3.0), ("10 µs", 1e-5)]);
    reads(Unit::Watt, &[("0.1 W", 0.1), ("63 mW", 0.063)]);
    reads(Unit::Degree, &[("45°", 45.0), ("45 deg", 45.0)]);
    reads(Unit::Plain, &[("100", 100.0), ("1.2e3", 1200.0), ("-2", -2.0)]);
}

/// A double multiplied by 1e-6 or 1e3 misses these in the last bit.
#[test]
fn rounded_once() {
    reads(Unit::Volt, &[("4.35 mV", 4.35e-3), ("0.7 µV", 0.7e-6), ("1.1 kV", 1100.0), ("9.95 nV", 9.95e-9)]);
    reads(Unit::Fraction, &[("0.07 %", 0.0007), ("0.35 %", 0.0035), ("35 ppm", 35e-6)]);
    // just below and exactly at the middle between two doubles: the tie goes to the even one
    let middle = "0.30000000000000001665334536937734810635447502136230468";
    reads(Unit::Volt, &[(&format!("{middle}74 V"), 0.3), (&format!("{middle}75 V"), 0.30000000000000004)]);
    let long = format!("1{}e-500 V", "0".repeat(500));
    reads(Unit::Volt, &[(&long, 1.0)]);
}

/// 20·log10: 1 to 10^5 in whole powers is 0 to 100 dB (definition of the decibel; published pairs 10:1 20 dB,
/// 100:1 40 dB, 1000:1 60 dB, 10000:1 80 dB, 100000:1 100 dB).
#[test]
fn whole_decades_are_exact() {
    for (ratio, level) in
        [(1.0, 0.0), (10.0, 20.0), (100.0, 40.0), (1e3, 60.0), (1e4, 80.0), (1e5, 100.0), (1e6, 120.0)]
    {
        assert_eq!(decibels(ratio), level);
        assert_eq!(from_decibels(level), ratio);
        assert_eq!(from_decibels(-level), 1.0 / ratio);
    }
    assert_eq!(decibels(0.0), f64::NEG_INFINITY);
    assert_eq!(from_decibels(f64::NEG_INFINITY), 0.0);
    assert_eq!(from_decibels(f64::INFINITY), f64::INFINITY);
    assert!(from_decibels(f64::NAN).is_nan());
    // half a decade: the square root of ten
    assert_eq!(from_decibels(10.0), 10f64.sqrt());
}

#[test]
fn counts() {
    for (text, count) in
        [("1e6", 1_000_000), ("1M", 1_000_000), ("1000000", 1_000_000), ("10 k", 10_000), ("1.5k", 1500)]
    {
        assert_eq!(parse_count(text), Ok(count), "{text}");
    }
    assert_eq!(parse_count("0"), Ok(0));
    assert_eq!(parse_count("9007199254740993"), Ok((1 << 53) + 1));
    assert_eq!(parse_count("18446744073709551615"), Ok(u64::MAX));
    for (text, place) in [
        ("", 0..0),
        ("many", 0..4),
        ("1.5", 0..3),
        ("-3", 0..2),
        ("1e-1", 0..4),
        ("1m", 1..2),
        ("10 boards", 3..9),
        ("1e400", 0..5),
        ("18446744073709551616", 0..20),
        ("1,000", 1..5),
    ] {
        assert_eq!(parse_count(text).map_err(|fault| fault.place()), Err(place), "{text}");
    }
}

proptest! {
    #[test]
    fn no_text_panics(text in "\\PC{0,24}", pick in 0..Unit::ALL.len()) {
        let unit = Unit::ALL[pick];
        let faults = [parse(&text, unit).err(), parse_range(&text, unit).err(), parse_count(&text).err()];
        for fault in faults.into_iter().flatten() {
            prop_assert!(text.get(fault.place()).is_some(), "place {:?} of {text:?}", fault.place());
            prop_assert!(!fault.help().is_empty() && !fault.to_string().is_empty());
        }
    }

    #[test]
    fn no_near_miss_panics(text in "[-+−]?[0-9]{0,3}[.,eE]?[0-9]{0,3} ?(\\.\\.|±|\\+-|:1|:)? ?-?[0-9]{0,2}[ \u{a0}]?[kKmMµuRLEΩ]{0,2}(V|dB|V/µs|%|°C|Ω|/)?", pick in 0..Unit::ALL.len()) {
        let unit = Unit::ALL[pick];
        if let Ok((low, high)) = parse_range(&text, unit) {
            prop_assert!(low <= high && low.is_finite() && high.is_finite());
        }
        if let Err(fault) = parse(&text, unit) {
            prop_assert!(text.get(fault.place()).is_some());
        }
    }

    /// Space before the unit is free, and the value is that of the decimal.
    #[test]
    fn space_is_free(digits in 1u32..100_000, power in -9i32..9) {
        let number = format!("{digits}e{power}");
        let value: f64 = format!("{digits}e{}", power - 3).parse().unwrap();
        for gap in ["", " ", "\u{a0}", "\u{202f}", "  "] {
            prop_assert_eq!(parse(&format!("{number}{gap}mV"), Unit::Volt).unwrap(), value);
        }
    }
}
