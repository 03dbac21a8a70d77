use super::{Case, dominates, one, percent, share};
use crate::designator::Topology;
use crate::quantity::{Unit, rounded};
use crate::stage::Cause;
use crate::study::Warning;
use crate::topology::BuildFault;

/// Open-loop gains of the two input op amps that make most of the error at dc.
pub(super) fn open_loop_gain(case: &Case<'_>) -> Result<Vec<Warning>, BuildFault> {
    let share = case.share_at_dc(Cause::OpenLoopGain);
    if case.is(Topology::Difference)
        || Case::at_ease(case.question.limits.rejection_db, case.design.rejection.worst_db)
        || !dominates(share)
    {
        return Ok(Vec::new());
    }
    let gains = case.question.topology.amps().iter().filter_map(|&amp| case.stage.circuit.opamp(amp).open_loop_gain);
    let least = gains.fold(f64::INFINITY, f64::min);
    Ok(one(
        "open-loop-gain-mismatch",
        format!(
            "open-loop gain (at least {}) makes {} of the common-mode error: the two input op amps need not have the same",
            rounded(least, Unit::Rejection, 3),
            percent(share)
        ),
        "take op amps with more open-loop gain, or two in one package and measure; better resistors change little",
    ))
}

/// What dominates at the interference, where it is no resistor and no data-sheet rejection.
pub(super) fn at_interference(case: &Case<'_>) -> Result<Vec<Warning>, BuildFault> {
    let Some(at) = case.at_interference() else { return Ok(Vec::new()) };
    if Case::at_ease(case.question.limits.rejection_at_interference_db, at.worst_db) {
        return Ok(Vec::new());
    }
    let hz = rounded(at.hz, Unit::Hertz, 3);
    let all = [
        (
            Cause::GainBandwidth,
            "speed-mismatch",
            "the speed of the input op amps",
            "take faster op amps: the error falls in proportion; two in one package track better",
        ),
        (
            Cause::Cable,
            "cable-mismatch",
            "the mismatch of the cable's capacitances",
            "drive the shield with the common mode, take a cable with tighter pairs, or lower the source's resistance",
        ),
        (
            Cause::InputFilter,
            "filter-mismatch",
            "the mismatch of the input filter",
            "take smaller or tighter capacitors to ground (C0G, 1 %) and a larger one across the inputs",
        ),
        (
            Cause::SourceImbalance,
            "source-imbalance",
            "the imbalance of the source into the capacitances to ground",
            "put the same resistance into the other leg, shorten the cable or drive its shield",
        ),
    ];
    let found = all.into_iter().map(|row| (share(&at.causes, row.0), row)).find(|(share, _)| dominates(*share));
    let Some((share, (_, code, what, advice))) = found else { return Ok(Vec::new()) };
    Ok(one(code, format!("at {hz} {what} makes {} of the common-mode error", percent(share)), advice))
}
