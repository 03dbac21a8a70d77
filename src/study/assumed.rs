//! What was taken as ideal because the spec does not give it.
use super::{Question, chip};
use crate::designator::Topology;
use crate::part::OpAmp;

/// Keys of the spec, as `opamp.A1.offset`; `opamp.all.offset` where no op amp of the circuit has it;
/// `chip.rejection` of a chip.
pub(super) fn ideal(question: &Question) -> Vec<String> {
    if question.topology == Topology::SingleChip {
        return chip::ideal(question);
    }
    let amps = question.topology.amps();
    let none = OpAmp::default();
    let mut keys = Vec::new();
    for (key, is_given) in PROPERTIES {
        let missing: Vec<_> = amps.iter().filter(|amp| !is_given(question.opamps.get(amp).unwrap_or(&none))).collect();
        if missing.len() == amps.len() {
            keys.push(format!("opamp.all.{key}"));
        } else {
            keys.extend(missing.iter().map(|amp| format!("opamp.{amp}.{key}")));
        }
    }
    keys
}

type Given = fn(&OpAmp) -> bool;

const PROPERTIES: [(&str, Given); 15] = [
    ("open_loop_gain", |a| a.open_loop_gain.is_some()),
    ("gain_bandwidth", |a| a.gain_bandwidth_hz.is_some()),
    ("slew_rate", |a| a.slew_rate_v_per_s.is_some()),
    ("rejection", |a| a.rejection.is_some()),
    ("supply_rejection", |a| a.supply_rejection.is_some()),
    ("offset", |a| a.offset_v.is_some()),
    ("offset_drift", |a| a.offset_drift_v_per_k.is_some()),
    ("bias_current", |a| a.bias_current_a.is_some()),
    ("offset_current", |a| a.offset_current_a.is_some()),
    ("voltage_noise", |a| a.voltage_noise_v_per_rthz.is_some()),
    ("current_noise", |a| a.current_noise_a_per_rthz.is_some()),
    ("output_swing", |a| a.output_swing.is_some()),
    ("input_range", |a| a.input_range.is_some()),
    ("input_resistance", |a| a.input_resistance_ohm.is_some()),
    ("input_capacitance", |a| a.input_capacitance_f.is_some()),
];
