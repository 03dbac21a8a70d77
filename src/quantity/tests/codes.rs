use crate::quantity::marking::{code, read, read_with_tolerance};
use crate::quantity::{Unit, parse};
use crate::series::Series;

/// IEC 60062:2016 + A1:2019, resistance examples as cited by the encyclopedia (a copy was read): both tables.
const RESISTANCES: [(&str, f64); 12] = [
    ("R47", 0.47),
    ("4R7", 4.7),
    ("470R", 470.0),
    ("4K7", 4700.0),
    ("47K", 47_000.0),
    ("47K3", 47_300.0),
    ("470K", 470_000.0),
    ("4M7", 4.7e6),
    ("8K2", 8200.0),
    ("1R2", 1.2),
    ("18R", 18.0),
    ("33K", 33_000.0),
];

#[test]
fn published_resistances_both_ways() {
    for (text, ohm) in RESISTANCES {
        assert_eq!(read(text), Ok(ohm), "{text}");
        assert_eq!(parse(text, Unit::Ohm), Ok(ohm), "{text}");
        assert_eq!(code(ohm).as_deref(), Some(text));
    }
    // three significant digits where two would do: read, but not what is written
    assert_eq!(read("15M0"), Ok(15e6));
    assert_eq!(code(15e6).as_deref(), Some("15M"));
    // lower-case k, copy read
    assert_eq!(read("2k2"), Ok(2200.0));
}

/// 1R8J and 27KK were read in a copy; J = 5 %, K = 10 %, G = 2 % too. The other letters are from memory of IEC 60062:2016.
#[test]
fn tolerance_letters() {
    assert_eq!(read_with_tolerance("1R8J"), Ok((1.8, Some(0.05))));
    assert_eq!(read_with_tolerance("27KK"), Ok((27_000.0, Some(0.1))));
    assert_eq!(read_with_tolerance("33K"), Ok((33_000.0, None)));
    assert_eq!(read_with_tolerance("4M7"), Ok((4.7e6, None)));
    for (letter, percent) in [
        ("E", 0.005),
        ("L", 0.01),
        ("P", 0.02),
        ("W", 0.05),
        ("B", 0.1),
        ("C", 0.25),
        ("D", 0.5),
        ("F", 1.0),
        ("G", 2.0),
        ("H", 3.0),
        ("J", 5.0),
        ("K", 10.0),
        ("M", 20.0),
        ("N", 30.0),
    ] {
        let fraction = parse(&format!("{percent} %"), Unit::Fraction).unwrap();
        assert_eq!(read_with_tolerance(&format!("4K7{letter}")), Ok((4700.0, Some(fraction))), "{letter}");
    }
    let fault = read_with_tolerance("4K7Y").unwrap_err();
    assert_eq!((fault.place(), fault.read()), (3..4, "Y"));
    for text in ["", "K", "4K7JJ", "4K7 J", "47", "4.7K", "Ω", "4K7é"] {
        assert!(read_with_tolerance(text).is_err(), "{text}");
    }
    assert!(read("27KK").is_err());
}

/// Multiplier letters from memory of IEC 60062:2016.
#[test]
fn every_multiplier_letter() {
    for (text, ohm) in
        [("4L7", 0.0047), ("1G5", 1.5e9), ("2T2", 2.2e12), ("L50", 0.0005), ("0R05", 0.05), ("R005", 0.005)]
    {
        assert_eq!(read(text), Ok(ohm), "{text}");
        assert_eq!(parse(text, Unit::Ohm), Ok(ohm), "{text}");
    }
    // capacitance: letters read in a copy, examples from memory
    for (text, farad) in [
        ("p33", 0.33e-12),
        ("3p3", 3.3e-12),
        ("33p", 33e-12),
        ("330p", 330e-12),
        ("n33", 330e-12),
        ("3n3", 3.3e-9),
        ("33n", 33e-9),
        ("330n", 330e-9),
        ("u33", 330e-9),
        ("3u3", 3.3e-6),
        ("3µ3", 3.3e-6),
        ("33u", 33e-6),
        ("m33", 330e-6),
        ("3m3", 3300e-6),
    ] {
        assert_eq!(parse(text, Unit::Farad), Ok(farad), "{text}");
    }
}

/// The form of small and single-digit values is from memory of the standard's own table (R10, 1R0, 1K0).
#[test]
fn written_codes() {
    for (ohm, text) in [
        (0.0005, "L50"),
        (0.00005, "L05"),
        (0.0047, "4L7"),
        (0.01, "R01"),
        (0.05, "R05"),
        (0.1, "R10"),
        (0.332, "R332"),
        (0.0499, "R0499"),
        (0.01234, "12L34"),
        (1.0, "1R0"),
        (10.0, "10R"),
        (100.0, "100R"),
        (1000.0, "1K0"),
        (24_900.0, "24K9"),
        (4_990.0, "4K99"),
        (1234.0, "1K234"),
        (1e6, "1M0"),
        (1e9, "1G0"),
        (999.9e12, "999T9"),
    ] {
        assert_eq!(code(ohm).as_deref(), Some(text));
    }
    for ohm in
        [0.0, -4700.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 12_345.0, 1.0 / 3.0, 1e15, 1e-9, f64::MAX, 5e-324]
    {
        assert_eq!(code(ohm), None, "{ohm}");
    }
}

#[test]
fn every_preferred_value_has_a_code_that_reads_back() {
    for series in Series::ALL {
        for ohm in (-2..=13).flat_map(|k| series.decade(k)) {
            let text = code(ohm).unwrap_or_else(|| panic!("{ohm} has no code"));
            assert_eq!(read(&text), Ok(ohm), "{text}");
            assert!(text.len() <= 6, "{text}");
        }
    }
}
