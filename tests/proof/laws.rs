//! Laws that every linear network obeys, whatever it is for.
use crate::near::{Within, absolute, assert_near, assert_near_complex, relative};
use crate::random::{self, Draw, FULL, MIXED, TOPOLOGIES};
use crate::reference::size;
use evenkeel::designator::Designator;
use evenkeel::network::{Builder, Element, Excitation, GROUND, Node, Scalar, Solver};
use evenkeel::predict;
use evenkeel::stage::{Circuit, Role, Stage};
use evenkeel::topology;
use num_complex::Complex64;

const CIRCUITS: usize = 100;
const ROUNDING: Within = relative(1e-12);

/// Every resistance k times, every capacitance divided by it.
fn scaled(circuit: &Circuit, k: f64) -> Circuit {
    let mut to = circuit.clone();
    for name in Designator::ALL {
        to.ohms.set(name, circuit.ohms.get(name).map(|ohm| ohm * k));
    }
    for amp in to.opamps.values_mut() {
        amp.input_resistance_ohm = amp.input_resistance_ohm.map(|ohm| ohm * k);
        amp.input_capacitance_f = amp.input_capacitance_f.map(|farad| farad / k);
    }
    let around = &mut to.surroundings;
    around.source.resistance_ohm *= k;
    around.source.bias_return_ohm = around.source.bias_return_ohm.map(|ohm| ohm * k);
    around.source.cable_capacitance_f = around.source.cable_capacitance_f.map(|farad| farad / k);
    if let Some(filter) = &mut around.filter {
        filter.resistor_ohm *= k;
        filter.common_capacitor_f /= k;
        filter.differential_capacitor_f /= k;
    }
    around.strays.rg_resistance_ohm *= k;
    around.strays.rg_capacitance_f /= k;
    around.reference_resistance_ohm *= k;
    to
}

#[test]
fn scaling_all_impedances_leaves_gains_alone() {
    for topology in TOPOLOGIES {
        let mut draw = Draw::new(71);
        for _ in 0..CIRCUITS {
            let circuit = random::circuit(&mut draw, topology, MIXED);
            let hz = draw.decades(1.0, 1e6);
            for k in [1024.0, 3.7, 1e-3] {
                let [before, after] = [&circuit, &scaled(&circuit, k)].map(|c| topology::build(c).unwrap());
                let gains = |stage: &Stage| predict::gains::<Complex64>(stage, hz).unwrap();
                let (want, got) = (gains(&before), gains(&after));
                let scale = size(want.differential).max(size(want.common)).max(1.0);
                assert_near_complex(got.differential, want.differential, ROUNDING, topology);
                assert_near_complex(got.common, want.common, absolute(1e-12 * scale), topology);
            }
        }
    }
}

/// Every source of a stage, alone: EMFs, offset voltages, and currents between two nodes.
fn sources(stage: &Stage) -> Vec<Excitation> {
    let ports = &stage.ports;
    let mut all: Vec<Excitation> =
        [ports.positive, ports.negative, ports.reference].map(|source| Excitation::emf(source, 1.0)).into();
    let mut nodes: Vec<Node> = vec![ports.inputs.0, ports.inputs.1, ports.output];
    for &amp in stage.circuit.topology.amps() {
        let element = stage.element(Role::Amp(amp)).unwrap();
        all.push(Excitation::default().and_offset(element, 1.0));
        let (plus, minus, out) = stage.network.pins(element).unwrap();
        nodes.extend([plus, minus, out]);
    }
    for element in stage.network.elements() {
        nodes.extend(stage.network.ends(element).map(|(a, _)| a));
    }
    all.extend(nodes.iter().map(|&node| Excitation::default().and_current(GROUND, node, 1e-6)));
    all.extend(nodes.windows(2).map(|pair| Excitation::default().and_current(pair[0], pair[1], 1e-6)));
    all
}

fn adjoint_agrees<T: Scalar>(stage: &Stage, hz: f64) {
    let solver: Solver<'_, T> = stage.network.at(hz).unwrap();
    let element = stage.element(Role::Amp(stage.circuit.topology.amps()[0])).unwrap();
    let (plus, _, first) = stage.network.pins(element).unwrap();
    for node in [stage.ports.output, first, plus] {
        let adjoint = solver.adjoint(node);
        let all = sources(stage);
        let direct: Vec<Complex64> = all.iter().map(|one| solver.state(one).voltage(node).to_complex()).collect();
        let most = direct.iter().map(|&v| size(v)).fold(1.0, f64::max);
        for (one, direct) in all.iter().zip(direct) {
            // The plain solver's own accuracy, see gains.rs.
            let within = Within { absolute: 1e-12 * most, relative: 1e-10 };
            assert_near_complex(adjoint.effect(one).to_complex(), direct, within, format_args!("{one:?}"));
        }
    }
}

#[test]
fn the_adjoint_tells_what_every_source_does() {
    for topology in TOPOLOGIES {
        let mut draw = Draw::new(72);
        for index in 0..CIRCUITS {
            let circuit = random::circuit(&mut draw, topology, if index % 2 == 0 { MIXED } else { FULL });
            let stage = topology::build(&circuit).unwrap();
            adjoint_agrees::<f64>(&stage, 0.0);
            adjoint_agrees::<Complex64>(&stage, draw.decades(1.0, 1e6));
        }
    }
}

