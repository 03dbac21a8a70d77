//! One channel in code: what a spec of a few lines comes to.
use evenkeel::quantity::{Unit, rounded};
use evenkeel::spec::{NoFiles, read};
use evenkeel::study::{DesignOptions, design};
use std::error::Error;
use std::io::Write;

fn main() -> Result<(), Box<dyn Error>> {
    tell(&mut std::io::stdout().lock())
}

pub(crate) fn tell(out: &mut dyn Write) -> Result<(), Box<dyn Error>> {
    let text = "[target]\ngain = 100\n[resistors]\ntolerance = \"0.1 %\"\n[opamp.all]\nrejection = \"100 dB\"\n";
    let spec = read("channel", text, &NoFiles)?;
    for channel in &spec.channels {
        let answer = design(&channel.question, &DesignOptions::default())?;
        for resistor in &answer.resistors {
            let value = resistor.ohm.map_or_else(|| "open".to_owned(), |ohm| rounded(ohm, Unit::Ohm, 5));
            writeln!(out, "{} {value}", resistor.name)?;
        }
        let worst =
            answer.rejection.worst_db.map_or_else(|| "unbounded".to_owned(), |db| rounded(db, Unit::Decibel, 4));
        writeln!(out, "gain {:.3}, rejection guaranteed {worst}", answer.gain.nominal)?;
    }
    Ok(())
}
