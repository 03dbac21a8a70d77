//! Whatever bytes come: the readers of specs, quantities and tables answer or refuse, and never stop.
//!
//! `cargo test` in this folder runs a short bounded search on any toolchain; `cargo bolero test readers`
//! searches guided by coverage.
use evenkeel::quantity::{Unit, exact, parse, parse_range};
use evenkeel::sheet::{Bill, readings};
use evenkeel::spec::{NoFiles, read, variation};
use evenkeel::study::Board;

fn main() {
    bolero::check!().with_iterations(200_000).for_each(|bytes: &[u8]| {
        let text = String::from_utf8_lossy(bytes);
        for unit in Unit::ALL {
            if let Ok(value) = parse(&text, unit) {
                assert_eq!(parse(&exact(value, unit), unit).ok().map(f64::to_bits), Some((value + 0.0).to_bits()));
            }
            if let Ok((low, high)) = parse_range(&text, unit) {
                assert!(low <= high);
            }
        }
        let _ = read("fuzz.toml", &text, &NoFiles);
        let _ = variation("--vary", &text);
        let _ = readings("fuzz.csv", &text);
        if let Ok(bill) = Bill::read("fuzz.csv", &text, &Default::default()) {
            let _ = bill.parts(&Board::default(), evenkeel::designator::Topology::Difference);
        }
    });
}
