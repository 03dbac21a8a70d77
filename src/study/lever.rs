//! One thing that can be changed about a design, from as it is to ideal.
use super::Question;
use crate::designator::Designator::{R1, R2, R3, R4, R5, R6};
use crate::designator::Topology;
use crate::part::{Matched, OpAmp};
use crate::quantity::{Unit, rounded};

/// A property that may be made better, from as it is (1) to ideal (0).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Lever {
    Tolerance,
    Match,
    OpAmpRejection,
    OpenLoopGain,
    SourceImbalance,
    ReferenceResistance,
    VoltageNoise,
    Offset,
    GainBandwidth,
}

impl Lever {
    pub(super) const ALL: [Self; 9] = [
        Self::Tolerance,
        Self::Match,
        Self::OpAmpRejection,
        Self::SourceImbalance,
        Self::OpenLoopGain,
        Self::ReferenceResistance,
        Self::VoltageNoise,
        Self::Offset,
        Self::GainBandwidth,
    ];

    /// True where it bears on a limit at all.
    pub(super) fn bears_on(self, limit: &str) -> bool {
        match self {
            Self::Tolerance | Self::OpenLoopGain => {
                matches!(limit, "gain_error" | "rejection" | "rejection_at_interference" | "total_error" | "yield")
            }
            Self::Match | Self::OpAmpRejection | Self::SourceImbalance | Self::ReferenceResistance => {
                matches!(limit, "rejection" | "rejection_at_interference" | "total_error" | "yield")
            }
            Self::VoltageNoise => matches!(limit, "noise" | "total_error"),
            Self::Offset => matches!(limit, "offset" | "total_error"),
            Self::GainBandwidth => matches!(limit, "bandwidth" | "rejection_at_interference"),
        }
    }

    /// How it stands now, as a number that is 0 where it is ideal; `None` where it is ideal already, or absent.
    fn now(self, q: &Question) -> Option<f64> {
        let worst =
            |of: fn(&OpAmp) -> Option<f64>| q.opamps.values().filter_map(of).filter(|x| *x > 0.0).reduce(f64::max);
        let value = match self {
            Self::Tolerance => {
                let own = q.resistors.own_grade.values().map(|grade| grade.tolerance);
                let networks = q.resistors.networks.iter().filter_map(|one| one.grade).map(|grade| grade.tolerance);
                Some(own.chain(networks).fold(q.resistors.grade.tolerance, f64::max))
            }
            Self::Match => match q.resistors.networks.iter().map(|one| one.match_fraction).reduce(f64::max) {
                None if matches!(q.topology, Topology::SingleChip) => None,
                None => Some(2.0 * q.resistors.grade.tolerance),
                found => found,
            },
            Self::OpAmpRejection => worst(|data| data.rejection.map(|ratio| 1.0 / ratio)),
            Self::OpenLoopGain => worst(|data| data.open_loop_gain.map(|ratio| 1.0 / ratio)),
            Self::SourceImbalance => Some(q.source.imbalance_ohm),
            Self::ReferenceResistance => Some(q.reference_resistance_ohm),
            Self::VoltageNoise => worst(|data| data.voltage_noise_v_per_rthz),
            Self::Offset => worst(|data| data.offset_v),
            Self::GainBandwidth => worst(|data| data.gain_bandwidth_hz.map(|hz| 1.0 / hz)),
        };
        value.filter(|value| *value > 0.0 && value.is_finite())
    }

