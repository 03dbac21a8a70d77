use super::NetworkFault;
use super::stamps::Layout;
use num_complex::Complex64;

/// A node; [`GROUND`] is where voltages are counted from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Node(pub(super) usize);

/// The node whose voltage is 0.
pub const GROUND: Node = Node(0);

/// A part of the network.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Element(pub(super) usize);

/// An amplifier's small-signal properties:
/// `(v₊ − v₋) + c·(v₊ + v₋)/2 + v_os − a·(v_out − v_base) = 0`
/// with `a = inverse_gain + j·f·inverse_gbw` and `c = common_mode·(1 + j·f/corner)`.
///
/// All zero is the ideal op amp. Where `|c|` would exceed 0.1 it is scaled to 0.1 with its phase kept.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct AmplifierValue {
    /// 1/A at dc, V/V; 0 or more.
    pub inverse_gain: f64,
    /// 1/GBW, s; 0 or more.
    pub inverse_gbw_s: f64,
    /// Common-mode input error at dc, signed, V/V.
    pub common_mode: f64,
    /// 1/corner of the common-mode error, s; 0 or more.
    pub inverse_corner_s: f64,
}

/// Where the common-mode error of an op amp stops growing.
pub(super) const GREATEST_COMMON_MODE: f64 = 0.1;

impl AmplifierValue {
    pub(super) fn a(&self, hz: f64) -> Complex64 {
        Complex64::new(self.inverse_gain, hz * self.inverse_gbw_s)
    }

    /// The common-mode error at a frequency for a dc value of one: `1 + j·f/corner`, limited.
    #[must_use]
    pub fn common_mode_at(&self, hz: f64) -> Complex64 {
        let c = Complex64::new(self.common_mode, self.common_mode * hz * self.inverse_corner_s);
        let size = libm::hypot(c.re, c.im);
        if size > GREATEST_COMMON_MODE { c * (GREATEST_COMMON_MODE / size) } else { c }
    }

    /// True where the limit of 0.1 is in force.
    #[must_use]
    pub fn common_mode_is_limited(&self, hz: f64) -> bool {
        libm::hypot(self.common_mode, self.common_mode * hz * self.inverse_corner_s) > GREATEST_COMMON_MODE
    }
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Kind {
    Resistor { a: Node, b: Node, ohm: f64 },
    Capacitor { a: Node, b: Node, farad: f64 },
    Source { plus: Node, minus: Node },
    Amplifier { plus: Node, minus: Node, out: Node, base: Node, value: AmplifierValue, needs_feedback: bool },
}

#[derive(Clone, Debug, PartialEq)]
pub(super) struct Item {
    pub(super) name: String,
    pub(super) kind: Kind,
}

/// Puts a network together.
#[derive(Clone, Debug, Default)]
pub struct Builder {
    nodes: Vec<String>,
    items: Vec<Item>,
}

impl Builder {
    /// Nothing but ground.
    #[must_use]
    pub fn new() -> Self {
        Self { nodes: vec!["ground".to_owned()], items: Vec::new() }
    }

    /// A new node.
    pub fn node(&mut self, name: &str) -> Node {
        self.nodes.push(name.to_owned());
        Node(self.nodes.len() - 1)
    }

    fn push(&mut self, name: &str, kind: Kind) -> Element {
        self.items.push(Item { name: name.to_owned(), kind });
        Element(self.items.len() - 1)
    }

    /// A resistor of `ohm > 0`.
    pub fn resistor(&mut self, name: &str, a: Node, b: Node, ohm: f64) -> Element {
        self.push(name, Kind::Resistor { a, b, ohm })
    }

    /// A capacitor of `farad >= 0`; open at dc.
    pub fn capacitor(&mut self, name: &str, a: Node, b: Node, farad: f64) -> Element {
        self.push(name, Kind::Capacitor { a, b, farad })
    }

    /// An ideal voltage source; its EMF comes with the [`super::Excitation`].
    pub fn source(&mut self, name: &str, plus: Node, minus: Node) -> Element {
        self.push(name, Kind::Source { plus, minus })
    }

    /// An op amp: output against ground, and feedback is required.
    pub fn op_amp(&mut self, name: &str, (plus, minus): (Node, Node), out: Node, value: AmplifierValue) -> Element {
        self.push(name, Kind::Amplifier { plus, minus, out, base: GROUND, value, needs_feedback: true })
    }

    /// An amplifier of fixed gain `1/value.inverse_gain` whose output counts from `base`; needs no feedback.
    pub fn fixed_gain(
        &mut self,
        name: &str,
        (plus, minus): (Node, Node),
        (out, base): (Node, Node),
        value: AmplifierValue,
    ) -> Element {
        self.push(name, Kind::Amplifier { plus, minus, out, base, value, needs_feedback: false })
    }

