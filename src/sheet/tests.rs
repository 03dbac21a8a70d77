use super::part_text::{PartFault, read};
use super::*;
use crate::designator::{Designator, Topology};
use crate::part::Fixed;
use crate::study::{Board, Inputs};
use proptest::prelude::*;
use std::collections::BTreeMap;

fn ohm(text: &str) -> Option<f64> {
    read(text, None).ok()?.ohm
}

#[test]
fn values_in_the_spellings_of_real_bills() {
    let same = [
        "24.9k",
        "24k9",
        "24.9 kΩ",
        "24.9K",
        "24900",
        "24.9kohm",
        "24.9k 0.1% 0603",
        "0603 24.9k 0.1%",
        "24.9k, 0.1%, 0603",
        "24.9k,0.1%,0603",
        "RES 24.9k 0.1% 25ppm/K 0.1W thin film",
        "24k9 1206 1%",
        "24.9 k 0.1 % 0805",
        "2.49e4",
        "24.9k|0.1%|0603",
    ];
    for text in same {
        assert_eq!(ohm(text), Some(24_900.0), "{text}");
    }
    for (text, value) in
        [("0R05", 0.05), ("4R7", 4.7), ("499", 499.0), ("499R 0402", 499.0), ("1210", 1210.0), ("4K7F", 4_700.0)]
    {
        assert_eq!(ohm(text), Some(value), "{text}");
    }
    let read = |text| read(text, None).expect("read");
    let part = read("24.9k ±0.1 % 25ppm/°C 0603");
    assert_eq!((part.tolerance, part.tempco_per_k), (Some(0.001), Some(25e-6)));
    assert_eq!((read("4K7F").tolerance, read("10k 15ppm").tempco_per_k), (Some(0.01), Some(15e-6)));
    assert!(read("DNP").not_fitted && read("not fitted").not_fitted);
}

#[test]
fn what_holds_no_single_resistance_is_told() {
    assert!(matches!(read("10k 22k", None), Err(PartFault::Two(..))));
    assert_eq!(read("10k 10k", None).map(|part| part.ohm), Ok(Some(10_000.0)));
    for text in ["", "0603", "thin film", "24,9k", "24.9 kohms", "24.9 Megohm"] {
        assert!(read(text, None).is_err(), "{text}");
    }
    assert_eq!(read("24.9", Some("kΩ")).map(|part| part.ohm), Ok(Some(24_900.0)));
}

fn parts(
    text: &str,
    designators: &[(Designator, &str)],
) -> Result<BTreeMap<Designator, crate::study::ListedPart>, Vec<String>> {
    let codes = |faults: crate::spec::Faults| {
        faults.0.iter().map(|fault| format!("{}:{}", fault.code, fault.line())).collect::<Vec<_>>()
    };
    let board = Board {
        designators: designators.iter().map(|(name, said)| (*name, (*said).to_owned())).collect(),
        ..Board::default()
    };
    Bill::read("bom.csv", text, &board.columns).map_err(codes)?.parts(&board, Topology::ThreeOpAmp).map_err(codes)
}

#[test]
fn bills_of_every_make() {
    use Designator::{RF1, RF2, RG};
    let named = [(RG, "R101"), (RF1, "R102"), (RF2, "R103")];
    let bills = [
        "Designator,Value,Tol\nR101,499,0.1%\n\"R102,R103\",24.9k,0.1%\n",
        "\u{feff}Board 7\r\nRevision;C\r\nRef Des;Value\r\nR101;499R 0.1% 0603\r\nR102,R103;24k9 0.1% 0603\r\n",
        "Value\tReferences\tTolerance [%]\n499\tR101\t0.1\n24.9k\tR102-R103\t0.1\n",
        "sep=;\nreference;resistance [kΩ];tolerance\nr101;0.499;±0.1 %\nR102 R103;24.9;100 ppm\n",
        "Reference,Description\nR101,\"RES 499 0.1% 0603, \"\"thin\"\"\"\nR103..R104,24.9k 0.1%\nR102,24.9k 0.1%",
    ];
    for bill in bills {
        let found = parts(bill, &named).unwrap_or_else(|why| panic!("{bill}: {why:?}"));
        assert_eq!(found[&RG].value, Fixed::Ohm(499.0), "{bill}");
        assert_eq!((found[&RF1].value, found[&RF2].value), (Fixed::Ohm(24_900.0), Fixed::Ohm(24_900.0)), "{bill}");
        assert!(found.values().all(|part| part.tolerance.is_some_and(|t| (1e-4..=1e-3).contains(&t))), "{bill}");
    }
}

