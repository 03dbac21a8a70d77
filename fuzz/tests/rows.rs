//! Whatever a spec that can be read asks: a row of figures or a refusal comes of it, and every figure is a number.
#[path = "../../tests/cli/damage.rs"]
mod damage;

use evenkeel::spec::{NoFiles, read};
use evenkeel::study::row;
use std::time::Duration;

/// So long a plain `cargo test` searches at most.
const SHORT: Duration = Duration::from_secs(8);

const SPECS: [&str; 4] = [
    include_str!("../../src/spec/tests/contract.toml"),
    include_str!("../../examples/battery-shunt.toml"),
    include_str!("../../examples/geophone.toml"),
    "[target]\ngain = 100\n[limits]\nrejection = \"80 dB\"\n[opamp.all]\nrejection = \"100 dB\"\n",
];

fn main() {
    bolero::check!().with_iterations(2_000).with_test_time(SHORT).with_max_len(100).for_each(|bytes: &[u8]| {
        let Some((&first, rest)) = bytes.split_first() else { return };
        let text = damage::damaged(SPECS[usize::from(first) % SPECS.len()], rest);
        let Ok(spec) = read("fuzz.toml", &text, &NoFiles) else { return };
        for channel in spec.channels.iter().take(2) {
            match row(&channel.question) {
                Ok(row) => {
                    let figures = [row.gain_nominal, row.gain_error_low, row.gain_error_high];
                    assert!(figures.iter().all(|figure| figure.is_finite()), "{row:?}");
                    assert!(row.gain_error_low <= row.gain_error_high, "{row:?}");
                    assert!(row.rejection_worst_db.is_none_or(|db| db.is_finite()), "{row:?}");
                    assert!(row.limits.iter().all(|line| line.predicted.is_none_or(f64::is_finite)), "{row:?}");
                }
                Err(fault) => assert!(!fault.message.is_empty() && channel.fault(&fault).line() >= 1),
            }
        }
    });
}
