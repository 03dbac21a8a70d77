//! Networks without an answer: each gets an error that names what is wrong, and none a panic.
use crate::field::{Field, Row, rounded_fraction};
use crate::near::{absolute, near};
use crate::random::{self, BARE, Draw};
use evenkeel::designator::{Designator, Topology};
use evenkeel::network::{
    AmplifierValue, Builder, Element, Excitation, GROUND, Instructions, LANES, Network, NetworkFault, Node, Plan, Slot,
};
use evenkeel::topology::{self, BuildFault};
use num_complex::Complex64;
use num_rational::BigRational;
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

const IDEAL: AmplifierValue =
    AmplifierValue { inverse_gain: 0.0, inverse_gbw_s: 0.0, common_mode: 0.0, inverse_corner_s: 0.0 };

fn fault(build: impl FnOnce(&mut Builder)) -> NetworkFault {
    let mut b = Builder::new();
    build(&mut b);
    b.finish().unwrap_err()
}

#[test]
fn a_floating_node_is_named() {
    let got = fault(|b| {
        let [top, lost, other] = ["top", "lost", "other"].map(|name| b.node(name));
        b.source("E", top, GROUND);
        b.resistor("R1", lost, other, 1e3);
    });
    assert_eq!(got, NetworkFault::FloatingNode { node: "lost".to_owned() });
    // A capacitor holds nothing at dc, an amplifier's input neither.
    let got = fault(|b| {
        let [top, tap, out] = ["top", "tap", "out"].map(|name| b.node(name));
        b.source("E", top, GROUND);
        b.capacitor("C1", top, tap, 1e-9);
        b.op_amp("A1", (tap, out), out, IDEAL);
    });
    assert!(got.to_string().contains("tap"), "{got}");
}

#[test]
fn a_loop_of_sources_is_named() {
    let named = |element: &str| NetworkFault::SourceLoop { element: element.to_owned() };
    assert_eq!(
        fault(|b| {
            let top = b.node("top");
            b.source("E1", top, GROUND);
            b.source("E2", GROUND, top);
        }),
        named("E2")
    );
    assert_eq!(
        fault(|b| {
            let top = b.node("top");
            b.resistor("R1", top, GROUND, 1.0);
            b.source("E1", top, top);
        }),
        named("E1")
    );
    assert_eq!(
        fault(|b| {
            let [a, c] = ["a", "c"].map(|name| b.node(name));
            b.source("E1", a, GROUND);
            b.source("E2", c, a);
            b.op_amp("A1", (a, c), c, IDEAL);
        }),
        named("A1")
    );
    assert_eq!(
        fault(|b| {
            let [a, out] = ["a", "out"].map(|name| b.node(name));
            b.source("E1", a, GROUND);
            b.op_amp("A1", (a, out), out, IDEAL);
            b.op_amp("A2", (a, out), out, IDEAL);
        }),
        named("A2")
    );
    assert_eq!(fault(|b| _ = b.source("E1", GROUND, GROUND)), named("E1"));
}

#[test]
fn an_op_amp_without_feedback_is_named() {
    let got = fault(|b| {
        let [top, plus, minus, out] = ["top", "plus", "minus", "out"].map(|name| b.node(name));
        b.source("E", top, GROUND);
        b.resistor("R1", top, plus, 1e3);
        b.resistor("R2", minus, GROUND, 1e3);
        b.resistor("R3", out, GROUND, 1e3);
        b.op_amp("A7", (plus, minus), out, IDEAL);
    });
    assert_eq!(got, NetworkFault::NoFeedback { element: "A7".to_owned() });
    // What ends at a held node is no feedback, whichever end of its source is grounded.
    for turned in [false, true] {
        let got = fault(|b| {
            let [top, out] = ["top", "out"].map(|name| b.node(name));
            let (plus, minus) = if turned { (GROUND, top) } else { (top, GROUND) };
            b.source("E", plus, minus);
            b.resistor("R1", out, top, 1e3);
            b.op_amp("A1", (GROUND, top), out, IDEAL);
        });
        assert_eq!(got, NetworkFault::NoFeedback { element: "A1".to_owned() });
    }
    // A source in the loop passes it on: the input stays at 0 V and the output is the EMF away.
    for turned in [false, true] {
        let mut b = Builder::new();
        let [input, out] = ["input", "out"].map(|name| b.node(name));
        let (plus, minus) = if turned { (input, out) } else { (out, input) };
        let source = b.source("E", plus, minus);
        b.op_amp("A1", (GROUND, input), out, IDEAL);
        let network = b.finish().unwrap();
        let state = network.at::<f64>(0.0).unwrap().state(&Excitation::emf(source, 2.0));
        assert_eq!((state.voltage(input), state.voltage(out)), (0.0, if turned { -2.0 } else { 2.0 }));
    }
}

