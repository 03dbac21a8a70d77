//! What every circuit has: two EMFs, the source, the filter, the reference; and how parts are placed.
use super::BuildFault;
use crate::designator::{Amp, Designator};
use crate::network::{AmplifierValue, Builder, Element, GROUND, NetworkFault, Node};
use crate::part::OpAmp;
use crate::stage::{Circuit, Leg, Pin, Ports, Role, Stage};

/// A circuit while it is being wired.
pub(super) struct Front<'c> {
    circuit: &'c Circuit,
    builder: Builder,
    roles: Vec<(Role, Element)>,
    positive_emf: Element,
    negative_emf: Element,
    reference_emf: Element,
    /// Amplifier input of the positive wire.
    pub(super) positive: Node,
    /// Amplifier input of the negative wire.
    pub(super) negative: Node,
    /// Where R4 (two-op-amp: R1) goes.
    pub(super) reference: Node,
}

impl<'c> Front<'c> {
    pub(super) fn new(circuit: &'c Circuit) -> Self {
        let mut builder = Builder::new();
        let ends = ["positive EMF", "negative EMF", "reference"].map(|name| builder.node(name));
        let [positive_emf, negative_emf, reference_emf] = ends.map(|node| builder.source("EMF", node, GROUND));
        let mut front = Self {
            circuit,
            builder,
            roles: vec![
                (Role::Emf(Leg::Positive), positive_emf),
                (Role::Emf(Leg::Negative), negative_emf),
                (Role::Reference, reference_emf),
            ],
            positive_emf,
            negative_emf,
            reference_emf,
            positive: ends[0],
            negative: ends[1],
            reference: ends[2],
        };
        front.positive = front.leg(Leg::Positive, ends[0], ends[2]);
        front.negative = front.leg(Leg::Negative, ends[1], ends[2]);
        if let Some(filter) = &circuit.surroundings.filter {
            let (a, b) = (front.positive, front.negative);
            front.capacitor(Role::DifferentialCapacitor, "CD", a, b, filter.differential_capacitor_f);
        }
        let ohm = circuit.surroundings.reference_resistance_ohm;
        front.reference = front.series(Role::ReferenceResistance, "reference resistance", ends[2], ohm);
        front
    }

    /// Source resistance, cable, filter and bias return of one wire; returns the amplifier's input.
    fn leg(&mut self, leg: Leg, emf: Node, reference: Node) -> Node {
        let around = &self.circuit.surroundings;
        let side = if leg == Leg::Positive { "positive" } else { "negative" };
        let resistance = around.source.resistance_ohm;
        let source = self.series(Role::SourceLeg(leg), &format!("{side} source"), emf, resistance);
        if let Some(farad) = around.source.cable_capacitance_f {
            self.capacitor(Role::Cable(leg), &format!("{side} cable"), source, GROUND, farad);
        }
        let mut input = source;
        if let Some(filter) = &around.filter {
            input = self.series(Role::FilterResistor(leg), &format!("{side} input"), source, filter.resistor_ohm);
            let farad = filter.common_capacitor_f;
            self.capacitor(Role::CommonCapacitor(leg), &format!("{side} CC"), input, GROUND, farad);
        }
        if let Some(ohm) = around.source.bias_return_ohm {
            let element = self.builder.resistor(&format!("{side} bias return"), input, reference, ohm);
            self.roles.push((Role::BiasReturn(leg), element));
        }
        input
    }

    /// A resistor from `from` to a new node, or `from` itself where there are no ohms.
    fn series(&mut self, role: Role, name: &str, from: Node, ohm: f64) -> Node {
        if ohm == 0.0 {
            return from;
        }
        let to = self.builder.node(name);
        let element = self.builder.resistor(name, from, to, ohm);
        self.roles.push((role, element));
        to
    }

    fn capacitor(&mut self, role: Role, name: &str, a: Node, b: Node, farad: f64) {
        if farad != 0.0 {
            let element = self.builder.capacitor(name, a, b, farad);
            self.roles.push((role, element));
        }
    }