    /// The network, if it can have an answer.
    ///
    /// # Errors
    /// A value outside its domain, a floating node, a loop of ideal sources, an op amp without feedback.
    pub fn finish(self) -> Result<Network, NetworkFault> {
        for item in &self.items {
            item.check_value()?;
        }
        super::check::wiring(&self.nodes, &self.items)?;
        let layout = Layout::new(self.nodes.len(), &self.items);
        Ok(Network { nodes: self.nodes, items: self.items, layout })
    }
}

impl Item {
    fn check_value(&self) -> Result<(), NetworkFault> {
        let fault = |value: f64, needs| Err(NetworkFault::Value { element: self.name.clone(), value, needs });
        match self.kind {
            Kind::Resistor { ohm, .. } if !(ohm > 0.0 && ohm.is_finite() && (1.0 / ohm).is_finite()) => {
                fault(ohm, "a resistance is finite and above 0 Ω")
            }
            Kind::Capacitor { farad, .. } if !(farad >= 0.0 && farad.is_finite()) => {
                fault(farad, "a capacitance is finite and 0 F or more")
            }
            Kind::Amplifier { value: v, .. } => {
                for one in [v.inverse_gain, v.inverse_gbw_s, v.inverse_corner_s] {
                    if !(one >= 0.0 && one.is_finite()) {
                        return fault(one, "1/A, 1/GBW and 1/corner are finite and 0 or more");
                    }
                }
                if v.common_mode.abs() <= 1.0 {
                    Ok(())
                } else {
                    fault(v.common_mode, "a common-mode error is at most 1 V/V")
                }
            }
            _ => Ok(()),
        }
    }
}

/// Wiring and values of a linear network.
#[derive(Clone, Debug, PartialEq)]
pub struct Network {
    pub(super) nodes: Vec<String>,
    pub(super) items: Vec<Item>,
    pub(super) layout: Layout,
}

impl Network {
    /// Name of a node.
    #[must_use]
    pub fn node_name(&self, node: Node) -> &str {
        &self.nodes[node.0]
    }

    /// Name of an element.
    #[must_use]
    pub fn name(&self, element: Element) -> &str {
        &self.items[element.0].name
    }

    /// Resistance of a resistor, Ω.
    #[must_use]
    pub fn ohm(&self, element: Element) -> Option<f64> {
        match self.items[element.0].kind {
            Kind::Resistor { ohm, .. } => Some(ohm),
            _ => None,
        }
    }

    /// Capacitance of a capacitor, F.
    #[must_use]
    pub fn farad(&self, element: Element) -> Option<f64> {
        match self.items[element.0].kind {
            Kind::Capacitor { farad, .. } => Some(farad),
            _ => None,
        }
    }

    /// The two ends of a resistor or capacitor, plus and minus of a source.
    #[must_use]
    pub fn ends(&self, element: Element) -> Option<(Node, Node)> {
        match self.items[element.0].kind {
            Kind::Resistor { a, b, .. } | Kind::Capacitor { a, b, .. } => Some((a, b)),
            Kind::Source { plus, minus } => Some((plus, minus)),
            Kind::Amplifier { .. } => None,
        }
    }

    /// Properties of an amplifier.
    #[must_use]
    pub fn amplifier(&self, element: Element) -> Option<AmplifierValue> {
        match self.items[element.0].kind {
            Kind::Amplifier { value, .. } => Some(value),
            _ => None,
        }
    }

    /// Non-inverting input, inverting input and output of an amplifier.
    #[must_use]
    pub fn pins(&self, element: Element) -> Option<(Node, Node, Node)> {
        match self.items[element.0].kind {
            Kind::Amplifier { plus, minus, out, .. } => Some((plus, minus, out)),
            _ => None,
        }
    }

    /// The node an amplifier's output counts from.
    #[must_use]
    pub fn base(&self, element: Element) -> Option<Node> {
        match self.items[element.0].kind {
            Kind::Amplifier { base, .. } => Some(base),
            _ => None,
        }
    }

    /// The same network with one capacitor more; elements and nodes keep their handles.
    ///
    /// # Errors
    /// [`NetworkFault::Value`] when the capacitance is negative or not finite.
    pub fn with_capacitor(&self, name: &str, a: Node, b: Node, farad: f64) -> Result<Self, NetworkFault> {
        let mut builder = Builder { nodes: self.nodes.clone(), items: self.items.clone() };
        builder.capacitor(name, a, b, farad);
        builder.finish()
    }

    /// Gives a resistor another value.
    ///
    /// # Errors
    /// [`NetworkFault::Value`] when it is not above zero; the network stays as it was.
    pub fn set_ohm(&mut self, element: Element, value: f64) -> Result<(), NetworkFault> {
        let mut item = self.items[element.0].clone();
        if let Kind::Resistor { ohm, .. } = &mut item.kind {
            *ohm = value;
        }
        self.replace(element, item)
    }

    /// Gives an amplifier other properties.
    ///
    /// # Errors
    /// [`NetworkFault::Value`] when one is outside its domain; the network stays as it was.
    pub fn set_amplifier(&mut self, element: Element, to: AmplifierValue) -> Result<(), NetworkFault> {
        let mut item = self.items[element.0].clone();
        if let Kind::Amplifier { value, .. } = &mut item.kind {
            *value = to;
        }
        self.replace(element, item)
    }

    fn replace(&mut self, element: Element, item: Item) -> Result<(), NetworkFault> {
        item.check_value()?;
        self.items[element.0] = item;
        Ok(())
    }

    /// All elements.
    pub fn elements(&self) -> impl Iterator<Item = Element> + '_ {
        (0..self.items.len()).map(Element)
    }

    /// Resistors that carry no current at dc, whatever the values: in series with nothing but
    /// capacitors and amplifier inputs. Their deviations have no effect there.
    #[must_use]
    pub fn idle_at_dc(&self) -> Vec<Element> {
        super::check::idle_at_dc(self.nodes.len(), &self.items)
    }
}