#[test]
fn values_out_of_domain_are_named() {
    let named = |got: NetworkFault, name: &str| match got {
        NetworkFault::Value { ref element, .. } => assert_eq!(element, name, "{got}"),
        other => panic!("{other}"),
    };
    for ohm in [0.0, -0.0, -1.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e-320] {
        named(
            fault(|b| {
                let n = b.node("n");
                b.resistor("Rx", n, GROUND, ohm);
            }),
            "Rx",
        );
    }
    for farad in [-1e-12, f64::NAN, f64::INFINITY] {
        named(
            fault(|b| {
                let n = b.node("n");
                b.resistor("R", n, GROUND, 1.0);
                b.capacitor("Cx", n, GROUND, farad);
            }),
            "Cx",
        );
    }
    let wrong = [
        AmplifierValue { inverse_gain: -1e-9, ..IDEAL },
        AmplifierValue { inverse_gain: f64::NAN, ..IDEAL },
        AmplifierValue { inverse_gbw_s: -1.0, ..IDEAL },
        AmplifierValue { inverse_gbw_s: f64::INFINITY, ..IDEAL },
        AmplifierValue { inverse_corner_s: f64::NAN, ..IDEAL },
        AmplifierValue { common_mode: 1.5, ..IDEAL },
        AmplifierValue { common_mode: f64::NAN, ..IDEAL },
    ];
    for value in wrong {
        named(
            fault(|b| {
                let out = b.node("out");
                b.op_amp("Ax", (GROUND, out), out, value);
            }),
            "Ax",
        );
    }
}

#[test]
fn a_refused_value_leaves_the_network_alone() {
    let circuit = random::balanced(&mut Draw::new(61), Topology::Difference, BARE);
    let mut stage = topology::build(&circuit).unwrap();
    let before = stage.network.clone();
    for element in before.elements() {
        if before.ohm(element).is_some() {
            stage.network.set_ohm(element, -1.0).unwrap_err();
        } else if before.amplifier(element).is_some() {
            let value = AmplifierValue { inverse_gain: -1.0, ..IDEAL };
            stage.network.set_amplifier(element, value).unwrap_err();
        }
    }
    assert_eq!(stage.network, before);
}

#[test]
fn tied_inputs_decide_nothing() {
    let mut b = Builder::new();
    let [tied, out] = ["tied", "out"].map(|name| b.node(name));
    b.resistor("R1", tied, out, 1e3);
    b.resistor("R2", tied, GROUND, 1e3);
    b.op_amp("A1", (tied, tied), out, IDEAL);
    let network = b.finish().unwrap();
    // Any multiple of one state is a solution, in which none of the three is 0.
    let free = ["the voltage of tied", "the voltage of out", "the current of A1"];
    let named = |got| matches!(got, NetworkFault::Singular { unknown } if free.contains(&unknown.as_str()));
    assert!(named(network.at::<f64>(0.0).unwrap_err()));
    assert!(named(Plan::<f64>::record(&network, 0.0, &[], &[], out).unwrap_err()));
}

