//! Everything that is uncertain, one quantity at a time (figures.md, sections 3 and 4).
use super::{Circuit, Leg, Role, Stage};
use crate::designator::Designator;
use crate::network::Element;
use crate::part::{Grade, Matched};
use std::collections::BTreeMap;
use std::fmt;

/// How far the parts may be off.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Lot {
    /// Grade of each resistor bought alone, of the common factor for a network's members.
    pub grades: BTreeMap<Designator, Grade>,
    /// Resistors of one substrate.
    pub networks: Vec<Matched>,
    /// Tolerance of the bias-return resistors, a fraction.
    pub bias_return_tolerance: f64,
    /// Largest distance from the calibration temperature, K.
    pub reach_k: f64,
}

/// One uncertain quantity, anywhere in `[low, high]`, independent of the others.
#[derive(Clone, Debug, PartialEq)]
pub struct Quantity {
    /// What it is, for people.
    pub name: String,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// What it does to the network.
    pub effects: Vec<Effect>,
}

/// What a quantity `q` does to an element.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Effect {
    /// The value is multiplied by `1 + by·q`.
    Scale {
        /// The element.
        element: Element,
        /// Weight of the quantity.
        by: f64,
    },
    /// `1/A` at dc is `q` (V/V).
    OpenLoop {
        /// The amplifier.
        element: Element,
    },
    /// The common-mode error is `q·ratio` at dc, `q` from -1 to 1.
    CommonMode {
        /// The amplifier.
        element: Element,
        /// 1/rejection, V/V.
        ratio: f64,
    },
    /// The gain-bandwidth product is multiplied by `1 + q`.
    GainBandwidth {
        /// The amplifier.
        element: Element,
    },
    /// The gain of an amplifier of fixed gain is multiplied by `1 + q`.
    Gain {
        /// The amplifier.
        element: Element,
    },
    /// The gain of an amplifier of fixed gain follows a resistor that is no element:
    /// it is multiplied by `1 - share + share/(1 + by·q)`.
    GainResistor {
        /// The amplifier.
        element: Element,
        /// Share of the gain that the resistor makes.
        share: f64,
        /// Weight of the quantity.
        by: f64,
    },
}

impl Effect {
    /// The element it acts on.
    #[must_use]
    pub const fn element(&self) -> Element {
        match *self {
            Self::Scale { element, .. }
            | Self::OpenLoop { element }
            | Self::CommonMode { element, .. }
            | Self::GainBandwidth { element }
            | Self::Gain { element }
            | Self::GainResistor { element, .. } => element,
        }
    }
}

/// Where rejection is lost.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "the words of figures.md, section 6")]
pub enum Cause {
    GainSetResistors,
    RatioResistors,
    FirstStageOpAmps,
    OutputOpAmp,
    OpenLoopGain,
    GainBandwidth,
    SourceImbalance,
    ReferenceResistance,
    BiasReturn,
    InputFilter,
    Cable,
    Strays,
}

impl Cause {
    /// All of them.
    pub const ALL: [Self; 12] = [
        Self::GainSetResistors,
        Self::RatioResistors,
        Self::FirstStageOpAmps,
        Self::OutputOpAmp,
        Self::OpenLoopGain,
        Self::GainBandwidth,
        Self::SourceImbalance,
        Self::ReferenceResistance,
        Self::BiasReturn,
        Self::InputFilter,
        Self::Cable,
        Self::Strays,
    ];

    /// The contract's name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::GainSetResistors => "gain-set resistors",
            Self::RatioResistors => "ratio resistors",
            Self::FirstStageOpAmps => "first-stage op amps",
            Self::OutputOpAmp => "output op amp",
            Self::OpenLoopGain => "open-loop gain",
            Self::GainBandwidth => "gain bandwidth",
            Self::SourceImbalance => "source imbalance",
            Self::ReferenceResistance => "reference resistance",
            Self::BiasReturn => "bias return",
            Self::InputFilter => "input filter",
            Self::Cable => "cable",
            Self::Strays => "strays",
        }
    }
}

impl fmt::Display for Cause {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

impl Stage {
    /// The cause an effect belongs to; `None` for what is no cause of its own.
    #[must_use]
    pub fn cause(&self, effect: &Effect) -> Option<Cause> {
        match (effect, self.role(effect.element())?) {
            (Effect::OpenLoop { .. }, _) => Some(Cause::OpenLoopGain),
            (Effect::GainBandwidth { .. }, _) => Some(Cause::GainBandwidth),
            (Effect::GainResistor { .. }, _) => Some(Cause::GainSetResistors),
            (Effect::Gain { .. }, _) => None,
            (Effect::CommonMode { .. }, Role::Amp(amp)) if self.circuit.first_stage().contains(&amp) => {
                Some(Cause::FirstStageOpAmps)
            }
            (Effect::CommonMode { .. }, _) => Some(Cause::OutputOpAmp),
            (Effect::Scale { .. }, role) => match role {
                Role::Resistor(name) if Circuit::sets_gain(name) => Some(Cause::GainSetResistors),
                Role::Resistor(_) => Some(Cause::RatioResistors),
                Role::SourceLeg(_) => Some(Cause::SourceImbalance),
                Role::Cable(_) => Some(Cause::Cable),
                Role::FilterResistor(_) | Role::CommonCapacitor(_) | Role::DifferentialCapacitor => {
                    Some(Cause::InputFilter)
                }
                Role::BiasReturn(_) => Some(Cause::BiasReturn),
                _ => None,
            },
        }
    }

