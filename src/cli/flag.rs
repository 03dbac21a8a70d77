//! The flags that hold quantities: one row each, and one way to read them.
use super::complaint::Complaint;
use crate::designator::Topology;
use crate::quantity::{Unit, parse, parse_count, parse_range};
use crate::study::{Span, StudyFault};

/// A flag that holds a quantity: what it is measured in, what is allowed, and that in words.
pub(super) struct Flag {
    pub(super) name: &'static str,
    unit: Unit,
    holds: fn(f64) -> bool,
    right: &'static str,
}

const fn flag(name: &'static str, unit: Unit, holds: fn(f64) -> bool, right: &'static str) -> Flag {
    Flag { name, unit, holds, right }
}

fn above_zero(value: f64) -> bool {
    value > 0.0
}
fn zero_or_more(value: f64) -> bool {
    value >= 0.0
}
fn share(value: f64) -> bool {
    (0.0..1.0).contains(&value)
}
fn above_one(value: f64) -> bool {
    value > 1.0
}

const A_GAIN: &str = "give a gain above 0, as `100`";
const A_RESISTANCE: &str = "give a resistance above 0, as `24k9`";
const A_SHARE: &str = "give 0 % or more, but less than 100 %, as `0.1%`";
const A_REJECTION: &str = "give a rejection above 0 dB, as `90dB` or `31623:1`";

pub(super) const SIZE_GAIN: Flag = flag("size", Unit::Plain, above_zero, A_GAIN);
pub(super) const GAIN: Flag = flag("--gain", Unit::Plain, above_zero, A_GAIN);
pub(super) const STAGE_TWO_GAIN: Flag = flag("--stage-two-gain", Unit::Plain, above_zero, A_GAIN);
pub(super) const BASE_GAIN: Flag =
    flag("--base-gain", Unit::Plain, zero_or_more, "give the gain with RG left out, as `1`");
pub(super) const FEEDBACK: Flag = flag("--feedback", Unit::Ohm, above_zero, A_RESISTANCE);
pub(super) const CHIP_CONSTANT: Flag =
    flag("--chip-constant", Unit::Ohm, above_zero, "give K of the gain law, as `50k`");
pub(super) const STOCK: Flag = flag("--stock", Unit::Ohm, above_zero, "give resistances above 0, as `100,470,4k7`");
pub(super) const GAINS: Flag = flag("gains", Unit::Plain, above_zero, "give gains above 0, as `1,10,100`");
pub(super) const NEAR: Flag = flag("--near", Unit::Ohm, above_zero, A_RESISTANCE);
pub(super) const TOLERANCE: Flag = flag("--tolerance", Unit::Fraction, share, A_SHARE);
pub(super) const MATCH: Flag = flag("--match", Unit::Fraction, share, A_SHARE);
pub(super) const OPAMP_REJECTION: Flag = flag("--opamp-rejection", Unit::Rejection, above_one, A_REJECTION);
pub(super) const NEED: Flag = flag("--need", Unit::Rejection, above_one, A_REJECTION);
pub(super) const AT: Flag = flag("--at", Unit::Celsius, |celsius| celsius > -273.15, "give a temperature, as `25C`");
pub(super) const MEASURED: Flag = flag("--measured", Unit::Rejection, above_one, A_REJECTION);
pub(super) const SWEEP: Flag = flag("--sweep", Unit::Hertz, above_zero, "give frequencies above 0, as `1Hz..1MHz`");

/// Reads flags and keeps what is wrong with them, so that all of it is told at once.
#[derive(Default)]
pub(super) struct Flags {
    complaints: Vec<Complaint>,
    read: Vec<(&'static str, String)>,
}

impl Flags {
    /// One quantity.
    pub(super) fn value(&mut self, flag: &Flag, text: &str) -> Option<f64> {
        self.read.push((flag.name, text.to_owned()));
        match parse(text, flag.unit) {
            Err(fault) => self.complain(Complaint::of_quantity(flag.name, &fault)),
            Ok(value) if !(flag.holds)(value) => self.complain(outside(flag, text)),
            Ok(value) => Some(value),
        }
    }

    /// One quantity, where the flag is there.
    pub(super) fn option(&mut self, flag: &Flag, text: Option<&str>) -> Option<f64> {
        text.and_then(|text| self.value(flag, text))
    }

