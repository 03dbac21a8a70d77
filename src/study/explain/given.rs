//! What the spec gives, each under its one symbol (`glossary` tells what each means), and the lines for
//! what stands in front of the inputs.
use super::explanation::Board;
use super::ground::Ground;
use super::law;
use crate::designator::Amp;
use crate::equation::{Equation, Expr};
use crate::quantity::Unit;
use crate::stage::InputFilter;

fn ohm(name: &'static str, value: f64) -> Expr {
    Expr::symbol(name, value, Unit::Ohm)
}

fn farad(name: &'static str, value: f64) -> Expr {
    Expr::symbol(name, value, Unit::Farad)
}

/// `A1` as the index of a symbol: `1`.
pub(super) fn index(amp: Amp) -> &'static str {
    amp.name().strip_prefix('A').unwrap_or_default()
}

impl Ground<'_> {
    pub(super) fn source_ohm(&self) -> Option<Expr> {
        let value = self.question.source.resistance_ohm;
        (value > 0.0).then(|| ohm("R_s", value))
    }

    pub(super) fn imbalance(&self) -> Option<Expr> {
        let value = self.question.source.imbalance_ohm;
        (value > 0.0).then(|| ohm("dR_s", value))
    }

    pub(super) fn filter(&self) -> Option<&InputFilter> {
        self.question.filter.as_ref()
    }

    /// What lies in one leg in front of the inputs: source and filter.
    pub(super) fn leg(&self, board: &mut Board) -> Option<Expr> {
        let filter = self.filter().filter(|filter| filter.resistor_ohm > 0.0).map(|one| ohm("R_fil", one.resistor_ohm));
        match (self.source_ohm(), filter) {
            (Some(source), Some(filter)) => Some(board.once(
                "In each leg in front of the inputs stand the source and the filter's resistor:",
                Equation::new("R_leg", Unit::Ohm, source + filter),
                law::AHEAD,
            )),
            (one, other) => one.or(other),
        }
    }

    /// What a leg's voltage is divided over at dc: bias return and input resistance.
    pub(super) fn load(&self, amp: Amp) -> Option<Expr> {
        let back = self.question.source.bias_return_ohm.map(|value| ohm("R_b", value));
        let input = self.stage().circuit.opamp(amp).input_resistance_ohm.filter(|_| self.at_the_wires(amp));
        let alike = self.input_ohm_is_alike();
        let input = input.map(|value| {
            let name = if alike { "r_in".to_owned() } else { format!("r_in{}", index(amp)) };
            Expr::symbol(name, value, Unit::Ohm)
        });
        match (back, input) {
            (Some(back), Some(input)) => Some(back.parallel(input)),
            (one, other) => one.or(other),
        }
    }

    fn at_the_wires(&self, amp: Amp) -> bool {
        use crate::designator::Topology::{Difference, SingleChip};
        match self.question.topology {
            Difference => false,
            SingleChip => true,
            _ => amp != Amp::A3,
        }
    }

    fn input_ohm_is_alike(&self) -> bool {
        let of = |amp| self.stage().circuit.opamp(amp).input_resistance_ohm;
        self.question.topology.amps().len() < 2 || of(Amp::A1) == of(Amp::A2)
    }

    /// From each input to ground, behind the filter's resistor: its capacitor and the op amp's input.
    pub(super) fn behind_filter(&self, board: &mut Board) -> Option<Expr> {
        let filter = self.filter().map(|one| one.common_capacitor_f).filter(|&value| value > 0.0);
        let input = self.stage().circuit.opamp(Amp::A1).input_capacitance_f;
        let input = input.filter(|&value| value > 0.0 && self.at_the_wires(Amp::A1)).map(|value| farad("C_in", value));
        match (filter.map(|value| farad("C_C", value)), input) {
            (Some(filter), Some(input)) => Some(board.once(
                "From each input to ground lie the filter's capacitor and the amplifier's own input:",
                Equation::new("C_F", Unit::Farad, filter + input),
                law::AHEAD,
            )),
            (one, other) => one.or(other),
        }
    }

    pub(super) fn cable(&self) -> Option<Expr> {
        self.question.source.cable_capacitance_f.filter(|&value| value > 0.0).map(|value| farad("C_cab", value))
    }

    /// From one wire to ground, all of it.
    pub(super) fn wire_farad(&self, board: &mut Board) -> Option<Expr> {
        match (self.cable(), self.behind_filter(board)) {
            (Some(cable), Some(behind)) => Some(board.once(
                "From one wire to ground lie the cable and what is behind it:",
                Equation::new("C_W", Unit::Farad, cable + behind),
                law::AHEAD,
            )),
            (one, other) => one.or(other),
        }
    }

    /// By how much the filter's resistors differ.
    pub(super) fn filter_ohm_difference(&self, board: &mut Board) -> Option<Expr> {
        let filter = self.filter().filter(|one| one.resistor_ohm > 0.0 && one.resistor_tolerance > 0.0)?;
        let t = Expr::symbol("t_Rfil", filter.resistor_tolerance, Unit::Fraction);
        Some(board.once(
            "The filter's resistors, one high and one low, differ by",
            Equation::new("dR_fil", Unit::Ohm, 2.0 * t * ohm("R_fil", filter.resistor_ohm)),
            law::AHEAD,
        ))
    }

    /// By how much the filter's capacitors to ground differ.
    pub(super) fn filter_farad_difference(&self, board: &mut Board) -> Option<Expr> {
        let filter = self.filter().filter(|one| one.common_capacitor_f > 0.0 && one.capacitor_tolerance > 0.0)?;
        let t = Expr::symbol("t_Cfil", filter.capacitor_tolerance, Unit::Fraction);
        Some(board.once(
            "The filter's capacitors to ground, one high and one low, differ by",
            Equation::new("dC_C", Unit::Farad, 2.0 * t * farad("C_C", filter.common_capacitor_f)),
            law::AHEAD,
        ))
    }

    /// By how much the two halves of the cable differ.
    pub(super) fn cable_difference(&self, board: &mut Board) -> Option<Expr> {
        let (cable, tolerance) = (self.cable()?, self.question.source.cable_tolerance);
        if tolerance == 0.0 {
            return None;
        }
        Some(board.once(
            "The two halves of the cable, one high and one low, differ by",
            Equation::new("dC_cab", Unit::Farad, 2.0 * Expr::symbol("t_cab", tolerance, Unit::Fraction) * cable),
            law::AHEAD,
        ))
    }

    /// Distance from the calibration temperature.
    pub(super) fn reach(&self) -> Expr {
        Expr::symbol("dT", self.lot().reach_k, Unit::Kelvin)
    }

    /// The whole span of the difference, once.
    pub(super) fn full_scale(&self, board: &mut Board) -> Option<Expr> {
        let span = self.question.signal.differential?;
        let [high, low] =
            [("v_dmax", span.high), ("v_dmin", span.low)].map(|(name, value)| Expr::symbol(name, value, Unit::Volt));
        Some(board.once(
            "Full scale is the whole span of the difference, from its lowest to its highest:",
            Equation::new("FS", Unit::Volt, high - low),
            law::BUDGET,
        ))
    }
}
