//! Resistors that carry no current at dc, against Ohm's law in the solved network.
use evenkeel::network::{AmplifierValue, Builder, Element, Excitation, GROUND, Network, Node};

struct Drawn {
    network: Network,
    resistors: Vec<(Element, Node, Node)>,
    drive: Excitation,
}

/// A source, an op amp with its feedback, an amplifier of fixed gain that stands on a node of its own, and
/// resistors that end in capacitors and inputs in every way.
fn drawn(order: &[usize]) -> Drawn {
    let mut to = Builder::new();
    let names = [
        "in", "x", "a", "b", "c", "plus", "minus", "out", "d", "e", "foot", "top", "g", "h", "k", "m", "p", "q", "r",
        "s",
    ];
    let nodes: Vec<Node> = names.iter().map(|name| to.node(name)).collect();
    let at = |name: &str| names.iter().position(|one| *one == name).map_or(GROUND, |index| nodes[index]);
    let resistors = [
        ("in", "x"),
        ("x", "ground"),
        ("x", "plus"), // into an input
        ("x", "a"),    // a chain into a capacitor
        ("b", "a"),
        ("b", "c"),
        ("out", "minus"), // feedback
        ("minus", "ground"),
        ("out", "d"), // from an output
        ("in", "e"),  // from a source
        ("foot", "ground"),
        ("foot", "x"),
        ("top", "foot"),
        ("top", "g"),
        ("ground", "h"), // at ground's side
        ("k", "top"),    // two leaves on one twig
        ("k", "m"),
        ("p", "x"), // the only resistors at the ends of a source and of an amplifier
        ("q", "ground"),
        ("r", "ground"),
        ("s", "in"),
    ];
    let source = to.source("V", at("in"), GROUND);
    to.op_amp("A", (at("plus"), at("minus")), at("out"), AmplifierValue::default());
    let gain = AmplifierValue { inverse_gain: 0.5, ..AmplifierValue::default() };
    to.fixed_gain("E", (at("x"), at("out")), (at("top"), at("foot")), gain);
    to.source("W", at("p"), at("q"));
    to.fixed_gain("F", (at("x"), at("out")), (at("s"), at("r")), gain);
    for name in ["c", "d", "e", "g", "h", "m"] {
        to.capacitor(name, at(name), at("out"), 1e-9);
    }
    let resistors = order
        .iter()
        .map(|&index| {
            let (a, b) = (at(resistors[index].0), at(resistors[index].1));
            (to.resistor(&format!("R{index}"), a, b, 1e3 * (1.0 + 0.37 * index as f64)), a, b)
        })
        .collect();
    Drawn { network: to.finish().unwrap(), resistors, drive: Excitation::emf(source, 1.0) }
}

/// In whatever order they were drawn: those are named that have no voltage across, and no others.
#[test]
fn those_without_a_voltage_across_are_idle() {
    let forward: Vec<usize> = (0..21).collect();
    let (backward, mixed) = (forward.iter().rev().copied().collect(), forward.iter().map(|k| k * 5 % 21).collect());
    for order in [forward, backward, mixed] {
        let Drawn { network, resistors, drive } = drawn(&order);
        let state = network.at::<f64>(0.0).unwrap().state(&drive);
        let still = |&&(_, a, b): &&(Element, Node, Node)| (state.voltage(a) - state.voltage(b)).abs() < 1e-12;
        let mut idle = network.idle_at_dc();
        idle.sort();
        let mut expected: Vec<Element> = resistors.iter().filter(still).map(|&(element, ..)| element).collect();
        expected.sort();
        assert_eq!(expected.len(), 10);
        assert_eq!(idle, expected);
    }
}
