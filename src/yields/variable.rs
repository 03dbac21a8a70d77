//! What is drawn: the uncertain quantities of a stage, each with its bound at and away from calibration.
use crate::network::LANES;
use crate::stage::{Effect, Lot, Quantity, Role, Stage};

/// One uncertain quantity as it is drawn: `bound(τ)` is `tolerance + drift·τ`, τ the distance from the
/// calibration temperature as a share of its greatest.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Variable {
    /// Bound at the calibration temperature.
    pub(super) tolerance: f64,
    /// What the farthest temperature adds.
    pub(super) drift: f64,
    /// From 0 to the bound, evenly, instead of from minus to plus.
    pub(super) one_sided: bool,
    /// Index of the part it belongs to.
    pub(super) part: usize,
}

impl Variable {
    /// The quantity's value for a drawn number in (-1, 1).
    pub(super) fn value(&self, drawn: f64, tau: f64) -> f64 {
        let bound = self.tolerance + self.drift * tau;
        if self.one_sided { (0.5 + 0.5 * drawn) * bound } else { drawn * bound }
    }

    /// Values of a block of boards, with the tolerance (not the drift) multiplied by `share`.
    #[inline(always)]
    pub(super) fn values(&self, drawn: &[f64; LANES], tau: Option<&[f64; LANES]>, share: f64, out: &mut [f64; LANES]) {
        let tolerance = self.tolerance * share;
        let (offset, by) = if self.one_sided { (0.5, 0.5) } else { (0.0, 1.0) };
        match tau {
            None => {
                let bound = tolerance + self.drift;
                let (offset, by) = (offset * bound, by * bound);
                for (out, drawn) in out.iter_mut().zip(drawn) {
                    *out = offset + by * drawn;
                }
            }
            Some(tau) => {
                for ((out, drawn), tau) in out.iter_mut().zip(drawn).zip(tau) {
                    *out = (offset + by * drawn) * (tolerance + self.drift * tau);
                }
            }
        }
    }
}

/// The variables of a stage, the quantities they stand for, and the parts they belong to.
#[derive(Clone, Debug)]
pub(super) struct Variables {
    pub(super) all: Vec<Variable>,
    pub(super) quantities: Vec<Quantity>,
    pub(super) parts: Vec<String>,
}

impl Variables {
    /// Everything that is uncertain at `hz`; where that is above 0, at dc too.
    pub(super) fn new(stage: &Stage, lot: &Lot, hz: f64) -> Self {
        let quantities = stage.quantities(lot, hz);
        let calibrated = stage.quantities(&Lot { reach_k: 0.0, ..lot.clone() }, hz);
        let mut variables = Self { all: Vec::new(), quantities: Vec::new(), parts: Vec::new() };
        for quantity in quantities {
            let at_calibration = calibrated.iter().find(|one| one.name == quantity.name);
            let tolerance = at_calibration.map_or(0.0, |one| one.high);
            let part = part(stage, lot, &quantity);
            let place = variables.parts.iter().position(|one| *one == part).unwrap_or_else(|| {
                variables.parts.push(part);
                variables.parts.len() - 1
            });
            variables.all.push(Variable {
                tolerance,
                drift: quantity.high - tolerance,
                one_sided: quantity.low == 0.0,
                part: place,
            });
            variables.quantities.push(quantity);
        }
        variables
    }

    /// The same quantities in the same places with what they do at dc, where some do nothing.
    pub(super) fn at_dc(&self, stage: &Stage, lot: &Lot) -> Vec<Quantity> {
        let there = stage.quantities(lot, 0.0);
        let effects = |quantity: &Quantity| {
            there.iter().find(|one| one.name == quantity.name).map_or(Vec::new(), |one| one.effects.clone())
        };
        self.quantities.iter().map(|quantity| Quantity { effects: effects(quantity), ..quantity.clone() }).collect()
    }
}

/// Only what the quantities do to resistors of the drawing: what headroom is told for.
pub(super) fn resistors_alone(stage: &Stage, quantities: &[Quantity]) -> Vec<Quantity> {
    let drawn = |effect: &Effect| {
        matches!((effect, stage.role(effect.element())), (Effect::Scale { .. }, Some(Role::Resistor(_))))
    };
    let only = |quantity: &Quantity| quantity.effects.iter().copied().filter(drawn).collect();
    quantities.iter().map(|quantity| Quantity { effects: only(quantity), ..quantity.clone() }).collect()
}

/// What is bought: a resistor, a network, an op amp; else the quantity itself.
fn part(stage: &Stage, lot: &Lot, quantity: &Quantity) -> String {
    let first =
        quantity.effects.first().filter(|effect| !matches!(effect, Effect::Gain { .. } | Effect::GainResistor { .. }));
    match first.and_then(|effect| stage.role(effect.element())) {
        Some(Role::Amp(amp)) => amp.to_string(),
        Some(Role::Resistor(name)) => match lot.networks.iter().find(|network| network.members.contains(&name)) {
            Some(network) => {
                let members: Vec<String> = network.members.iter().map(ToString::to_string).collect();
                members.join(", ")
            }
            None => name.to_string(),
        },
        _ => quantity.name.clone(),
    }
}
