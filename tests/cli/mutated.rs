//! Specs, quantities and tables after damage to bytes, keys, units, nesting and sizes: every reader answers or
//! refuses, and a refusal has its place, what was read, and what would be right.
use crate::asked::ask;
use crate::damage::damaged;
use crate::refusal::{all_bear, quantity_bears};
use evenkeel::cli::Desk;
use evenkeel::designator::Topology;
use evenkeel::quantity::{Unit, exact, parse, parse_range};
use evenkeel::sheet::{Bill, readings};
use evenkeel::spec::{NoFiles, read, starter};
use evenkeel::study::Board;
use proptest::prelude::*;

fn specs() -> Vec<String> {
    let mut all: Vec<String> = ["hook-load", "battery-shunt", "geophone", "mixer-torque"]
        .map(|name| at_root(&format!("examples/{name}.toml")))
        .to_vec();
    all.push(at_root("src/spec/tests/contract.toml"));
    all.extend(Topology::ALL.map(starter));
    all
}

fn at_root(path: &str) -> String {
    std::fs::read_to_string(format!("{}/{path}", env!("CARGO_MANIFEST_DIR"))).expect(path)
}

const TABLES: [&str; 4] = [
    "Designator;Value;Tol\nR101;499R 0.1% 0603;\n\"R102,R103\";24k9;0.1%\n",
    "sep=,\nReference,Description\nR1-R4,\"RES 10k 0.1% 25ppm/K\"\nRG,\"499, 0.1%\"\nRF1 RF2,24.9k\n",
    "differential [mV],common_mode,output,u_output\n-18,2.5,0.6856,10 µV\n18,2.5,4.3144,10 µV\n0,1.5,2.4999,10 µV\n",
    "positive;negative;output [V];u_output_common [µV]\n1.001;0.999;2.7;50\n0.999;1.001;2.3;50\n",
];

const QUANTITIES: [&str; 12] = [
    "4.7 kΩ",
    "4k7",
    "-18 .. 18 mV",
    "± 300 mV",
    "2.5 ± 0.05 V",
    "0.1 %",
    "25 ppm/K",
    "100 dB",
    "100000:1",
    "100 V/mV",
    "10 nV/√Hz",
    "-20 °C .. 70 °C",
];

fn steering() -> impl Strategy<Value = Vec<u8>> {
    prop::collection::vec(any::<u8>(), 5..30)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_damaged_spec_is_read_or_refused_at_its_place(which in 0_usize..10, steering in steering()) {
        if let Err(faults) = read("a.toml", &damaged(&specs()[which], &steering), &NoFiles) {
            all_bear(&faults);
        }
    }

    #[test]
    fn a_damaged_quantity_is_read_or_refused_at_its_place(which in 0_usize..12, steering in steering()) {
        let text = damaged(QUANTITIES[which], &steering);
        for unit in Unit::ALL {
            match parse(&text, unit) {
                Ok(value) => {
                    prop_assert!(value.is_finite());
                    prop_assert_eq!(parse(&exact(value, unit), unit).map(|again| again == value), Ok(true), "{}", text);
                    prop_assert_eq!(parse(&format!(" {text}\t"), unit).map(f64::to_bits), Ok(value.to_bits()));
                }
                Err(fault) => quantity_bears(&text, &fault),
            }
            match parse_range(&text, unit) {
                Ok((low, high)) => prop_assert!(low <= high && low.is_finite() && high.is_finite()),
                Err(fault) => quantity_bears(&text, &fault),
            }
        }
    }

    #[test]
    fn a_damaged_table_is_read_or_refused_at_its_place(which in 0_usize..4, steering in steering()) {
        let text = damaged(TABLES[which], &steering);
        if let Err(faults) = readings("r.csv", &text) {
            all_bear(&faults);
        }
        match Bill::read("b.csv", &text, &Default::default()) {
            Ok(bill) => {
                if let Err(faults) = bill.parts(&Board::default(), Topology::ThreeOpAmp) {
                    all_bear(&faults);
                }
            }
            Err(faults) => all_bear(&faults),
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    /// The whole way: whatever the file holds, a row of JSON comes out, and its numbers are numbers.
    #[test]
    fn a_damaged_spec_is_a_row_of_a_batch(which in 0_usize..10, steering in steering()) {
        let text = damaged(&specs()[which], &steering);
        let told = ask("batch - --format json").desk(Desk::default()).stdin(&text).run();
        prop_assert!(told.status <= 2 && told.stderr.is_empty(), "{}", told.stderr);
        for line in told.stdout.lines() {
            let row: serde_json::Value = serde_json::from_str(line).expect("a row of JSON");
            prop_assert_eq!(row["schema"].as_str(), Some("evenkeel.batch.v1"));
            prop_assert!(row["met"].as_bool() == Some(true) || row["message"].as_str().is_some_and(|why| !why.is_empty()), "{}", line);
        }
    }
}

#[test]
fn sizes_and_nesting_have_their_end() {
    let line = "[target]\ngain = 10\n#";
    let at_most = format!("{line}{}", " ".repeat((1 << 20) - line.len()));
    read("a.toml", &at_most, &NoFiles).expect("a megabyte is read");
    let told = read("a.toml", &(at_most + " "), &NoFiles).expect_err("and no more");
    assert_eq!(told.0[0].code, "too-large");
    all_bear(&told);
    for deep in
        ["a = [[[[[[[[[[[[[[[[[1]]]]]]]]]]]]]]]]]", "[a.b.c.d.e.f.g.h.i.j.k.l.m.n.o.p.q.r.s]", "a = {b = {c = {d"]
    {
        let told =
            read("a.toml", &format!("[target]\ngain = 10\n{deep}\n"), &NoFiles).expect_err("too deep or not TOML");
        assert_eq!(told.0[0].line(), 3, "{told}");
        all_bear(&told);
    }
    let many: String = (0..3000).map(|n| format!("key_{n} = {n}\n")).collect();
    let told = read("a.toml", &format!("[target]\n{many}"), &NoFiles).expect_err("unknown keys");
    all_bear(&told);
    let last = told.0.last().expect("faults");
    assert_eq!(
        (last.code, last.line(), last.message.as_str()),
        ("more-faults", 101, "2901 more faults are not listed")
    );
    let told = readings("r.csv", &format!("differential,output\n{}", "x,y\n".repeat(3000))).expect_err("no voltages");
    assert_eq!((told.0.len(), told.0[100].code, told.0[100].line()), (101, "more-faults", 52));
}
