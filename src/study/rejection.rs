//! Rejection over the box, at dc and over frequency, and each cause alone (figures.md, section 6).
use super::{CauseLine, Interference, RejectionAt, RejectionFigure, SweepPoint};
use crate::corners::{self, ENUMERATED_AT_FREQUENCY, ENUMERATED_IN_SWEEP, OverFrequency, WorstCase};
use crate::part::Matched;
use crate::predict::Gains;
use crate::stage::{Cause, Circuit, Lot, Stage};
use crate::topology::{self, BuildFault};

/// A rejection above 200 dB counts as unbounded.
pub(crate) const UNBOUNDED: f64 = 1e10;

/// Ten points a decade.
const POINTS_PER_DECADE: f64 = 10.0;

/// A worst case below this ratio is rough: corners no longer bound it (20 dB).
const ROUGH: f64 = 10.0;

/// A rejection ratio in decibels; `None` where it is unbounded. Where the gain itself can vanish
/// the ratio is 0 and -200 dB is told.
#[must_use]
pub(crate) fn decibels(ratio: f64) -> Option<f64> {
    (ratio <= UNBOUNDED).then(|| crate::quantity::decibels(ratio.max(1.0 / UNBOUNDED)))
}

/// The stage as built, its lot, and what was found at dc.
pub(crate) struct Subject<'a> {
    pub(crate) stage: &'a Stage,
    pub(crate) lot: &'a Lot,
    pub(crate) nominal: Gains<f64>,
    pub(crate) worst: &'a WorstCase,
}

/// The figure, and the box at the interference frequency for those who need more of it. The closed form
/// is the textbook's and is added by the caller.
pub(crate) fn figure(
    subject: &Subject<'_>,
    interference: Option<Interference>,
    (from_hz, to_hz): (f64, f64),
) -> Result<(RejectionFigure, Option<WorstCase>), BuildFault> {
    let quantities = subject.stage.quantities(subject.lot, from_hz);
    let mut over = OverFrequency::new(subject.stage, &quantities);
    let mut at_interference = None;
    let mut box_there = None;
    let mut harmonics = Vec::new();
    if let Some(interference) = interference {
        let orders: Vec<f64> = (1..=10).map(|order| interference.frequency_hz * f64::from(order)).collect();
        let causes = causes_at(&subject.stage.circuit, subject.lot, &orders, ENUMERATED_AT_FREQUENCY)?;
        for (&hz, causes) in orders.iter().zip(causes) {
            let worst = over.worst(hz, ENUMERATED_AT_FREQUENCY)?;
            let figure = RejectionAt {
                hz,
                worst_db: decibels(worst.rejection),
                rti_db: decibels(subject.nominal.differential.abs() / worst.common),
                method: worst.method,
                causes,
            };
            if box_there.is_none() {
                (at_interference, box_there) = (Some(figure), Some(worst));
            } else {
                harmonics.push(figure);
            }
        }
    }
    let figure = RejectionFigure {
        nominal_db: decibels(subject.nominal.rejection()),
        worst_db: decibels(subject.worst.rejection),
        method: subject.worst.method,
        closed_form_db: None,
        closed_form_note: None,
        at_interference,
        harmonics,
        causes: causes(&subject.stage.circuit, subject.lot, 0.0, corners::ENUMERATED_AT_DC)?,
        sweep: sweep(subject, &mut over, from_hz, to_hz)?,
    };
    Ok((figure, box_there))
}

fn sweep(
    subject: &Subject<'_>,
    over: &mut OverFrequency<'_>,
    from_hz: f64,
    to_hz: f64,
) -> Result<Vec<SweepPoint>, BuildFault> {
    frequencies(from_hz, to_hz)
        .map(|hz| {
            let nominal = over.nominal(hz)?;
            let worst = over.worst(hz, ENUMERATED_IN_SWEEP)?;
            Ok(SweepPoint {
                hz,
                nominal_db: decibels(nominal.rejection()),
                worst_db: decibels(worst.rejection),
                rti_db: decibels(subject.nominal.differential.abs() / worst.common),
                rough: worst.rejection < ROUGH,
            })
        })
        .collect()
}

/// Ten a decade, both ends included, and round at whole decades.
fn frequencies(from_hz: f64, to_hz: f64) -> impl Iterator<Item = f64> {
    let steps = libm::floor(libm::log10(to_hz / from_hz) * POINTS_PER_DECADE + 1e-9) as u32;
    (0..=steps).map(move |step| match step % 10 {
        0 => from_hz * libm::exp10(f64::from(step / 10)),
        _ => from_hz * libm::exp10(f64::from(step) / POINTS_PER_DECADE),
    })
}

/// The least rejection when only one cause varies and all others are absent, worst first.
pub(crate) fn causes(circuit: &Circuit, lot: &Lot, hz: f64, enumerated: usize) -> Result<Vec<CauseLine>, BuildFault> {
    Ok(causes_at(circuit, lot, &[hz], enumerated)?.concat())
}

