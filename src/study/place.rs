//! Where a set of values stands: split of gain, values of the stage, feedback. Places lie between the values
//! one can buy, too.
use super::StudyFault;
use super::fill::Brief;
use crate::designator::{Designator, Ohms, Topology};
use crate::sizing::{DIVIDER_OHM, FEEDBACK_OHM, Filled, Pick, Ranked, STAGE_OHM, Value};
use crate::textbook::{GainLaw, GainSet, gain_law, two_op_amp_ratio};
use Designator::{R1, R2, R3, R4, R5, R6, RF1, RF2, RG};

/// A place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Place {
    /// R2/R1 of the stage behind, R4/R3 of the two-op-amp circuit; `1 + R1/R5` of a difference stage.
    pub(super) split: f64,
    /// R1, Ω.
    pub(super) stage: f64,
    /// RF1, Ω.
    pub(super) feedback: f64,
}

/// The ends between which places lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Axes {
    pub(super) topology: Topology,
    /// `None`: decided.
    pub(super) split: Option<(f64, f64)>,
    /// Both ends the same where it is decided.
    pub(super) stage: (f64, f64),
    /// Likewise.
    pub(super) feedback: (f64, f64),
}

impl Axes {
    /// With `divided` R5 and R6 are there.
    pub(super) fn of(topology: Topology, brief: &Brief, divided: bool) -> Result<Self, StudyFault> {
        let decided = |name: Designator| brief.rules.fixed.contains_key(&name);
        let pair = |one: Designator, other: Designator| decided(one) || decided(other);
        let gain = brief.wish.gain;
        let split = match topology {
            Topology::ThreeOpAmp if brief.wish.stage_two_gain.is_none() && !(pair(R1, R3) && pair(R2, R4)) => {
                (gain >= 1.0).then_some((1.0, gain))
            }
            Topology::TwoOpAmp if !(pair(R1, R4) && pair(R2, R3)) => {
                two_op_amp_ratio(gain).ok().map(|usual| (usual, (gain - 1.0).max(usual)))
            }
            _ => None,
        };
        let ends = |names: &[Designator], usual: (f64, f64)| {
            let shared = names.iter().find_map(|name| match brief.rules.fixed.get(name) {
                Some(crate::part::Fixed::Ohm(ohm)) => Some(*ohm),
                _ => None,
            });
            let asked: Vec<(f64, f64)> = names.iter().filter_map(|name| brief.rules.range.get(name)).copied().collect();
            let (low, high) = match asked.is_empty() {
                true => usual,
                false => asked
                    .iter()
                    .fold((0.0, f64::INFINITY), |held: (f64, f64), one| (held.0.max(one.0), held.1.min(one.1))),
            };
            let there = brief.rules.stock.within(low, high);
            let inside = there.first().copied().zip(there.last().copied());
            // a drawer without a value there: its own ends
            let all = brief.rules.stock.values();
            let whole = all.first().copied().zip(all.last().copied());
            shared.map(|ohm| (ohm, ohm)).or(inside).or(whole).unwrap_or(usual)
        };
        let stage = match topology {
            Topology::TwoOpAmp => ends(&[R1, R4], FEEDBACK_OHM),
            _ => ends(&[R1, R3], STAGE_OHM),
        };
        let split = match divided {
            true => {
                let (least, greatest) = ends(&[R5, R6], DIVIDER_OHM);
                Some((1.0 + stage.0 / greatest, 1.0 + stage.1 / least))
            }
            false => split,
        };
        Ok(Self { topology, split, stage, feedback: ends(&[RF1, RF2], FEEDBACK_OHM) })
    }

    /// What both allow.
    pub(super) fn within(&self, other: &Self) -> Self {
        let both = |a: (f64, f64), b: (f64, f64)| (a.0.max(b.0), a.1.min(b.1));
        let split = self.split.zip(other.split).map(|(a, b)| both(a, b));
        let (stage, feedback) = (both(self.stage, other.stage), both(self.feedback, other.feedback));
        Self { split, stage, feedback, ..*self }
    }

    /// True where nothing is left.
    pub(super) fn empty(&self) -> bool {
        let none = |ends: (f64, f64)| ends.0 > ends.1 * (1.0 + 1e-9);
        self.split.is_some_and(none) || none(self.stage) || none(self.feedback)
    }