    /// The question with nothing worse than `share` of what it is now; `None` where there is nothing to better.
    pub(super) fn at(self, q: &Question, share: f64) -> Option<(Question, f64)> {
        let cap = self.now(q)? * share;
        let mut out = q.clone();
        let inverse = |held: Option<f64>| match held {
            Some(value) if cap > 0.0 => Some(value.max(1.0 / cap)),
            _ => None,
        };
        let plain = |held: Option<f64>| held.map(|value| value.min(cap));
        match self {
            Self::Tolerance => {
                let resistors = &mut out.resistors;
                let own = resistors.own_grade.values_mut();
                let networks = resistors.networks.iter_mut().filter_map(|one| one.grade.as_mut());
                for grade in own.chain(networks).chain([&mut resistors.grade]) {
                    grade.tolerance = grade.tolerance.min(cap);
                }
            }
            Self::Match if out.resistors.networks.is_empty() => out.resistors.networks.push(Matched {
                members: if divided(q) { vec![R1, R2, R3, R4, R5, R6] } else { vec![R1, R2, R3, R4] },
                match_fraction: cap,
                match_tempco_per_k: 0.0,
                grade: None,
            }),
            Self::Match => {
                for network in &mut out.resistors.networks {
                    network.match_fraction = network.match_fraction.min(cap);
                }
            }
            Self::SourceImbalance => out.source.imbalance_ohm = cap,
            Self::ReferenceResistance => out.reference_resistance_ohm = cap,
            Self::OpAmpRejection => {
                out.opamps.values_mut().for_each(|data| data.rejection = inverse(data.rejection));
            }
            Self::OpenLoopGain => {
                out.opamps.values_mut().for_each(|data| data.open_loop_gain = inverse(data.open_loop_gain));
            }
            Self::GainBandwidth => {
                out.opamps.values_mut().for_each(|data| data.gain_bandwidth_hz = inverse(data.gain_bandwidth_hz));
            }
            Self::VoltageNoise => {
                for data in out.opamps.values_mut() {
                    data.voltage_noise_v_per_rthz = plain(data.voltage_noise_v_per_rthz);
                }
            }
            Self::Offset => out.opamps.values_mut().for_each(|data| data.offset_v = plain(data.offset_v)),
        }
        Some((out, cap))
    }

    /// What has to be asked for, in words with its number; rounded to the safe side by its digits.
    pub(super) fn words(self, q: &Question, value: f64) -> String {
        let tight = |unit| rounded(rounded_down(value), unit, 4);
        let least = |unit| rounded(rounded_up(1.0 / value), unit, 4);
        match self {
            Self::Tolerance => format!("resistor tolerance {} or better", tight(Unit::Fraction)),
            Self::Match if q.resistors.networks.is_empty() => {
                let last = if divided(q) { "R6" } else { "R4" };
                format!("R1 to {last} as a network matched to {} or better", tight(Unit::Fraction))
            }
            Self::Match => format!("resistor match {} or better", tight(Unit::Fraction)),
            Self::OpAmpRejection => {
                let db = (crate::quantity::decibels(1.0 / value) * 100.0 - 1e-9).ceil() / 100.0;
                format!("op-amp rejection {} or more", rounded(db, Unit::Decibel, 4))
            }
            Self::OpenLoopGain => {
                let db = (crate::quantity::decibels(1.0 / value) * 100.0 - 1e-9).ceil() / 100.0;
                format!("open-loop gain {} or more", rounded(db, Unit::Decibel, 4))
            }
            Self::SourceImbalance => format!("source imbalance {} or less", tight(Unit::Ohm)),
            Self::ReferenceResistance => format!("reference resistance {} or less", tight(Unit::Ohm)),
            Self::VoltageNoise => format!("op-amp voltage noise {} or less", tight(Unit::VoltPerRootHertz)),
            Self::Offset => format!("op-amp offset {} or less", tight(Unit::Volt)),
            Self::GainBandwidth => format!("gain-bandwidth product {} or more", least(Unit::Hertz)),
        }
    }

    /// What it is called where it is taken as ideal.
    pub(super) const fn ideally(self) -> &'static str {
        match self {
            Self::Tolerance => "perfect resistors",
            Self::Match => "a perfect match",
            Self::OpAmpRejection => "op amps without common-mode error",
            Self::OpenLoopGain => "unlimited open-loop gain",
            Self::SourceImbalance => "a balanced source",
            Self::ReferenceResistance => "a stiff reference",
            Self::VoltageNoise => "noiseless op amps",
            Self::Offset => "op amps without offset",
            Self::GainBandwidth => "op amps of any bandwidth",
        }
    }
}

fn divided(q: &Question) -> bool {
    q.resistors.fixed.contains_key(&R5)
}

/// Four digits, towards zero: what is asked for must do.
fn rounded_down(x: f64) -> f64 {
    let scale = libm::exp10(3.0 - libm::floor(libm::log10(x)));
    (x * scale * (1.0 + 1e-12)).floor() / scale
}

fn rounded_up(x: f64) -> f64 {
    let scale = libm::exp10(3.0 - libm::floor(libm::log10(x)));
    (x * scale * (1.0 - 1e-12)).ceil() / scale
}