/// The same at each of several frequencies, all 0 or none.
fn causes_at(circuit: &Circuit, lot: &Lot, hz: &[f64], enumerated: usize) -> Result<Vec<Vec<CauseLine>>, BuildFault> {
    let stage = topology::build(circuit)?;
    let first = hz.first().copied().unwrap_or(0.0);
    let quantities = stage.quantities(lot, first);
    let varying: Vec<Cause> =
        quantities.iter().flat_map(|q| &q.effects).filter_map(|effect| stage.cause(effect)).collect();
    let mut found = vec![Vec::new(); hz.len()];
    for cause in Cause::ALL.into_iter().filter(|&cause| is_there(circuit, cause, first) || varying.contains(&cause)) {
        let (circuit, lot) = isolated(circuit, lot, cause);
        let stage = topology::build(&circuit)?;
        let quantities = stage.quantities(&lot, first);
        let mut over = OverFrequency::new(&stage, &quantities);
        for (&hz, found) in hz.iter().zip(&mut found) {
            let ratio = match hz {
                0.0 => corners::least_rejection(&stage, &quantities)?,
                hz => over.worst(hz, enumerated)?.rejection,
            };
            found.push((ratio, CauseLine { cause: cause.name().to_owned(), alone_db: decibels(ratio) }));
        }
    }
    let sorted = |mut lines: Vec<(f64, CauseLine)>| {
        lines.sort_by(|a, b| a.0.total_cmp(&b.0));
        lines.into_iter().map(|(_, line)| line).collect()
    };
    Ok(found.into_iter().map(sorted).collect())
}

/// Causes that are there although nothing of theirs varies.
fn is_there(circuit: &Circuit, cause: Cause, hz: f64) -> bool {
    let around = &circuit.surroundings;
    match cause {
        Cause::ReferenceResistance => around.reference_resistance_ohm > 0.0,
        Cause::Strays => hz > 0.0 && around.strays.rg_capacitance_f > 0.0,
        Cause::GainBandwidth => hz > 0.0 && circuit.opamps.values().any(|data| data.gain_bandwidth_hz.is_some()),
        Cause::Cable => hz > 0.0 && around.source.cable_capacitance_f.is_some(),
        Cause::InputFilter => around.filter.is_some(),
        _ => false,
    }
}

/// The circuit and its lot with every other cause absent.
pub(crate) fn isolated(circuit: &Circuit, lot: &Lot, cause: Cause) -> (Circuit, Lot) {
    (only(circuit, cause), lot_of(lot, cause))
}

/// The circuit with every other cause absent; loads, source and filter stay as they are.
fn only(circuit: &Circuit, cause: Cause) -> Circuit {
    let mut one = circuit.clone();
    let first_stage = one.first_stage();
    for (amp, data) in &mut one.opamps {
        let group = if first_stage.contains(amp) { Cause::FirstStageOpAmps } else { Cause::OutputOpAmp };
        if cause != group {
            data.rejection = None;
        }
        if cause != Cause::OpenLoopGain {
            data.open_loop_gain = None;
        }
        if cause != Cause::GainBandwidth {
            data.gain_bandwidth_hz = None;
        }
    }
    if let (Some(chip), true) = (&mut one.chip, cause != Cause::OutputOpAmp) {
        chip.rejection.clear();
    }
    let around = &mut one.surroundings;
    if cause != Cause::SourceImbalance {
        around.source.imbalance_ohm = 0.0;
    }
    if cause != Cause::ReferenceResistance {
        around.reference_resistance_ohm = 0.0;
    }
    if cause != Cause::Strays {
        around.strays.rg_capacitance_f = 0.0;
    }
    if cause != Cause::Cable {
        around.source.cable_tolerance = 0.0;
    }
    if let (Some(filter), true) = (&mut around.filter, cause != Cause::InputFilter) {
        filter.resistor_tolerance = 0.0;
        filter.capacitor_tolerance = 0.0;
    }
    one
}

fn lot_of(lot: &Lot, cause: Cause) -> Lot {
    let mut one = lot.clone();
    let belongs = |name| match cause {
        Cause::GainSetResistors => Circuit::sets_gain(name),
        Cause::RatioResistors => !Circuit::sets_gain(name),
        _ => false,
    };
    one.grades.retain(|&name, _| belongs(name));
    for network in &mut one.networks {
        *network =
            Matched { members: network.members.iter().copied().filter(|&n| belongs(n)).collect(), ..network.clone() };
    }
    if cause != Cause::BiasReturn {
        one.bias_return_tolerance = 0.0;
    }
    one
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sweep_has_ten_points_a_decade_and_both_ends() {
        let all: Vec<f64> = frequencies(1.0, 1e6).collect();
        assert_eq!(all.len(), 61);
        assert_eq!((all[0], all[10], all[60]), (1.0, 10.0, 1e6));
        assert_eq!(frequencies(50.0, 50.0).count(), 1);
    }

    #[test]
    fn above_200_db_is_unbounded() {
        assert_eq!(decibels(1e10), Some(200.0));
        assert_eq!(decibels(1.1e10), None);
        assert_eq!(decibels(f64::INFINITY), None);
    }
}