    /// What is asked of the resistors, their ranges narrowed to these ends where they are narrower than `whole`.
    pub(super) fn narrow(&self, brief: &Brief, whole: &Self) -> Brief {
        let mut out = brief.clone();
        let stage: &[Designator] = match self.topology {
            Topology::TwoOpAmp => &[R1, R4],
            Topology::SingleChip => &[],
            _ => &[R1, R3],
        };
        let feedback: &[Designator] = if self.topology == Topology::ThreeOpAmp { &[RF1, RF2] } else { &[] };
        for (names, ends, all) in [(stage, self.stage, whole.stage), (feedback, self.feedback, whole.feedback)] {
            if ends != all {
                out.rules
                    .range
                    .extend(names.iter().map(|name| (*name, (ends.0 * (1.0 - 1e-9), ends.1 * (1.0 + 1e-9)))));
            }
        }
        out
    }

    /// Where a set stands.
    pub(super) fn place(&self, set: &Ranked) -> Place {
        let ohms = set.filled.ohms();
        let of = |name: Designator| ohms.get(name).unwrap_or(1.0);
        let split = match self.topology {
            Topology::TwoOpAmp => of(R4) / of(R3),
            Topology::Difference => ohms.get(R5).map_or(1.0, |r5| 1.0 + of(R1) / r5),
            _ => of(R2) / of(R1),
        };
        Place { split, stage: of(R1), feedback: of(RF1) }
    }

    /// The values at a place, RG (R2 and R4 of a difference stage) as the gain wants them; what is decided stays.
    pub(super) fn filled(&self, brief: &Brief, gain: f64, place: Place) -> Option<Filled> {
        let decided = |name: Designator| match brief.rules.fixed.get(&name) {
            Some(crate::part::Fixed::Ohm(ohm)) => Some(*ohm),
            _ => None,
        };
        let shared = |one: Designator, other: Designator| decided(one).or_else(|| decided(other));
        let mut ohms = Ohms::default();
        let mut set = |names: [Designator; 2], ohm: f64| {
            for name in names {
                ohms.set(name, Some(decided(name).unwrap_or(ohm)));
            }
        };
        let split = if self.split.is_some() { place.split } else { self.decided_split(brief, shared) };
        match self.topology {
            Topology::Difference | Topology::BufferedDifference => {
                let in_series = if self.topology == Topology::Difference { brief.wish.source_ohm } else { 0.0 };
                set([R1, R3], place.stage);
                let ratio = brief.wish.ratio(gain, self.split.map_or(1.0, |_| place.split));
                set([R2, R4], shared(R2, R4).unwrap_or(ratio * (place.stage + in_series)));
                let divider = self.split.map(|_| place.stage / (place.split - 1.0));
                for name in [R5, R6] {
                    ohms.set(name, decided(name).or(divider));
                }
            }
            Topology::ThreeOpAmp => {
                let output = shared(R2, R4).unwrap_or(split * place.stage);
                set([R1, R3], shared(R1, R3).unwrap_or(output / split));
                set([R2, R4], output);
                set([RF1, RF2], place.feedback);
            }
            Topology::TwoOpAmp => {
                set([R1, R4], place.stage);
                set([R2, R3], shared(R2, R3).unwrap_or(place.stage / split));
            }
            Topology::SingleChip => {}
        }
        let mut values: Vec<Value> =
            ohms.present().map(|(name, ohm)| Value { name, pick: Pick::single(ohm), chosen: true }).collect();
        if self.topology.gain_set_by_one() {
            let law: GainLaw = match self.topology {
                Topology::SingleChip => brief.wish.chip?,
                topology => gain_law(topology, &ohms).ok()?,
            };
            let pick = match (brief.rules.fixed.get(&RG), law.resistor(gain)) {
                (Some(crate::part::Fixed::Ohm(ohm)), _) => Pick::single(*ohm),
                (Some(crate::part::Fixed::Open), _) | (None, GainSet::Open) => Pick::OPEN,
                (None, GainSet::Ohm(ohm)) if ohm > brief.wish.wiring_ohm => Pick::single(ohm - brief.wish.wiring_ohm),
                _ => return None,
            };
            values.push(Value { name: RG, pick, chosen: true });
        }
        Some(Filled { values, gain })
    }

    fn decided_split(&self, brief: &Brief, shared: impl Fn(Designator, Designator) -> Option<f64>) -> f64 {
        match self.topology {
            Topology::TwoOpAmp => 1.0,
            _ => match (shared(R1, R3), shared(R2, R4)) {
                (Some(input), Some(output)) => output / input,
                _ => brief.wish.stage_two_gain.unwrap_or(1.0),
            },
        }
    }
}