    /// A whole number from `least` on.
    pub(super) fn count(&mut self, flag: &'static str, text: Option<&str>, least: u64) -> Option<u64> {
        let text = text?;
        self.read.push((flag, text.to_owned()));
        match parse_count(text) {
            Err(fault) => self.complain(Complaint::of_quantity(flag, &fault)),
            Ok(count) if count < least => self.complain(
                Complaint::new("out-of-range", format!("`{text}` is no value for `{flag}`"))
                    .at_flag(flag, text)
                    .help(format!("give {least} or more, as `1e6` or `1M`")),
            ),
            Ok(count) => Some(count),
        }
    }

    /// A range.
    pub(super) fn range(&mut self, flag: &Flag, text: Option<&str>) -> Option<Span> {
        let text = text?;
        self.read.push((flag.name, text.to_owned()));
        match parse_range(text, flag.unit) {
            Err(fault) => self.complain(Complaint::of_quantity(flag.name, &fault)),
            Ok((low, high)) if !((flag.holds)(low) && (flag.holds)(high)) => self.complain(outside(flag, text)),
            Ok((low, high)) => Some(Span { low, high }),
        }
    }

    /// Several quantities with commas between them.
    pub(super) fn list(&mut self, flag: &Flag, text: &str) -> Vec<f64> {
        self.read.push((flag.name, text.to_owned()));
        let mut values = Vec::new();
        let mut start = 0;
        for part in text.split(',') {
            let trimmed = part.trim();
            let begin = start + (part.len() - part.trim_start().len());
            let place = begin..begin + trimmed.len();
            start += part.len() + 1;
            let complaint = match parse(trimmed, flag.unit) {
                Ok(value) if (flag.holds)(value) => {
                    values.push(value);
                    continue;
                }
                Ok(_) => outside(flag, trimmed),
                Err(fault) => Complaint::of_quantity(flag.name, &fault),
            };
            self.complaints.push(complaint.within(flag.name, text, place.start));
        }
        values
    }

    /// Complains when a flag is there that says nothing about this circuit.
    pub(super) fn only_for(&mut self, flag: &Flag, text: Option<&str>, topology: Topology, fits: &[Topology]) {
        if let Some(text) = text
            && !fits.contains(&topology)
        {
            let fits: Vec<&str> = fits.iter().map(|one| one.name()).collect();
            let message = format!("`{}` says nothing about `--topology {topology}`", flag.name);
            let help = format!("leave it out; it belongs to `{}`", fits.join("`, `"));
            self.complain::<()>(Complaint::new("useless-flag", message).at_flag(flag.name, text).help(help));
        }
    }

    /// Keeps a complaint.
    pub(super) fn complain<T>(&mut self, complaint: Complaint) -> Option<T> {
        self.complaints.push(complaint);
        None
    }

    /// Keeps what is wrong with something else that was read.
    pub(super) fn checked<T>(&mut self, read: Result<T, Complaint>) -> Option<T> {
        read.map_err(|complaint| self.complaints.push(complaint)).ok()
    }

    /// What was read, or everything that is wrong with it.
    pub(super) fn settled<T>(&mut self, read: Option<T>) -> Result<T, Vec<Complaint>> {
        match read {
            Some(read) if self.complaints.is_empty() => Ok(read),
            _ => Err(std::mem::take(&mut self.complaints)),
        }
    }

    /// A fault that a study found, at the flag it blames.
    pub(super) fn blame(&self, fault: &StudyFault) -> Vec<Complaint> {
        let complaint = Complaint::new(fault.code, &fault.message).help(&fault.help);
        let plain = |name: &str| name.trim_start_matches('-').to_ascii_lowercase();
        let key = plain(&fault.key);
        let blamed =
            self.read.iter().find(|(name, _)| plain(name) == key || (*name == SIZE_GAIN.name && key == "gain"));
        vec![match blamed {
            Some((name, text)) => complaint.at_flag(name, text),
            None => complaint,
        }]
    }
}

fn outside(flag: &Flag, text: &str) -> Complaint {
    Complaint::new("out-of-range", format!("`{text}` is no value for `{}`", flag.name))
        .at_flag(flag.name, text)
        .help(flag.right)
}