    pub(super) fn node(&mut self, name: &str) -> Node {
        self.builder.node(name)
    }

    /// A resistor of the drawing.
    pub(super) fn resistor(&mut self, name: Designator, a: Node, b: Node) -> Result<(), BuildFault> {
        let ohm = self.circuit.ohms.get(name).ok_or(BuildFault::Missing(name))?;
        let element = self.builder.resistor(name.name(), a, b, ohm);
        self.roles.push((Role::Resistor(name), element));
        Ok(())
    }

    /// A resistor of the drawing that may be left out.
    pub(super) fn optional(&mut self, name: Designator, a: Node, b: Node) -> Result<(), BuildFault> {
        if self.circuit.ohms.get(name).is_some() { self.resistor(name, a, b) } else { Ok(()) }
    }

    /// RG with its wiring and strays; nothing where it is open (its strays stay).
    pub(super) fn gain_resistor(&mut self, a: Node, b: Node) -> Result<(), BuildFault> {
        let strays = self.circuit.surroundings.strays;
        if self.circuit.ohms.get(Designator::RG).is_some() {
            let end = self.series(Role::RgWiring, "RG wiring", b, strays.rg_resistance_ohm);
            self.resistor(Designator::RG, a, end)?;
        }
        self.capacitor(Role::RgStray, "stray at RG", a, GROUND, strays.rg_capacitance_f);
        Ok(())
    }

    /// An op amp with the load its inputs are.
    pub(super) fn op_amp(&mut self, amp: Amp, plus: Node, minus: Node, out: Node) {
        let data = self.circuit.opamp(amp);
        let element = self.builder.op_amp(amp.name(), (plus, minus), out, small_signal(&data));
        self.roles.push((Role::Amp(amp), element));
        self.input_load(amp, plus, minus);
    }

    /// Resistance and capacitance of an amplifier's inputs to ground.
    pub(super) fn input_load(&mut self, amp: Amp, plus: Node, minus: Node) {
        let data = self.circuit.opamp(amp);
        for (pin, node, sign) in [(Pin::Plus, plus, '+'), (Pin::Minus, minus, '-')] {
            if let Some(ohm) = data.input_resistance_ohm {
                let element = self.builder.resistor(&format!("{amp} {sign} input resistance"), node, GROUND, ohm);
                self.roles.push((Role::InputResistance(amp, pin), element));
            }
            if let Some(farad) = data.input_capacitance_f {
                let name = format!("{amp} {sign} input capacitance");
                self.capacitor(Role::InputCapacitance(amp, pin), &name, node, GROUND, farad);
            }
        }
    }

    /// The circuit being wired.
    pub(super) const fn circuit(&self) -> &'c Circuit {
        self.circuit
    }

    /// An amplifier of fixed gain that counts its output from `base`.
    pub(super) fn fixed_gain(
        &mut self,
        (role, name): (Role, &str),
        inputs: (Node, Node),
        (out, base): (Node, Node),
        value: AmplifierValue,
    ) {
        let element = self.builder.fixed_gain(name, inputs, (out, base), value);
        self.roles.push((role, element));
    }

    pub(super) fn finish(self, output: Node) -> Result<Stage, NetworkFault> {
        Ok(Stage {
            circuit: self.circuit.clone(),
            network: self.builder.finish()?,
            ports: Ports {
                positive: self.positive_emf,
                negative: self.negative_emf,
                reference: self.reference_emf,
                output,
                inputs: (self.positive, self.negative),
            },
            roles: self.roles,
        })
    }
}

/// Nominal small-signal properties: no common-mode error, the stated gain and speed.
fn small_signal(data: &OpAmp) -> AmplifierValue {
    AmplifierValue {
        inverse_gain: data.open_loop_gain.map_or(0.0, |gain| 1.0 / gain),
        inverse_gbw_s: data.gain_bandwidth_hz.map_or(0.0, |hz| 1.0 / hz),
        common_mode: 0.0,
        inverse_corner_s: data.rejection_corner_hz.map_or(0.0, |hz| 1.0 / hz),
    }
}
