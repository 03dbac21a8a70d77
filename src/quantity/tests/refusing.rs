use crate::quantity::{FaultKind, Unit, parse, parse_range};
use std::ops::Range;

fn refuses(text: &str, unit: Unit, place: Range<usize>, help: &str) -> FaultKind {
    match parse(text, unit) {
        Ok(value) => panic!("{text} was read as {value}"),
        Err(fault) => {
            assert_eq!(fault.place(), place, "place in {text}: {fault}");
            assert_eq!(fault.help(), help, "help for {text}: {fault}");
            assert_eq!(fault.text(), text);
            assert_eq!(fault.read(), &text[place]);
            fault.kind().clone()
        }
    }
}

#[test]
fn nothing_and_no_number() {
    let help = "write a voltage like `20 mV`";
    assert!(matches!(refuses("", Unit::Volt, 0..0, help), FaultKind::Empty { .. }));
    assert!(matches!(refuses(" \u{a0}", Unit::Volt, 3..3, help), FaultKind::Empty { .. }));
    assert!(matches!(refuses("plenty of", Unit::Volt, 0..6, help), FaultKind::NoNumber { .. }));
    assert!(matches!(refuses("mV", Unit::Volt, 0..2, help), FaultKind::NoNumber { .. }));
    assert!(matches!(refuses("- V", Unit::Volt, 0..1, help), FaultKind::NoNumber { .. }));
    for (text, place) in
        [("NaN", 0..3), ("nan V", 0..3), ("inf V", 0..3), (" -inf", 1..5), ("∞", 0..3), ("Infinity V", 0..8)]
    {
        assert!(matches!(refuses(text, Unit::Volt, place, help), FaultKind::NotFinite { .. }));
    }
}

#[test]
fn malformed_numbers() {
    let kind = refuses("4,7 kΩ", Unit::Ohm, 1..2, "write a decimal point: `4.7`");
    assert_eq!(kind, FaultKind::DecimalComma { read: "4,7".into() });
    refuses("1,000 Ω", Unit::Ohm, 1..2, "write a decimal point: `1.000`, and nothing between thousands");
    let kind = refuses("1.2.3 V", Unit::Volt, 3..4, "write one decimal point");
    assert_eq!(kind, FaultKind::SecondPoint { read: "1.2.3 V".into() });
    for text in ["5E", "5e"] {
        let kind = refuses(text, Unit::Ohm, 1..2, "write digits behind it, as in `5e3`, or leave it out");
        assert!(matches!(kind, FaultKind::ExponentWithoutDigits { .. }));
    }
    let help = "write a value below 1.8e308 in SI units";
    assert!(matches!(refuses("1e400 V", Unit::Volt, 0..7, help), FaultKind::TooLarge { .. }));
    assert!(matches!(refuses("1e308 kV", Unit::Volt, 0..8, help), FaultKind::TooLarge { .. }));
    assert!(matches!(refuses("9000 dB", Unit::Rejection, 0..7, help), FaultKind::TooLarge { .. }));
    assert!(matches!(refuses("1e99999999999999999999 V", Unit::Volt, 0..24, help), FaultKind::TooLarge { .. }));
    let kind = refuses("1e-400 V", Unit::Volt, 0..8, "write `0` if zero is meant");
    assert!(matches!(kind, FaultKind::TooSmall { .. }));
}

#[test]
fn a_missing_unit_shows_what_to_write() {
    for (text, unit, place, help) in [
        ("0.1", Unit::Fraction, 0..3, "write `0.1 %`"),
        ("25", Unit::PerKelvin, 0..2, "write `25 ppm/K`"),
        (" 5 ", Unit::Volt, 1..2, "write `5 V`"),
        ("20 m", Unit::Volt, 0..4, "write `20 mV`"),
        ("100n", Unit::Ampere, 0..4, "write `100 nA`"),
        ("10 u", Unit::VoltPerKelvin, 0..4, "write `10 µV/K`"),
        ("1k", Unit::Hertz, 0..2, "write `1 kHz`"),
        ("25", Unit::Celsius, 0..2, "write `25 °C`"),
        // the contract's own example, `--need 90`
        ("90", Unit::Rejection, 0..2, "write `90dB` or `31623:1`"),
        ("100000", Unit::Rejection, 0..6, "write `100000:1` or `100dB`"),
        ("6", Unit::Rejection, 0..1, "write `6dB` or `1.995:1`"),
    ] {
        assert!(matches!(refuses(text, unit, place, help), FaultKind::UnitMissing { .. }), "{text}");
    }
}

