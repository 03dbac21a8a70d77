//! A yield study in code: how many boards pass with each grade of resistor, and which part to blame.
use evenkeel::quantity::{Unit, rounded};
use evenkeel::spec::{NoFiles, Setting, read_with};
use evenkeel::study::{YieldOptions, yields};
use std::error::Error;
use std::io::Write;

fn main() -> Result<(), Box<dyn Error>> {
    tell(&mut std::io::stdout().lock())
}

pub(crate) fn tell(out: &mut dyn Write) -> Result<(), Box<dyn Error>> {
    let text = "[target]\ngain = 100\n[circuit]\nstage_two_gain = 1\n[opamp.all]\nrejection = \"100 dB\"\n\
                [limits]\ngain_error = \"0.25 %\"\nrejection = \"90 dB\"\n";
    for tolerance in ["0.05 %", "0.1 %", "0.25 %"] {
        let setting = Setting { key: "resistors.tolerance".to_owned(), value: tolerance.to_owned() };
        let spec = read_with("study", text, &NoFiles, &[setting])?;
        for channel in &spec.channels {
            let options = YieldOptions { boards: Some(100_000), seed: Some(1), threads: 2, ..YieldOptions::default() };
            let answer = yields(&channel.question, &options, &mut |_| true)?;
            let share = |fraction: f64| rounded(fraction, Unit::Fraction, 4);
            writeln!(
                out,
                "{tolerance:>6}  {} of the boards pass, {} at least",
                share(answer.fraction),
                share(answer.low)
            )?;
            let worst = answer.shares.iter().max_by(|a, b| a.yield_if_halved.total_cmp(&b.yield_if_halved));
            if let Some(part) = worst.filter(|part| part.yield_if_halved > answer.fraction + 1e-3) {
                writeln!(out, "        {} with half the spread of {}", share(part.yield_if_halved), part.part)?;
            }
        }
    }
    Ok(())
}
