use super::Case;
use crate::designator::Topology;
use crate::part::OpAmp;
use crate::study::{Limits, Warning};
use crate::topology::BuildFault;

type Given = fn(&OpAmp) -> bool;
type Set = fn(&Limits) -> bool;

/// Which property decides whether a limit means anything.
const RESTS_ON: [(&str, Set, &str, Given); 6] = [
    ("gain_error", |l| l.gain_error.is_some(), "open_loop_gain", |a| a.open_loop_gain.is_some()),
    ("rejection", |l| l.rejection_db.is_some(), "rejection", |a| a.rejection.is_some()),
    (
        "rejection_at_interference",
        |l| l.rejection_at_interference_db.is_some(),
        "rejection_corner",
        |a| a.rejection.is_none() || a.rejection_corner_hz.is_some(),
    ),
    (
        "rejection_at_interference",
        |l| l.rejection_at_interference_db.is_some(),
        "gain_bandwidth",
        |a| a.gain_bandwidth_hz.is_some(),
    ),
    ("noise", |l| l.noise_v.is_some(), "voltage_noise", |a| a.voltage_noise_v_per_rthz.is_some()),
    ("bandwidth", |l| l.bandwidth_hz.is_some(), "gain_bandwidth", |a| a.gain_bandwidth_hz.is_some()),
];

/// Limits that are met only because a property was not given and counts as ideal.
pub(super) fn assumed(case: &Case<'_>) -> Result<Vec<Warning>, BuildFault> {
    if case.is(Topology::SingleChip) {
        return Ok(Vec::new());
    }
    let mut all = Vec::new();
    for (limit, is_set, property, is_given) in RESTS_ON {
        let amps = case.question.topology.amps().iter();
        let lacking: Vec<&str> =
            amps.filter(|&&amp| !is_given(&case.stage.circuit.opamp(amp))).map(|amp| amp.name()).collect();
        if is_set(&case.question.limits) && !lacking.is_empty() {
            all.push(Warning {
                code: "ideal-assumed",
                message: format!(
                    "{property} is not given for {}, so it counts as ideal: limits.{limit} is held against a better op amp \
                     than there is",
                    lacking.join(", ")
                ),
                advice: format!("give opamp.all.{property} from the data sheet"),
            });
        }
    }
    Ok(all)
}
