//! What every working starts from: the circuit, its values, and one point of the signal.
use crate::designator::{Amp, Designator};
use crate::equation::Expr;
use crate::network::{Excitation, NetworkFault, Node, State};
use crate::quantity::Unit;
use crate::stage::{Lot, Role, Stage};
use crate::study::aim::Aim;
use crate::study::bench::Bench;
use crate::study::{Question, Span};

/// A difference to work with where the spec states none, V.
const USUAL_DIFFERENCE_V: f64 = 0.01;

pub(super) struct Ground<'a> {
    pub(super) question: &'a Question,
    pub(super) aim: &'a Aim,
    pub(super) bench: &'a Bench,
    /// The point the voltages are told at.
    pub(super) differential_v: f64,
    pub(super) common_mode_v: f64,
}

impl<'a> Ground<'a> {
    pub(super) fn new(question: &'a Question, aim: &'a Aim, bench: &'a Bench) -> Self {
        let far = |span: Span| if span.high.abs() >= span.low.abs() { span.high } else { span.low };
        let differential_v = question.signal.differential.map(far).filter(|&volt| volt != 0.0);
        let middle = |span: Span| f64::midpoint(span.low, span.high);
        Self {
            question,
            aim,
            bench,
            differential_v: differential_v.unwrap_or(USUAL_DIFFERENCE_V),
            common_mode_v: question.signal.common_mode.map_or(0.0, middle),
        }
    }

    pub(super) fn stage(&self) -> &'a Stage {
        &self.bench.stage
    }

    pub(super) fn lot(&self) -> &'a Lot {
        &self.bench.lot
    }

    /// A resistor as a symbol; `None` where it is left out.
    pub(super) fn ohm(&self, name: Designator) -> Option<Expr> {
        Some(Expr::symbol(name.name(), self.stage().circuit.ohms.get(name)?, Unit::Ohm))
    }

    /// A resistor that the topology always has.
    pub(super) fn needed(&self, name: Designator) -> Expr {
        Expr::symbol(name.name(), self.stage().circuit.ohms.get(name).unwrap_or(f64::INFINITY), Unit::Ohm)
    }

    pub(super) fn reference(&self) -> Expr {
        Expr::symbol("v_ref", self.aim.reference_v, Unit::Volt)
    }

    /// Every voltage at the point the working is told at.
    pub(super) fn state(&self) -> Result<Voltages<'a>, NetworkFault> {
        self.state_at(self.common_mode_v, self.differential_v)
    }

    pub(super) fn state_at(&self, common_mode_v: f64, differential_v: f64) -> Result<Voltages<'a>, NetworkFault> {
        let stage = self.stage();
        let ports = &stage.ports;
        let drive = Excitation::emf(ports.positive, common_mode_v + differential_v / 2.0)
            .and_emf(ports.negative, common_mode_v - differential_v / 2.0)
            .and_emf(ports.reference, self.aim.reference_v);
        Ok(Voltages { stage, state: stage.network.at::<f64>(0.0)?.state(&drive) })
    }
}

/// How far a resistor may be off: its grade, or half the match in a network.
pub(super) fn bound(lot: &Lot, name: Designator) -> f64 {
    match lot.networks.iter().find(|network| network.members.contains(&name)) {
        Some(network) => network.own_bound(lot.reach_k),
        None => lot.grades.get(&name).map_or(0.0, |grade| grade.bound(lot.reach_k)),
    }
}

/// The network's own voltages.
pub(super) struct Voltages<'a> {
    stage: &'a Stage,
    state: State<'a, f64>,
}

impl Voltages<'_> {
    fn pin(&self, amp: Amp, of: fn((Node, Node, Node)) -> Node) -> Option<f64> {
        let pins = self.stage.network.pins(self.stage.element(Role::Amp(amp))?)?;
        Some(self.state.voltage(of(pins)))
    }

    pub(super) fn output(&self, amp: Amp) -> Option<f64> {
        self.pin(amp, |(_, _, out)| out)
    }

    pub(super) fn plus(&self, amp: Amp) -> Option<f64> {
        self.pin(amp, |(plus, _, _)| plus)
    }

    pub(super) fn minus(&self, amp: Amp) -> Option<f64> {
        self.pin(amp, |(_, minus, _)| minus)
    }
}