#[test]
fn circuits_without_a_value_say_which() {
    let mut draw = Draw::new(62);
    for topology in random::TOPOLOGIES {
        for &name in topology.resistors().iter().filter(|&&name| name != Designator::RG) {
            let mut circuit = random::balanced(&mut draw, topology, BARE);
            circuit.ohms.set(name, None);
            assert_eq!(topology::build(&circuit).unwrap_err(), BuildFault::Missing(name));
            circuit.ohms.set(name, Some(-5.0));
            let got = topology::build(&circuit).unwrap_err();
            assert!(got.to_string().starts_with(name.name()), "{got}");
        }
    }
}

/// An element of a wiring at random.
#[derive(Clone, Copy, Debug)]
struct Draft {
    kind: usize,
    pins: [usize; 3],
    value: usize,
}

/// Real op amps and ideal ones, ordinary values that happen to balance, and far ones.
const OHMS: [f64; 6] = [1e3, 1e3, 3.3e3, 1e4, 1e-3, 1e12];
const GAINS: [f64; 6] = [0.0, 0.0, 1e-5, 0.5, 1e-9, 1.0];

fn wire(nodes: usize, drafts: &[Draft]) -> (Builder, Vec<Node>, Vec<Element>) {
    let mut b = Builder::new();
    let mut all = vec![GROUND];
    all.extend((0..nodes).map(|index| b.node(&format!("n{index}"))));
    let elements = drafts
        .iter()
        .enumerate()
        .map(|(index, draft)| {
            let [x, y, z] = draft.pins.map(|pin| all[pin % all.len()]);
            let value = AmplifierValue { inverse_gain: GAINS[draft.value], ..IDEAL };
            let name = format!("X{index}");
            match draft.kind {
                0 => b.source(&name, x, y),
                1 => b.op_amp(&name, (x, y), z, value),
                2 => b.capacitor(&name, x, y, 1e-9),
                _ => b.resistor(&name, x, y, OHMS[draft.value]),
            }
        })
        .collect();
    (b, all, elements)
}

/// The same wiring in fractions: node voltages and branch currents for 1 V at every source.
fn exact(nodes: usize, drafts: &[Draft]) -> Option<Vec<f64>> {
    let of = BigRational::of;
    let branches: Vec<&Draft> = drafts.iter().filter(|draft| draft.kind < 2).collect();
    let size = nodes + branches.len();
    let mut rows: Vec<Row<BigRational>> = vec![Vec::new(); size];
    let mut side = vec![of(0.0); size];
    let place = |pin: usize| (pin % (nodes + 1)).checked_sub(1);
    let mut put = |row: Option<usize>, column: Option<usize>, value: BigRational| {
        if let (Some(row), Some(column)) = (row, column) {
            rows[row].push((column, value));
        }
    };
    for draft in drafts.iter().filter(|draft| draft.kind > 2) {
        let [a, b, _] = draft.pins.map(place);
        let y = of(OHMS[draft.value]).recip();
        for (row, column, value) in [(a, a, y.clone()), (b, b, y.clone()), (a, b, -y.clone()), (b, a, -y)] {
            put(row, column, value);
        }
    }
    for (index, draft) in branches.into_iter().enumerate() {
        let own = Some(nodes + index);
        let [x, y, z] = draft.pins.map(place);
        if draft.kind == 0 {
            for (node, sign) in [(x, 1.0), (y, -1.0)] {
                put(node, own, of(sign));
                put(own, node, of(sign));
            }
            side[nodes + index] = of(1.0);
        } else {
            put(z, own, of(1.0));
            put(own, x, of(1.0));
            put(own, y, of(-1.0));
            put(own, z, -of(GAINS[draft.value]));
        }
    }
    let all = BigRational::solve(&rows, &[side])?;
    Some(all[0].iter().map(rounded_fraction).collect())
}

