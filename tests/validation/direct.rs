//! Figures that no command tells by themselves, asked of the library.
use evenkeel::designator::{Designator, Ohms, Topology};
use evenkeel::part::Chip;
use evenkeel::predict::{Excursion, offset};
use evenkeel::quantity::marking::read_with_tolerance;
use evenkeel::quantity::{Unit, decibels, parse};
use evenkeel::stage::{Circuit, Surroundings};
use evenkeel::study::{cautions, totals};
use evenkeel::topology;
use evenkeel::uncertainty::{coverage_factor, effective_freedom};
use serde::Deserialize;

/// One call.
#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Call {
    Ohms(String),
    Farads(String),
    /// Of a resistance code's last letter.
    Tolerance(String),
    /// A rejection as a ratio, and in decibels.
    Ratio(String),
    Decibels(String),
    Sum(Vec<f64>),
    RootSumOfSquares(Vec<f64>),
    /// Standard uncertainties with their degrees of freedom.
    Freedom(Vec<(f64, f64)>),
    /// Coverage and degrees of freedom; infinite where left out.
    Coverage(f64, Option<f64>),
    /// Offset of a chip's input and output, V with their signs, and its gain: the magnitude at the output.
    ChipOffsetAtOutput(f64, f64, f64),
    /// The least common mode that raises a caution, still or moving.
    CautionAbove(String),
}

impl Call {
    pub(crate) fn value(&self) -> f64 {
        let read = |text: &str, unit| parse(text, unit).unwrap_or_else(|fault| panic!("{text}: {fault}"));
        match self {
            Self::Ohms(text) => read(text, Unit::Ohm),
            Self::Tolerance(code) => read_with_tolerance(code).unwrap().1.unwrap(),
            Self::Farads(text) => read(text, Unit::Farad),
            Self::Ratio(text) => read(text, Unit::Rejection),
            Self::Decibels(text) => decibels(read(text, Unit::Rejection)),
            Self::Sum(lines) => totals(lines.iter().copied()).0,
            Self::RootSumOfSquares(lines) => totals(lines.iter().copied()).1,
            Self::Freedom(parts) => effective_freedom(parts),
            Self::Coverage(coverage, freedom) => coverage_factor(*coverage, freedom.unwrap_or(f64::INFINITY)),
            Self::ChipOffsetAtOutput(input, output, gain) => chip_offset(*input, *output, *gain),
            Self::CautionAbove(kind) => caution_above(kind == "dc"),
        }
    }
}

fn chip_offset(input: f64, output: f64, gain: f64) -> f64 {
    let chip = Chip {
        gain_constant_ohm: 40e3,
        base_gain: gain,
        offset_in_v: Some(input),
        offset_out_v: Some(output),
        ..Chip::default()
    };
    let stage = topology::build(&chip_alone(chip, None)).unwrap();
    offset(&stage, Excursion::default()).unwrap().rti_worst_v * gain
}

/// A chip with nothing around it.
pub(crate) fn chip_alone(chip: Chip, rg: Option<f64>) -> Circuit {
    let mut ohms = Ohms::default();
    ohms.set(Designator::RG, rg);
    let surroundings = Surroundings::default();
    Circuit { topology: Topology::SingleChip, ohms, opamps: [].into(), chip: Some(chip), surroundings }
}

/// By bisection between 1 V and 1000 V, supplies far beyond.
fn caution_above(still: bool) -> f64 {
    let raises = |volt: f64| {
        let common = if still { format!("{volt} V") } else { format!("-{volt} V .. {volt} V") };
        let spec = format!(
            "[signal]\ncommon_mode = \"{common}\"\n[supply]\npositive = \"2 kV\"\nnegative = \"-2 kV\"\n[target]\ngain = 1\n"
        );
        !cautions(&crate::asked::question(&spec)).is_empty()
    };
    let (mut low, mut high) = (1.0, 1000.0);
    assert!(!raises(low) && raises(high));
    while high - low > 1e-9 {
        let middle = f64::midpoint(low, high);
        if raises(middle) { high = middle } else { low = middle }
    }
    high
}
