use crate::quantity::{FaultKind, Unit, exact, parse_range};
use proptest::prelude::*;

#[test]
fn every_form_of_the_contract() {
    for (text, unit, range) in [
        ("-18 mV .. 18 mV", Unit::Volt, (-0.018, 0.018)),
        ("-18 .. 18 mV", Unit::Volt, (-0.018, 0.018)),
        ("−18..18mV", Unit::Volt, (-0.018, 0.018)),
        ("-18 mV .. 18", Unit::Volt, (-0.018, 0.018)),
        ("2.45 V .. 2.55 V", Unit::Volt, (2.45, 2.55)),
        ("900 mV .. 1.1 V", Unit::Volt, (0.9, 1.1)),
        ("± 300 mV", Unit::Volt, (-0.3, 0.3)),
        ("±300mV", Unit::Volt, (-0.3, 0.3)),
        ("+- 300 mV", Unit::Volt, (-0.3, 0.3)),
        ("+/- 300 mV", Unit::Volt, (-0.3, 0.3)),
        ("2.5 V ± 50 mV", Unit::Volt, (2.45, 2.55)),
        ("2.5 ± 0.05 V", Unit::Volt, (2.45, 2.55)),
        ("2.5V+/-50mV", Unit::Volt, (2.45, 2.55)),
        ("-2.5 V +- 0.1 V", Unit::Volt, (-2.6, -2.4)),
        ("0 mV", Unit::Volt, (0.0, 0.0)),
        ("0 V ± 0 V", Unit::Volt, (0.0, 0.0)),
        ("-20 °C .. 70 °C", Unit::Celsius, (-20.0, 70.0)),
        ("-20 .. 70 °C", Unit::Celsius, (-20.0, 70.0)),
        ("25 °C", Unit::Celsius, (25.0, 25.0)),
        ("10k .. 100k", Unit::Ohm, (1e4, 1e5)),
        ("10 .. 100 kΩ", Unit::Ohm, (1e4, 1e5)),
        ("10 .. 100", Unit::Ohm, (10.0, 100.0)),
        ("10 .. 4k7", Unit::Ohm, (10.0, 4700.0)),
        ("0 .. 10k", Unit::Ohm, (0.0, 1e4)),
        ("10 .. 470R", Unit::Ohm, (10.0, 470.0)),
        ("80 .. 100 dB", Unit::Rejection, (1e4, 1e5)),
        ("90 dB ± 10 dB", Unit::Rejection, (1e4, 1e5)),
        ("10000:1 .. 100 dB", Unit::Rejection, (1e4, 1e5)),
        ("1e-3 .. 1e-2 V", Unit::Volt, (1e-3, 1e-2)),
        ("1..10", Unit::Plain, (1.0, 10.0)),
    ] {
        assert_eq!(parse_range(text, unit), Ok(range), "{text}");
    }
}

#[test]
fn faults_keep_their_place_in_the_whole_text() {
    for (text, unit, place, help) in [
        ("18 mV .. -18 mV", Unit::Volt, 0..15, "write the lower end first: `-18 mV .. 18 mV`"),
        ("1 V .. 2 spoons", Unit::Volt, 9..15, "write a voltage like `20 mV`"),
        ("1,5 V .. 2 V", Unit::Volt, 1..2, "write a decimal point: `1.5`"),
        (".. 2 V", Unit::Volt, 0..0, "write a voltage like `20 mV`"),
        ("1 V ..", Unit::Volt, 6..6, "write a voltage like `20 mV`"),
        ("1 .. 2", Unit::Volt, 0..1, "write `1 V`"),
        ("1 V ± -1 V", Unit::Volt, 7..11, "write the half-width without a sign"),
        ("10 .. 100k", Unit::Ohm, 0..2, "write `10k` or `10 Ω`"),
        ("1k ± 5", Unit::Ohm, 6..7, "write `5k` or `5 Ω`"),
        ("5 V ± 1 %", Unit::Volt, 9..10, "write a voltage like `20 mV`"),
        ("1 V ... 2 V", Unit::Volt, 6..7, "write a voltage like `20 mV`"),
        ("80 dB ± 10:1", Unit::Rejection, 0..13, "write both in dB, or the two ends as `low .. high`"),
        ("90 .. 100", Unit::Rejection, 0..2, "write `90dB` or `31623:1`"),
    ] {
        let fault = parse_range(text, unit).expect_err(text);
        assert_eq!((fault.place(), fault.help()), (place, help), "{text}: {fault}");
    }
    assert!(matches!(parse_range("2 V .. 1 V", Unit::Volt).unwrap_err().kind(), FaultKind::Reversed { .. }));
}

proptest! {
    #[test]
    fn ends_come_back(a in any::<f64>(), b in any::<f64>(), pick in 0..Unit::ALL.len()) {
        prop_assume!(a.is_finite() && b.is_finite());
        let unit = Unit::ALL[pick];
        let (low, high) = (a.min(b) + 0.0, a.max(b) + 0.0);
        let text = format!("{} .. {}", exact(low, unit), exact(high, unit));
        prop_assert_eq!(parse_range(&text, unit), Ok((low, high)));
    }

    /// `c ± h` is `(c - h) .. (c + h)` formed in whole hundredths, so without a rounding error.
    #[test]
    fn plus_minus_is_decimal(centre in -100_000i64..100_000, half in 0i64..100_000) {
        let ends = parse_range(&format!("{centre}e-2 V ± {half}e-2 V"), Unit::Volt).unwrap();
        let written = parse_range(&format!("{}e-2 .. {}e-2 V", centre - half, centre + half), Unit::Volt).unwrap();
        prop_assert_eq!(ends, written);
    }
}
