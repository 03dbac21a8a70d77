//! Whatever bytes come: the readers of specs, quantities and tables answer or refuse with a place, and never stop.
//!
//! The first byte chooses what the rest is: a text as it stands, or damage to a text that is right.
//! `cargo test` in this folder is a short search; `./search.sh SECONDS` one that coverage guides.
#[path = "../../tests/cli/damage.rs"]
mod damage;
#[path = "../../tests/cli/refusal.rs"]
mod refusal;

use evenkeel::designator::Topology;
use evenkeel::quantity::{Unit, exact, parse, parse_range};
use evenkeel::report::baselines;
use evenkeel::sheet::{Bill, readings};
use evenkeel::spec::{NoFiles, read, variation};
use evenkeel::study::Board;
use refusal::{all_bear, quantity_bears};
use std::time::Duration;

/// So long a plain `cargo test` searches at most.
const SHORT: Duration = Duration::from_secs(8);

const SPECS: [&str; 4] = [
    include_str!("../../src/spec/tests/contract.toml"),
    include_str!("../../examples/hook-load.toml"),
    include_str!("../../examples/battery-shunt.toml"),
    "[[channel]]\ntitle = \"a\"\n[channel.target]\ngain = 10\n[[channel]]\ntitle = \"b\"\n[channel.target]\noutput = \"0 .. 5 V\"\n",
];

const TABLES: [&str; 3] = [
    "Designator;Value;Tol\nR101;499R 0.1% 0603;\n\"R102,R103\";24k9;0.1%\n",
    "sep=,\nReference,Description\nR1-R4,\"RES 10k 0.1% 25ppm/K\"\nRG,\"499, 0.1%\"\nRF1 RF2,24.9k\n",
    "differential [mV],common_mode,output,u_output\n-18,2.5,0.6856,10 µV\n18,2.5,4.3144,10 µV\n0,1.5,2.4999,10 µV\n",
];

const QUANTITIES: [&str; 8] =
    ["4.7 kΩ", "4k7", "-18 .. 18 mV", "2.5 ± 0.05 V", "25 ppm/K", "100000:1", "10 nV/√Hz", "-20 °C .. 70 °C"];

const VARIATIONS: [&str; 2] = ["target.gain=10..30:3", "resistors.tolerance=0.1%,1%"];

const BASELINES: [&str; 2] = [
    "{\"schema\":\"evenkeel.batch.v1\",\"file\":\"a.toml\",\"title\":\"A\",\"gain_nominal\":1e2,\"rejection_worst_db\":null}\n{}",
    "{\n  \"schema\": \"evenkeel.design.v1\",\n  \"title\": \"B\",\n  \"gain\": { \"nominal\": 10.0, \"error_low\": -0.01 }\n}\n",
];

fn main() {
    bolero::check!().with_iterations(20_000).with_test_time(SHORT).with_max_len(100).for_each(|bytes: &[u8]| {
        let Some((&first, rest)) = bytes.split_first() else { return };
        let of = |texts: &[&str]| match first >> 3 {
            31 => String::from_utf8_lossy(rest).into_owned(),
            which => damage::damaged(texts[usize::from(which) % texts.len()], rest),
        };
        match first & 7 {
            0..=2 => spec(&of(&SPECS)),
            3 | 4 => quantity(&of(&QUANTITIES)),
            5 | 6 => table(&of(&TABLES)),
            _ => {
                let _ = variation("--vary", &of(&VARIATIONS));
                let _ = baselines(&of(&BASELINES));
            }
        }
    });
}

fn spec(text: &str) {
    match read("fuzz.toml", text, &NoFiles) {
        Ok(spec) => assert!(!spec.channels.is_empty()),
        Err(faults) => all_bear(&faults),
    }
}

fn quantity(text: &str) {
    for unit in Unit::ALL {
        match parse(text, unit) {
            Ok(value) => assert_eq!(parse(&exact(value, unit), unit).ok(), Some(value)),
            Err(fault) => quantity_bears(text, &fault),
        }
        match parse_range(text, unit) {
            Ok((low, high)) => assert!(low <= high),
            Err(fault) => quantity_bears(text, &fault),
        }
    }
}

fn table(text: &str) {
    if let Err(faults) = readings("fuzz.csv", text) {
        all_bear(&faults);
    }
    match Bill::read("fuzz.csv", text, &Default::default()) {
        Ok(bill) => drop(bill.parts(&Board::default(), Topology::ThreeOpAmp).map_err(|faults| all_bear(&faults))),
        Err(faults) => all_bear(&faults),
    }
}
