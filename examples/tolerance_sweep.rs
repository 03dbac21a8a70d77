//! A sweep in code: the rejection that is guaranteed, tolerance by tolerance.
use evenkeel::quantity::{Unit, rounded};
use evenkeel::spec::{NoFiles, Setting, read_with, variation};
use evenkeel::study::row;
use std::error::Error;
use std::io::Write;

fn main() -> Result<(), Box<dyn Error>> {
    tell(&mut std::io::stdout().lock())
}

pub(crate) fn tell(out: &mut dyn Write) -> Result<(), Box<dyn Error>> {
    let text = "[target]\ngain = 100\n[limits]\nrejection = \"80 dB\"\n";
    let steps = variation("steps", "resistors.tolerance=0.05%,0.1%,0.25%,0.5%,1%")?;
    for value in steps.values {
        let setting = Setting { key: steps.key.clone(), value };
        let spec = read_with("sweep", text, &NoFiles, std::slice::from_ref(&setting))?;
        for channel in &spec.channels {
            let answer = row(&channel.question)?;
            let worst =
                answer.rejection_worst_db.map_or_else(|| "unbounded".to_owned(), |db| rounded(db, Unit::Decibel, 4));
            writeln!(out, "{:>6}  {worst:>10}  {}", setting.value, if answer.met { "met" } else { "missed" })?;
        }
    }
    Ok(())
}
