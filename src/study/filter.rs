//! The input filter: its two bandwidths, and its resistors as protection.
use super::{NotPredicted, Question, Told, Warning};
use crate::predict::{FilterBandwidth, Protection, filter_alone, filter_in_circuit, protection};
use crate::quantity::{Unit, rounded};
use crate::stage::{InputFilter, Stage};
use crate::topology::BuildFault;

/// The filter in front of the amplifier.
///
/// `alone` is what the trade calls the bandwidths of the filter, from its own parts; it is what a data
/// sheet's equation gives and what `input_filter.differential_hz` and `.common_mode_hz` report.
/// `in_circuit` stands beside it: the same seen from the EMFs, with source, cable and load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FilterFigure {
    /// From the filter's own parts.
    pub alone: FilterBandwidth,
    /// From the whole network.
    pub in_circuit: FilterBandwidth,
    /// The resistors as protection, where fault voltage and current are stated.
    pub protection: Option<Protection>,
}

/// The filter of a question; `None` where there is none, and nothing missing then either.
///
/// # Errors
/// [`BuildFault`] when the circuit has no solution.
pub fn figure(question: &Question, stage: &Stage) -> Result<Told<FilterFigure>, BuildFault> {
    let Some(filter) = &question.filter else {
        return Ok(Told { figure: None, not_predicted: Vec::new(), warnings: Vec::new() });
    };
    let figure = FilterFigure {
        alone: filter_alone(filter),
        in_circuit: filter_in_circuit(stage)?,
        protection: protection(filter),
    };
    let mut told = Told { warnings: notes(question, filter, &figure), ..Told::figure(figure) };
    let lacking = match (filter.fault_voltage_v, filter.fault_current_a) {
        (Some(_), None) => Some("input_filter.fault_current"),
        (None, Some(_)) => Some("input_filter.fault_voltage"),
        _ => None,
    };
    told.not_predicted.extend(
        lacking.map(|needs| NotPredicted { figure: "input_filter.protection".to_owned(), needs: needs.to_owned() }),
    );
    Ok(told)
}

/// Ten, less what rounding can make of a spec's own ten times.
const TEN_TIMES: f64 = 10.0 * (1.0 - 1e-9);

fn notes(question: &Question, filter: &InputFilter, figure: &FilterFigure) -> Vec<Warning> {
    let mut all = Vec::new();
    // CD at least ten times CC: data sheets AD8429 and AD8229.
    if filter.common_capacitor_f > 0.0 && filter.differential_capacitor_f < TEN_TIMES * filter.common_capacitor_f {
        let show = |farad| rounded(farad, Unit::Farad, 3);
        all.push(Warning {
            code: "filter-differential-capacitor",
            message: format!(
                "the capacitor across the inputs ({}) is below ten times those to ground ({}), whose mismatch turns \
                 common mode into signal",
                show(filter.differential_capacitor_f),
                show(filter.common_capacitor_f)
            ),
            advice: format!(
                "make input_filter.differential_capacitor {} or more",
                show(10.0 * filter.common_capacitor_f)
            ),
        });
    }
    // Ten times the highest signal frequency: A Designer's Guide to Instrumentation Amplifiers, 3rd ed.,
    // p. 5-14, as quoted.
    if let (Some(bandwidth), Some(corner)) = (question.signal.bandwidth_hz, figure.in_circuit.differential_hz)
        && corner < 10.0 * bandwidth
    {
        let show = |hz| rounded(hz, Unit::Hertz, 3);
        all.push(Warning {
            code: "filter-bandwidth",
            message: format!(
                "the input filter is 3 dB down at {}, less than ten times the signal bandwidth of {}",
                show(corner),
                show(bandwidth)
            ),
            advice: "make its resistors or capacitors smaller, or count its droop".to_owned(),
        });
    }
    if let Some(protection) = figure.protection.filter(|protection| !protection.enough) {
        all.push(Warning {
            code: "filter-protection",
            message: format!(
                "a fault drives {} through the filter resistor, which is more than the inputs bear",
                rounded(protection.current_a, Unit::Ampere, 3)
            ),
            advice: format!(
                "make input_filter.resistor {} or more, good for {} while the fault lasts",
                rounded(protection.needed_ohm, Unit::Ohm, 3),
                rounded(protection.power_w * filter.resistor_ohm / protection.needed_ohm, Unit::Watt, 2)
            ),
        });
    }
    all
}
