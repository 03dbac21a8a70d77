use crate::quantity::{Unit, exact, parse, rounded};
use proptest::prelude::*;

#[test]
fn exact_takes_the_customary_prefix() {
    for (value, unit, text) in [
        (24_900.0, Unit::Ohm, "24.9 kΩ"),
        (499.0, Unit::Ohm, "499 Ω"),
        (1e6, Unit::Ohm, "1 MΩ"),
        (0.05, Unit::Ohm, "50 mΩ"),
        (0.0, Unit::Ohm, "0 Ω"),
        (-0.0, Unit::Volt, "0 V"),
        (1e300, Unit::Ohm, "1e300 Ω"),
        (5e-324, Unit::Volt, "5e-324 V"),
        (-0.018, Unit::Volt, "-18 mV"),
        (0.1 + 0.2, Unit::Volt, "300.00000000000004 mV"),
        (0.001, Unit::Fraction, "0.1 %"),
        (1e-4, Unit::Fraction, "0.01 %"),
        (5e-5, Unit::Fraction, "50 ppm"),
        (0.0, Unit::Fraction, "0 %"),
        (25e-6, Unit::PerKelvin, "25 ppm/K"),
        (3.85e-3, Unit::PerKelvin, "3850 ppm/K"),
        (1e5, Unit::Rejection, "100000:1"),
        (5e5, Unit::VoltPerSecond, "0.5 V/µs"),
        (5e-7, Unit::VoltPerKelvin, "500 nV/K"),
        (1e-8, Unit::VoltPerRootHertz, "10 nV/√Hz"),
        (1e-13, Unit::AmperePerRootHertz, "100 fA/√Hz"),
        (-20.0, Unit::Celsius, "-20 °C"),
        (0.1, Unit::Hertz, "0.1 Hz"),
        (45.0, Unit::Degree, "45°"),
        (1200.0, Unit::Plain, "1200"),
        (0.04, Unit::Plain, "0.04"),
    ] {
        assert_eq!(exact(value, unit), text);
    }
}

#[test]
fn rounded_for_reports() {
    for (value, unit, digits, text) in [
        (24_899.97, Unit::Ohm, 4, "24.9 kΩ"),
        (24_123.0, Unit::Ohm, 4, "24.12 kΩ"),
        (999.96, Unit::Ohm, 4, "1 kΩ"),
        (999.94, Unit::Ohm, 4, "999.9 Ω"),
        (-0.001234, Unit::Fraction, 4, "-0.1234 %"),
        (0.0, Unit::Fraction, 4, "0 %"),
        (-0.0, Unit::Volt, 4, "0 V"),
        (-1e-12, Unit::Volt, 3, "-1 pV"),
        (92.3067, Unit::Decibel, 4, "92.31 dB"),
        (100.0, Unit::Decibel, 4, "100.00 dB"),
        (-0.001, Unit::Decibel, 4, "0.00 dB"),
        (-0.001, Unit::Decibel, 1, "0 dB"),
        (31_622.776_6, Unit::Rejection, 4, "90.00 dB"),
        (f64::INFINITY, Unit::Rejection, 4, "unbounded"),
        (f64::INFINITY, Unit::Decibel, 4, "unbounded"),
        (f64::INFINITY, Unit::Ohm, 4, "unbounded"),
        (f64::NAN, Unit::Ohm, 4, "undefined"),
        (0.100_04, Unit::Plain, 3, "0.1"),
        (123_456.0, Unit::Plain, 3, "123000"),
        (5.0, Unit::Volt, 0, "5 V"),
    ] {
        assert_eq!(rounded(value, unit, digits), text);
    }
}

fn comes_back(value: f64, unit: Unit) {
    let text = exact(value, unit);
    let read = parse(&text, unit).unwrap_or_else(|fault| panic!("{text}: {fault}"));
    let value = if value == 0.0 { 0.0 } else { value };
    assert_eq!(read.to_bits(), value.to_bits(), "{text}");
}

#[test]
fn the_edges_come_back() {
    for unit in Unit::ALL {
        for value in [0.0, 5e-324, f64::MIN_POSITIVE, f64::MAX, 1.0, 0.1, 1e22, 1e23, 2f64.sqrt(), f64::EPSILON] {
            comes_back(value, unit);
            comes_back(-value, unit);
        }
    }
}

proptest! {
    #[test]
    fn every_double_comes_back(bits in any::<u64>()) {
        let value = f64::from_bits(bits);
        prop_assume!(value.is_finite());
        for unit in Unit::ALL {
            comes_back(value, unit);
        }
    }

    #[test]
    fn usual_values_come_back(value in 1e-16f64..1e16, scale in -12i32..12) {
        for unit in Unit::ALL {
            comes_back(value, unit);
            comes_back(-value * libm::pow(10.0, f64::from(scale)), unit);
        }
    }

    /// Half a unit of the last digit is the most that rounding may move a value.
    #[test]
    fn rounding_moves_little(value in prop::num::f64::NORMAL, digits in 1usize..15) {
        for unit in Unit::ALL {
            let text = rounded(value, unit, digits);
            if matches!(unit, Unit::Decibel | Unit::Rejection) {
                prop_assert!(!text.starts_with("-0 ") && text != "-0.00 dB");
                continue;
            }
            let Ok(read) = parse(&text, unit) else { continue }; // rounded up beyond the greatest double
            prop_assert!((read / value - 1.0).abs() <= 0.500001 * libm::pow(10.0, 1.0 - digits as f64), "{}", text);
        }
    }
}