#[test]
fn a_wrong_unit_names_both() {
    let kind = refuses("20 mV", Unit::Ohm, 3..5, "write a resistance like `4.7 kΩ`");
    assert_eq!(kind, FaultKind::WrongUnit { read: "mV".into(), belongs: "a voltage", due: "a resistance" });
    let kind = refuses("4.7 kΩ", Unit::Volt, 4..7, "write a voltage like `20 mV`");
    assert!(matches!(kind, FaultKind::WrongUnit { belongs: "a resistance", .. }));
    let kind = refuses("25 ppm", Unit::PerKelvin, 3..6, "write a temperature coefficient like `25 ppm/K`");
    assert!(matches!(kind, FaultKind::WrongUnit { belongs: "a fraction", .. }));
    let kind = refuses("298 K", Unit::Celsius, 4..5, "write a temperature like `-20 °C`");
    assert!(matches!(kind, FaultKind::WrongUnit { belongs: "a kelvin value", .. }));
    let kind = refuses("50 %", Unit::Rejection, 3..4, "write it like `100 dB`, `100000:1` or `100 V/mV`");
    assert!(matches!(kind, FaultKind::WrongUnit { belongs: "a fraction", .. }));
}

#[test]
fn case_matters() {
    for (text, unit, place, help) in [
        ("1 khz", Unit::Hertz, 2..5, "write `1 kHz`"),
        ("1 KHz", Unit::Hertz, 2..5, "write `1 kHz`"),
        ("100 db", Unit::Rejection, 4..6, "write `100 dB`"),
        ("20 mv", Unit::Volt, 3..5, "write `20 mV`"),
        ("100 PF", Unit::Farad, 4..6, "write `100 pF`"),
        ("5 PPM", Unit::Fraction, 2..5, "write `5 ppm`"),
        ("5 Ohm", Unit::Ohm, 2..5, "write `5 Ω`"),
    ] {
        assert!(matches!(refuses(text, unit, place, help), FaultKind::LetterCase { .. }), "{text}");
    }
    for (text, place) in [("10meg", 2..5), ("10 Meg", 3..6), ("10 MEGΩ", 3..8), ("10 megohm", 3..9)] {
        let kind = refuses(text, Unit::Ohm, place, "mega is `M`: write `10 MΩ`");
        assert!(matches!(kind, FaultKind::Meg { .. }));
    }
}

#[test]
fn the_whole_text_must_be_understood() {
    let kind = refuses("3 spoons", Unit::Second, 2..8, "write a time like `10 µs`");
    assert_eq!(kind, FaultKind::UnknownUnit { read: "spoons".into(), due: "a time" });
    let kind = refuses("3 V peak ", Unit::Volt, 4..8, "write `3 V` alone");
    assert_eq!(kind, FaultKind::LeftOver { read: "peak".into(), due: "a voltage" });
    let kind = refuses("100 %", Unit::Plain, 4..5, "write a plain number such as `100`");
    assert!(matches!(kind, FaultKind::WrongUnit { .. }));
    let kind = refuses("100 times", Unit::Plain, 4..9, "write `100` alone");
    assert!(matches!(kind, FaultKind::LeftOver { .. }));
    for text in ["4m7", "4k7k", "4k7.5", "R", "k", "4R7 kΩ", "4.7 k Ω", "1_000", "0x10", "27KK", "4r7"] {
        assert!(parse(text, Unit::Ohm).is_err(), "{text}");
    }
    for text in ["100:2", "100:", "100:1 dB", "100:10", "1 V/A"] {
        assert!(parse(text, Unit::Rejection).is_err(), "{text}");
    }
    for text in ["5 V/√kHz", "5 V/Hz", "5 nV/√Hz/K", "5 ‰"] {
        assert!(parse(text, Unit::VoltPerRootHertz).is_err(), "{text}");
    }
}

/// Found by the search under `fuzz/`: every spelling of every unit was tried on all of it.
#[test]
fn a_text_that_is_far_too_long_is_not_searched() {
    let text = "4.7 kΩ".repeat(200_000);
    let kind = refuses(&text, Unit::Ohm, 999..text.len(), "write a resistance like `4.7 kΩ`");
    assert_eq!(kind, FaultKind::TooLong { length: 1_400_000, due: "a resistance" });
    assert!(matches!(
        parse_range(&text, Unit::Volt).map_err(|fault| fault.kind().clone()),
        Err(FaultKind::TooLong { .. })
    ));
    assert_eq!(
        parse(&format!("0.{}1 V", "0".repeat(700)), Unit::Volt).map_err(|fault| fault.kind().clone()),
        Err(FaultKind::TooSmall { read: format!("0.{}1 V", "0".repeat(700)) })
    );
}

#[test]
fn one_value_is_not_a_range() {
    for (text, place) in [("1 V .. 2 V", 0..10), (" ± 5 V", 1..7)] {
        let kind = refuses(text, Unit::Volt, place, "write a voltage like `20 mV`");
        assert!(matches!(kind, FaultKind::RangeNotDue { .. }));
    }
}

#[test]
fn the_headline_says_what_was_read() {
    let headline = |text, unit| parse(text, unit).map_err(|fault| fault.to_string()).unwrap_err();
    assert_eq!(headline("90", Unit::Rejection), "`90` has no unit, but a rejection or open-loop gain is due");
    assert_eq!(headline("4,7k", Unit::Ohm), "`4,7` has a decimal comma");
    assert_eq!(headline("20 mV", Unit::Ohm), "`mV` is a voltage, but a resistance is due");
}