fn check(nodes: usize, drafts: &[Draft], seen: &mut Seen) {
    let (builder, all, elements) = wire(nodes, drafts);
    let network = match builder.finish() {
        Ok(network) => network,
        Err(fault) => {
            assert!(!fault.to_string().is_empty());
            seen.refused += 1;
            return;
        }
    };
    solve_all(&network, &all, &elements);
    let drive = drafts
        .iter()
        .zip(&elements)
        .filter(|(draft, _)| draft.kind == 0)
        .fold(Excitation::default(), |drive, (_, &source)| drive.and_emf(source, 1.0));
    match (network.at::<f64>(0.0), exact(nodes, drafts)) {
        (Ok(solver), Some(want)) => {
            seen.solved += 1;
            let state = solver.state(&drive);
            let most = want.iter().fold(1.0_f64, |most, x| most.max(x.abs()));
            for (&node, &want) in all[1..].iter().zip(&want) {
                let got = state.voltage(node);
                // Resistances of 1e-3 and 1e12 side by side may cost every digit of what they decide.
                if !near(got, want, absolute(1e-6 * most)) {
                    seen.inexact += 1;
                    break;
                }
            }
        }
        (Err(NetworkFault::Singular { unknown }), None) => {
            assert!(!unknown.is_empty());
            seen.singular += 1;
        }
        (Ok(_), None) => seen.unnoticed += 1,
        (Err(_), Some(_)) => seen.denied += 1,
        (Err(other), None) => panic!("{other}"),
    }
}

/// Nothing here may panic, whatever comes out.
fn solve_all(network: &Network, nodes: &[Node], elements: &[Element]) {
    let slots: Vec<Slot> = elements
        .iter()
        .filter(|&&one| network.ohm(one).is_some())
        .map(|&one| Slot::Admittance(one))
        .chain(elements.iter().filter(|&&one| network.amplifier(one).is_some()).map(|&one| Slot::InverseGain(one)))
        .collect();
    let drive = Excitation::default().and_current(GROUND, nodes[nodes.len() - 1], 1e-3);
    let _ = network.idle_at_dc();
    for &node in nodes {
        if let Ok(plan) = Plan::<f64>::record(network, 0.0, &slots, std::slice::from_ref(&drive), node) {
            let deltas: Vec<[f64; LANES]> =
                (0..slots.len()).map(|slot| std::array::from_fn(|lane| (slot + lane) as f64 * 1e-4)).collect();
            let (mut work, mut out) = (plan.workspace(Instructions::best()), [[0.0; LANES]]);
            plan.replay(&mut work, &deltas, &mut out);
        }
        if let Ok(solver) = network.at::<Complex64>(1e3) {
            let _ = solver.adjoint(node).effect(&drive);
        }
    }
}

#[derive(Clone, Copy, Debug, Default)]
struct Seen {
    refused: usize,
    solved: usize,
    inexact: usize,
    singular: usize,
    unnoticed: usize,
    denied: usize,
}

#[test]
fn random_wirings_are_solved_or_refused() {
    let draft = (0_usize..7, prop::array::uniform3(0_usize..6), 0_usize..6).prop_map(|(kind, pins, value)| Draft {
        kind,
        pins,
        value,
    });
    let wirings = (1_usize..5, prop::collection::vec(draft, 1..10));
    let config = Config { cases: 30_000, failure_persistence: None, ..Config::default() };
    let mut runner = TestRunner::new_with_rng(config, TestRng::deterministic_rng(RngAlgorithm::ChaCha));
    let seen = std::cell::Cell::new(Seen::default());
    runner
        .run(&wirings, |(nodes, drafts)| {
            let mut one = seen.get();
            check(nodes, &drafts, &mut one);
            seen.set(one);
            Ok(())
        })
        .unwrap();
    let seen = seen.get();
    assert!(seen.refused > 100 && seen.solved > 100 && seen.singular > 100, "{seen:?}");
    // Values fifteen decades apart: rounding hides one in a hundred wirings that have no solution, and
    // costs one in a hundred its digits. None that has a solution is turned away.
    assert_eq!(seen.denied, 0, "{seen:?}");
    assert!(seen.unnoticed * 100 <= seen.singular, "{seen:?}");
    assert!(seen.inexact * 100 <= seen.solved, "{seen:?}");
}
