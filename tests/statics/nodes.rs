//! The voltages on the drawing, against the handbook equations of each circuit with ideal op amps
//! (virtual short, Kirchhoff's current law; written out here, from memory).
use crate::bench::{Case, case, near};
use evenkeel::designator::Topology;
use evenkeel::stage::InputFilter;
use evenkeel::study::{NodesFigure, nodes};

fn told(case: &Case) -> NodesFigure {
    nodes::figure(&case.question, &case.stage(), case.reference_v).unwrap().figure.unwrap()
}

#[track_caller]
fn holds(figure: &NodesFigure, expected: &[(&str, f64)]) {
    let names: Vec<&str> = figure.voltages.iter().map(|one| one.node.as_str()).collect();
    assert_eq!(names, expected.iter().map(|(name, _)| *name).collect::<Vec<_>>());
    for (one, (_, v)) in figure.voltages.iter().zip(expected) {
        near(one.v, *v, 1e-12);
    }
}

#[test]
fn three_op_amps_swing_around_the_common_mode() {
    let ohms = [("RG", 200.0), ("RF1", 10e3), ("RF2", 12e3), ("R1", 10e3), ("R2", 20e3), ("R3", 10e3), ("R4", 20e3)];
    let mut case = case(Topology::ThreeOpAmp, &ohms).signals((1.0, 2.0), (-0.03, 0.02));
    case.reference_v = 0.5;
    let figure = told(&case);
    // the end of the range farther from zero, at the middle of the common mode
    assert_eq!((figure.differential_v, figure.common_mode_v), (-0.03, 1.5));
    let (p, n) = (1.485, 1.515);
    let current = (p - n) / 200.0;
    let (a1, a2) = (n - current * 10e3, p + current * 12e3);
    let plus = (a2 * 20e3 + 0.5 * 10e3) / 30e3;
    let output = 0.5 + 2.0 * (a2 - a1);
    holds(
        &figure,
        &[
            ("+ input", p),
            ("- input", n),
            ("A1 output", a1),
            ("A1 - input", n),
            ("A2 output", a2),
            ("A2 - input", p),
            ("A3 + input", plus),
            ("A3 - input", plus),
            ("output", output),
        ],
    );
}

#[test]
fn the_first_of_two_op_amps_carries_the_gain_of_the_common_mode() {
    let ohms = [("RG", 1e3), ("R1", 40e3), ("R2", 10e3), ("R3", 10e3), ("R4", 40e3)];
    let mut case = case(Topology::TwoOpAmp, &ohms).signals((2.0, 2.0), (0.0, 0.1));
    case.reference_v = 1.0;
    let (p, n) = (2.05, 1.95);
    // Kirchhoff at A1's inverting node, then at A2's
    let first = n + 10e3 * ((n - 1.0) / 40e3 + (n - p) / 1e3);
    let output = p + 40e3 * ((p - first) / 10e3 + (p - n) / 1e3);
    near(output, 1.0 + 0.1 * (1.0 + 4.0 + 2.0 * 40.0), 1e-12);
    holds(
        &told(&case),
        &[
            ("+ input", p),
            ("- input", n),
            ("A1 output", first),
            ("A1 - input", n),
            ("A2 - input", p),
            ("output", output),
        ],
    );
}

#[test]
fn a_difference_stage_loads_its_source() {
    let ohms = [("R1", 10e3), ("R2", 30e3), ("R3", 10e3), ("R4", 30e3)];
    let mut case = case(Topology::Difference, &ohms).signals((4.0, 4.0), (0.2, 0.2));
    case.circuit.surroundings.source.resistance_ohm = 2e3;
    let plus = 4.1 * 30.0 / 42.0;
    let (p, n) = (4.1 - 2e3 * (4.1 - plus) / 12e3, 3.9 - 2e3 * (3.9 - plus) / 12e3);
    let output = plus - 30e3 * (3.9 - plus) / 12e3;
    holds(
        &told(&case),
        &[
            ("+ input", p),
            ("- input", n),
            ("+ source", 4.1),
            ("- source", 3.9),
            ("A1 + input", plus),
            ("A1 - input", plus),
            ("output", output),
        ],
    );
}

/// A bias return divides what the source and the filter let through: 2 kΩ, then 3 kΩ, then 95 kΩ to the reference.
#[test]
fn a_filter_begins_where_the_source_ends() {
    let ohms = [("RG", 1e3), ("RF1", 10e3), ("RF2", 10e3), ("R1", 10e3), ("R2", 10e3), ("R3", 10e3), ("R4", 10e3)];
    let mut case = case(Topology::ThreeOpAmp, &ohms).signals((1.0, 1.0), (0.1, 0.1));
    case.circuit.surroundings.source.resistance_ohm = 2e3;
    case.circuit.surroundings.source.bias_return_ohm = Some(95e3);
    case.circuit.surroundings.filter = Some(InputFilter {
        resistor_ohm: 3e3,
        common_capacitor_f: 1e-9,
        differential_capacitor_f: 0.0,
        resistor_tolerance: 0.0,
        capacitor_tolerance: 0.0,
        fault_voltage_v: None,
        fault_current_a: None,
    });
    let figure = told(&case);
    let volt = |node: &str| figure.voltages.iter().find(|one| one.node == node).expect("told").v;
    let names: Vec<&str> = figure.voltages.iter().map(|one| one.node.as_str()).collect();
    assert_eq!(names[..6], ["+ input", "- input", "+ source", "+ line", "- source", "- line"]);
    for (sign, emf) in [("+", 1.05), ("-", 0.95)] {
        near(volt(&format!("{sign} source")), emf, 1e-12);
        near(volt(&format!("{sign} line")), emf * 98.0 / 100.0, 1e-12);
        near(volt(&format!("{sign} input")), emf * 95.0 / 100.0, 1e-12);
    }
}

#[test]
fn followers_have_no_nodes_of_their_own_but_their_outputs() {
    let ohms = [("R1", 10e3), ("R2", 10e3), ("R3", 10e3), ("R4", 10e3)];
    let case = case(Topology::BufferedDifference, &ohms).signals((1.0, 1.0), (0.0, 0.5));
    holds(
        &told(&case),
        &[
            ("+ input", 1.25),
            ("- input", 0.75),
            ("A1 output", 0.75),
            ("A2 output", 1.25),
            ("A3 + input", 0.625),
            ("A3 - input", 0.625),
            ("output", 0.5),
        ],
    );
}

#[test]
fn without_a_stated_signal_there_are_no_voltages() {
    let ohms = [("R1", 10e3), ("R2", 10e3), ("R3", 10e3), ("R4", 10e3)];
    let case = case(Topology::Difference, &ohms);
    let told = nodes::figure(&case.question, &case.stage(), 0.0).unwrap();
    assert_eq!(told.figure, None);
    assert_eq!(told.not_predicted[0].needs, "signal.differential, signal.common_mode");
}
