//! What the data sheet of a chip leaves open at the gain in use.
use super::{Question, Warning};
use crate::designator::Amp;
use crate::part::{AtGain, Chip, Listed, OpAmp};
use crate::quantity::{Unit, rounded};
use crate::stage::Stage;

/// How near below a listed gain one would rather have it reached: standard values miss by as much.
const NEAR: f64 = 0.03;

/// Review notes on a chip read outside or just below its lists; none for other circuits.
#[must_use]
pub fn warnings(stage: &Stage) -> Vec<Warning> {
    let (Some(chip), Some(gain)) = (&stage.circuit.chip, stage.circuit.chip_gain()) else { return Vec::new() };
    let mut all = Vec::new();
    for (key, list, read) in [
        ("chip.gain_error", &chip.gain_error, chip.gain_error_at(gain)),
        ("chip.rejection", &chip.rejection, chip.rejection_at(gain)),
        ("chip.bandwidth", &chip.bandwidth, chip.bandwidth_at(gain)),
    ] {
        all.extend(read.filter(|read| read.beyond).map(|read| beyond(key, gain, list, read)));
    }
    let next = chip.rejection.iter().find(|entry| entry.gain > gain * (1.0 + 1e-12));
    let near = next.filter(|next| next.gain <= gain * (1.0 + NEAR) && chip.rejection[0].gain < gain);
    if let (Some(next), Some(read)) = (near, chip.rejection_at(gain)) {
        all.push(Warning {
            code: "chip-gain-just-below-listed",
            message: format!(
                "gain {} stays just below the listed {}: the rejection listed at {} is used",
                rounded(gain, Unit::Plain, 5),
                next.gain,
                read.at_gain
            ),
            advice: format!("a smaller RG that makes {} or more uses the better entry", next.gain),
        });
    }
    all
}

fn beyond(key: &'static str, gain: f64, list: &[AtGain], read: Listed) -> Warning {
    let ends = match list {
        [one] => format!("{} only", one.gain),
        [first, .., last] => format!("{} to {}", first.gain, last.gain),
        [] => String::new(),
    };
    Warning {
        code: "chip-gain-beyond-list",
        message: format!(
            "gain {} lies outside `{key}` ({ends}): the entry at {} is taken",
            rounded(gain, Unit::Plain, 5),
            read.at_gain
        ),
        advice: format!("extend `{key}` from the data sheet"),
    }
}

/// Keys of a chip that count as ideal because the spec does not give them, as `chip.rejection`.
pub(super) fn ideal(question: &Question) -> Vec<String> {
    let Some(chip) = &question.chip else { return Vec::new() };
    let shared = question.opamps.get(&Amp::A1).cloned().unwrap_or_default();
    let missing = own(chip).into_iter().chain(as_op_amp(&shared)).filter(|(_, given)| !given);
    missing.map(|(key, _)| format!("chip.{key}")).collect()
}

const fn own(chip: &Chip) -> [(&'static str, bool); 11] {
    [
        ("gain_error", !chip.gain_error.is_empty()),
        ("rejection", !chip.rejection.is_empty()),
        ("bandwidth", !chip.bandwidth.is_empty()),
        ("gain_drift", chip.gain_drift_per_k.is_some()),
        ("nonlinearity", chip.nonlinearity.is_some()),
        ("offset_in", chip.offset_in_v.is_some()),
        ("offset_out", chip.offset_out_v.is_some()),
        ("offset_in_drift", chip.offset_in_drift_v_per_k.is_some()),
        ("offset_out_drift", chip.offset_out_drift_v_per_k.is_some()),
        ("noise_in", chip.noise_in_v_per_rthz.is_some()),
        ("noise_out", chip.noise_out_v_per_rthz.is_some()),
    ]
}

const fn as_op_amp(shared: &OpAmp) -> [(&'static str, bool); 9] {
    [
        ("slew_rate", shared.slew_rate_v_per_s.is_some()),
        ("supply_rejection", shared.supply_rejection.is_some()),
        ("bias_current", shared.bias_current_a.is_some()),
        ("offset_current", shared.offset_current_a.is_some()),
        ("current_noise", shared.current_noise_a_per_rthz.is_some()),
        ("output_swing", shared.output_swing.is_some()),
        ("input_range", shared.input_range.is_some()),
        ("input_resistance", shared.input_resistance_ohm.is_some()),
        ("input_capacitance", shared.input_capacitance_f.is_some()),
    ]
}