#[test]
fn missing_and_double_designators_each_have_their_place() {
    use Designator::{R1, RG};
    let named = [(RG, "R101"), (R1, "R1")];
    assert_eq!(parts("Ref,Value\nR1,10k\n", &named), Err(vec!["missing-designator:1".to_owned()]));
    assert_eq!(parts("Ref,Value\nR101,1k\nR1,10k\n\"R2,R1\",10k\n", &named), Err(vec!["listed-twice:4".to_owned()]));
    assert_eq!(parts("Ref,Value\nR101,1k\nR1,spoon\n", &named), Err(vec!["bad-value:3".to_owned()]));
    assert_eq!(parts("a,b\n1,2\n", &named), Err(vec!["no-heading:1".to_owned()]));
    assert_eq!(parts("Ref,Value\nR1,\"10k\n", &named), Err(vec!["unclosed-quote:2".to_owned()]));
    let found = parts("Ref,Value,DNP\nR101,1k,\nR1,10k,x\nR1,22k,\n", &named).expect("one is fitted");
    assert_eq!(found[&R1].value, Fixed::Ohm(22_000.0));
    assert_eq!(parts("Ref,Value,DNP\nR101,1k,yes\nR1,10k,\n", &named).expect("read")[&RG].value, Fixed::Open);
    let found = parts("Ref,Value\nR1,10k\nR9,nothing\n", &[]).expect("own names");
    assert_eq!(found.keys().copied().collect::<Vec<_>>(), [R1]);
}

#[test]
fn readings_in_both_forms_with_units_anywhere() {
    let one = readings("r.csv", "positive,negative,output,u_output\n1.001,0.999,2.7,10 µV\n").expect("read")[0];
    assert_eq!(one.inputs, Inputs::Wires { positive_v: 1.001, negative_v: 0.999 });
    assert_eq!((one.output_v, one.own.output_v, one.shared.output_v), (2.7, 1e-5, 0.0));
    let text = "\u{feff}no;Differential [mV];Common mode;Output (V);u_output_common [µV]\r\n1;-18;2500 mV;0.7;50\r\n";
    let one = readings("r.csv", text).expect("read")[0];
    assert_eq!(one.inputs, Inputs::Modes { differential_v: -0.018, common_mode_v: Some(2.5) });
    assert!((one.shared.output_v - 50e-6).abs() < 1e-18);
}

#[test]
fn readings_that_say_too_little_are_told_with_their_line() {
    for (text, told) in [
        ("differential,output\n1,\n", "empty-cell:2"),
        ("differential,output\n1,2\n1 ohm,3\n", "bad-quantity:3"),
        ("differential,output\n\"0,5\",2\n", "bad-quantity:2"),
        ("differential,u_outptu,output\n1,2,3\n", "no-column:1"),
        ("differential,u_output,output\n1,-2,3\n", "out-of-range:2"),
        ("differential,differential,output\n1,2,3\n", "listed-twice:1"),
        ("positive,output\n1,2\n", "no-column:1"),
        ("differential,output\n", "no-readings:1"),
        ("a,b\n", "no-heading:1"),
        ("", "no-heading:1"),
    ] {
        let faults = readings("r.csv", text).expect_err(text);
        assert_eq!(format!("{}:{}", faults.0[0].code, faults.0[0].line()), told, "{text}");
    }
}

proptest! {
    #[test]
    fn no_text_whatever_stops_the_readers(text in "(?s)([\\PC]|[,;\"\t\n\r]|Ref|Value|R1|output|differential|10k|%){0,60}") {
        let _ = readings("r.csv", &text);
        if let Ok(bill) = Bill::read("b.csv", &text, &BTreeMap::new()) {
            let _ = bill.parts(&Board::default(), Topology::Difference);
        }
        let _ = read(&text, None);
    }
}