    /// Every uncertain quantity that has an effect at `hz`, in a fixed order.
    ///
    /// Quantities of zero width are left out, and at dc those that act only on capacitors or on
    /// resistors that carry no current.
    #[must_use]
    pub fn quantities(&self, lot: &Lot, hz: f64) -> Vec<Quantity> {
        let mut all = self.resistors(lot);
        all.extend(self.chip(lot));
        all.extend(self.amplifiers(hz));
        all.extend(self.surroundings(lot));
        let idle = if hz == 0.0 { self.network.idle_at_dc() } else { Vec::new() };
        for quantity in &mut all {
            quantity.effects.retain(|effect| {
                let element = effect.element();
                !(idle.contains(&element) || (hz == 0.0 && self.network.farad(element).is_some()))
            });
        }
        all.retain(|quantity| quantity.low < quantity.high && !quantity.effects.is_empty());
        all
    }

    fn resistors(&self, lot: &Lot) -> Vec<Quantity> {
        let mut all = Vec::new();
        for (index, network) in lot.networks.iter().enumerate() {
            let members: Vec<(Designator, Element)> =
                network.members.iter().filter_map(|&name| Some((name, self.element(Role::Resistor(name))?))).collect();
            let common = members.iter().filter_map(|(name, _)| lot.grades.get(name)).map(|g| g.bound(lot.reach_k));
            all.push(symmetric(
                format!("network {} common factor", index + 1),
                common.fold(0.0, f64::max),
                members.iter().map(|&(_, element)| Effect::Scale { element, by: 1.0 }).collect(),
            ));
            for (name, element) in members {
                let bound = network.own_bound(lot.reach_k);
                all.push(symmetric(format!("{name} match"), bound, vec![Effect::Scale { element, by: 1.0 }]));
            }
        }
        for (name, grade) in &lot.grades {
            let matched = lot.networks.iter().any(|network| network.members.contains(name));
            if let (false, Some(element)) = (matched, self.element(Role::Resistor(*name))) {
                let bound = grade.bound(lot.reach_k);
                all.push(symmetric(name.to_string(), bound, vec![Effect::Scale { element, by: 1.0 }]));
            }
        }
        all
    }

    fn amplifiers(&self, hz: f64) -> Vec<Quantity> {
        let mut all = Vec::new();
        for &amp in self.circuit.topology.amps() {
            let Some(element) = self.element(Role::Amp(amp)) else { continue };
            let data = self.circuit.opamp(amp);
            if let Some(rejection) = data.rejection {
                let effects = vec![Effect::CommonMode { element, ratio: 1.0 / rejection }];
                all.push(symmetric(format!("{amp} rejection"), 1.0, effects));
            }
            if let Some(gain) = data.open_loop_gain {
                all.push(Quantity {
                    name: format!("{amp} open-loop gain"),
                    low: 0.0,
                    high: 1.0 / gain,
                    effects: vec![Effect::OpenLoop { element }],
                });
            }
            if hz > 0.0 && data.gain_bandwidth_hz.is_some() {
                all.push(symmetric(
                    format!("{amp} gain bandwidth"),
                    data.gain_bandwidth_tolerance,
                    vec![Effect::GainBandwidth { element }],
                ));
            }
        }
        all
    }

    fn surroundings(&self, lot: &Lot) -> Vec<Quantity> {
        let around = &self.circuit.surroundings;
        let mut all = Vec::new();
        let legs = [Leg::Positive, Leg::Negative];
        let source = &around.source;
        let halves: Vec<Effect> = legs
            .iter()
            .zip([0.5, -0.5])
            .filter_map(|(&leg, half)| {
                let element = self.element(Role::SourceLeg(leg))?;
                Some(Effect::Scale { element, by: half / source.resistance_ohm })
            })
            .collect();
        all.push(symmetric("source imbalance".to_owned(), source.imbalance_ohm, halves));
        let mut one_by_one = |name: &str, role: Role, bound: f64| {
            if let Some(element) = self.element(role) {
                all.push(symmetric(name.to_owned(), bound, vec![Effect::Scale { element, by: 1.0 }]));
            }
        };
        for (leg, side) in [(Leg::Positive, "positive"), (Leg::Negative, "negative")] {
            one_by_one(&format!("cable, {side} leg"), Role::Cable(leg), source.cable_tolerance);
            one_by_one(&format!("bias return, {side} input"), Role::BiasReturn(leg), lot.bias_return_tolerance);
            if let Some(filter) = &around.filter {
                let resistor = format!("filter resistor, {side} leg");
                one_by_one(&resistor, Role::FilterResistor(leg), filter.resistor_tolerance);
                let capacitor = format!("common-mode capacitor, {side} input");
                one_by_one(&capacitor, Role::CommonCapacitor(leg), filter.capacitor_tolerance);
            }
        }
        if let Some(filter) = &around.filter {
            one_by_one("differential capacitor", Role::DifferentialCapacitor, filter.capacitor_tolerance);
        }
        all
    }
}

pub(super) const fn symmetric(name: String, bound: f64, effects: Vec<Effect>) -> Quantity {
    Quantity { name, low: -bound, high: bound, effects }
}
