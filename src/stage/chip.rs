//! A chip's gain law, and what is uncertain about it.
use super::quantity::symmetric;
use super::{Circuit, Effect, Lot, Quantity, Role, Stage};
use crate::designator::{Amp, Designator, Topology};

/// RG of a chip, which is no element of the network.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChipGainResistor {
    /// RG itself, Ω.
    pub ohm: f64,
    /// RG and its wiring, Ω.
    pub total_ohm: f64,
    /// Share of the gain that it makes, `K/(RG + wiring)/G`: a voltage in series with RG counts as that
    /// share of it at the chip's input.
    pub share: f64,
}

impl Circuit {
    /// Gain by the gain law, wiring of RG included, V/V; `None` for other circuits.
    #[must_use]
    pub fn chip_gain(&self) -> Option<f64> {
        let chip = self.chip.as_ref().filter(|_| self.topology == Topology::SingleChip)?;
        let rg = self.ohms.get(Designator::RG);
        Some(chip.gain(rg.map(|ohm| ohm + self.surroundings.strays.rg_resistance_ohm)))
    }

    /// Its RG; `None` where it is open, and for other circuits.
    #[must_use]
    pub fn chip_gain_resistor(&self) -> Option<ChipGainResistor> {
        let gain = self.chip_gain()?;
        let ohm = self.ohms.get(Designator::RG)?;
        let total_ohm = ohm + self.surroundings.strays.rg_resistance_ohm;
        Some(ChipGainResistor { ohm, total_ohm, share: self.chip.as_ref()?.gain_constant_ohm / total_ohm / gain })
    }
}

impl Stage {
    /// RG by its grade, and the listed gain error with its drift.
    pub(super) fn chip(&self, lot: &Lot) -> Vec<Quantity> {
        let circuit = &self.circuit;
        let (Some(chip), Some(gain), Some(element)) =
            (&circuit.chip, circuit.chip_gain(), self.element(Role::Amp(Amp::A1)))
        else {
            return Vec::new();
        };
        let mut all = Vec::new();
        if let (Some(rg), Some(grade)) = (circuit.chip_gain_resistor(), lot.grades.get(&Designator::RG)) {
            let effects = vec![Effect::GainResistor { element, share: rg.share, by: rg.ohm / rg.total_ohm }];
            all.push(symmetric(Designator::RG.to_string(), grade.bound(lot.reach_k), effects));
        }
        let listed = chip.gain_error_at(gain).map_or(0.0, |listed| listed.value);
        let bound = listed + chip.gain_drift_per_k.unwrap_or(0.0) * lot.reach_k;
        all.push(symmetric(format!("{} gain", Amp::A1), bound, vec![Effect::Gain { element }]));
        all
    }
}