#[test]
fn effects_add_up() {
    for topology in TOPOLOGIES {
        let mut draw = Draw::new(73);
        for _ in 0..CIRCUITS {
            let circuit = random::balanced(&mut draw, topology, MIXED);
            let stage = topology::build(&circuit).unwrap();
            let solver = stage.network.at::<f64>(0.0).unwrap();
            let (p, n, r, os) =
                (draw.between(-9.0, 9.0), draw.between(-9.0, 9.0), draw.between(-9.0, 9.0), draw.between(-1.0, 1.0));
            let amp = stage.element(Role::Amp(circuit.topology.amps()[0])).unwrap();
            let ports = &stage.ports;
            let together = Excitation::emf(ports.positive, p)
                .and_emf(ports.negative, n)
                .and_emf(ports.reference, r)
                .and_offset(amp, os);
            let out = |drive: &Excitation| solver.state(drive).voltage(ports.output);
            let parts = [
                p * out(&Excitation::emf(ports.positive, 1.0)),
                n * out(&Excitation::emf(ports.negative, 1.0)),
                r * out(&stage.reference()),
                os * out(&Excitation::default().and_offset(amp, 1.0)),
            ];
            let size = parts.iter().map(|part| part.abs()).fold(1.0, f64::max);
            assert_near(out(&together), parts.iter().sum(), absolute(1e-11 * size), topology);
            // Difference and common mode are the same sources in another basis.
            let pair = (p - n) * out(&stage.differential()) + (p + n) / 2.0 * out(&stage.common());
            assert_near(pair, parts[0] + parts[1], absolute(1e-11 * size), topology);
        }
    }
}

/// All voltages raised by one volt, the reference too: with ideal op amps and nothing to ground, the
/// output is raised by one volt as well.
#[test]
fn a_circuit_that_does_not_touch_ground_does_not_know_it() {
    for topology in TOPOLOGIES {
        let mut draw = Draw::new(74);
        for _ in 0..CIRCUITS {
            let mut circuit = random::circuit(&mut draw, topology, random::BARE);
            circuit.ohms.set(Designator::R5, None);
            circuit.ohms.set(Designator::R6, None);
            circuit.surroundings.source.resistance_ohm = draw.ohm(10.0, 1e5);
            circuit.surroundings.source.bias_return_ohm = Some(draw.ohm(1e5, 1e7));
            circuit.surroundings.reference_resistance_ohm = draw.ohm(1.0, 1e3);
            let stage = topology::build(&circuit).unwrap();
            let raised = stage.common().and_emf(stage.ports.reference, 1.0);
            let got = stage.network.at::<f64>(0.0).unwrap().state(&raised).voltage(stage.ports.output);
            assert_near(got, 1.0, absolute(1e-10), topology);
        }
    }
}

#[test]
fn low_frequencies_end_at_dc() {
    for topology in TOPOLOGIES {
        let mut draw = Draw::new(75);
        for _ in 0..CIRCUITS {
            let circuit = random::circuit(&mut draw, topology, FULL);
            let stage = topology::build(&circuit).unwrap();
            let want = predict::gains::<f64>(&stage, 0.0).unwrap();
            let got = predict::gains::<Complex64>(&stage, 1e-9).unwrap();
            let scale = want.differential.abs().max(want.common.abs()).max(1.0);
            assert_near(got.differential.re, want.differential, relative(1e-9), topology);
            assert_near(got.common.re, want.common, absolute(1e-9 * scale), topology);
            assert_near(got.common.im, 0.0, absolute(1e-6 * scale), topology);
        }
    }
}

/// A ladder of resistors between nodes at random, all tied to ground.
fn passive(draw: &mut Draw) -> (Builder, Vec<Node>, Vec<Element>) {
    let mut b = Builder::new();
    let nodes: Vec<Node> = (0..6).map(|index| b.node(&format!("n{index}"))).collect();
    let mut resistors: Vec<Element> =
        nodes.iter().map(|&node| b.resistor("to ground", node, GROUND, draw.decades(100.0, 1e6))).collect();
    for _ in 0..8 {
        let (one, other) = (nodes[draw.below(6)], nodes[draw.below(6)]);
        resistors.push(b.resistor("between", one, other, draw.decades(100.0, 1e6)));
    }
    (b, nodes, resistors)
}

#[test]
fn passive_networks_are_reciprocal() {
    let mut draw = Draw::new(76);
    for _ in 0..200 {
        let (b, nodes, _) = passive(&mut draw);
        let network = b.finish().unwrap();
        let solver = network.at::<f64>(0.0).unwrap();
        for &a in &nodes {
            for &b in &nodes {
                let into = |node| solver.state(&Excitation::default().and_current(GROUND, node, 1e-3));
                assert_near(into(a).voltage(b), into(b).voltage(a), relative(1e-11), "transfer resistance");
            }
        }
    }
}

/// What sources deliver is what resistors turn into heat.
#[test]
fn power_balances() {
    let mut draw = Draw::new(77);
    for _ in 0..200 {
        let (mut b, nodes, resistors) = passive(&mut draw);
        let top = b.node("top");
        let one = b.source("E1", top, GROUND);
        let other = b.source("E2", nodes[2], nodes[0]);
        let feed = b.resistor("feed", top, nodes[4], draw.decades(100.0, 1e6));
        let network = b.finish().unwrap();
        let (e1, e2) = (draw.between(-5.0, 5.0), draw.between(-5.0, 5.0));
        let state = network.at::<f64>(0.0).unwrap().state(&Excitation::emf(one, e1).and_emf(other, e2));
        assert_near(state.voltage(nodes[2]) - state.voltage(nodes[0]), e2, ROUNDING, "EMF between two nodes");
        let heat: f64 = resistors
            .iter()
            .chain([&feed])
            .map(|&resistor| {
                let (a, b) = network.ends(resistor).unwrap();
                let volt = state.voltage(a) - state.voltage(b);
                volt * volt / network.ohm(resistor).unwrap()
            })
            .sum();
        assert_near(e1 * state.delivered(one) + e2 * state.delivered(other), heat, relative(1e-11), "power");
    }
}
