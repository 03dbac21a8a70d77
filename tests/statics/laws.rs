//! Laws that every topology keeps.
use crate::bench::{case, near};
use crate::random::{Dice, TOPOLOGIES, random};
use evenkeel::corners::{Load, of_resistors, worst_margin};
use evenkeel::designator::{Designator, Topology};
use evenkeel::network::Excitation;
use evenkeel::part::{Grade, Matched, OpAmp};
use evenkeel::predict::{Map, Point, Rectangle, Supplies, impedance, inner_nodes, points, terminals};
use evenkeel::topology::build;

fn each(mut check: impl FnMut(crate::random::Random)) {
    for (topology, word) in TOPOLOGIES {
        let mut dice = Dice(1000 + topology as u64);
        for _ in 0..30 {
            check(random(&mut dice, topology, word));
        }
    }
}

#[test]
fn voltages_superpose() {
    each(|one| {
        let stage = one.case.stage();
        let supplies = Supplies { positive_v: 8.0, negative_v: -5.0 };
        let terminals = terminals(&stage, supplies);
        let points = points(&stage, &terminals, 1.5).unwrap();
        let together = Excitation::emf(stage.ports.positive, 2.25)
            .and_emf(stage.ports.negative, 1.75)
            .and_emf(stage.ports.reference, 1.5);
        let solver = stage.network.at::<f64>(0.0).unwrap();
        let state = solver.state(&together);
        for (terminal, point) in terminals.iter().zip(&points) {
            let volt = state.voltage(terminal.node);
            near(point.map.at((2.0, 0.5)), volt, 1e-10 * (1.0 + volt.abs()));
        }
    });
}

#[test]
fn all_resistances_scaled_leave_voltages_and_scale_impedances() {
    each(|one| {
        let mut scaled = one.case.clone();
        let names: Vec<(Designator, f64)> = scaled.circuit.ohms.present().collect();
        for (name, ohm) in names {
            scaled.circuit.ohms.set(name, Some(3.0 * ohm));
        }
        let around = &mut scaled.circuit.surroundings;
        around.source.resistance_ohm *= 3.0;
        around.source.bias_return_ohm = around.source.bias_return_ohm.map(|ohm| 3.0 * ohm);
        around.reference_resistance_ohm *= 3.0;
        around.filter.iter_mut().for_each(|filter| filter.resistor_ohm *= 3.0);
        for part in scaled.circuit.opamps.values_mut() {
            part.input_resistance_ohm = part.input_resistance_ohm.map(|ohm| 3.0 * ohm);
        }
        let (a, b) = (one.case.headroom(), scaled.headroom());
        near(a.margin_v, b.margin_v, 1e-9 * (1.0 + a.margin_v.abs()));
        near(a.worst_margin_v, b.worst_margin_v, 1e-9 * (1.0 + a.worst_margin_v.abs()));
        let (a, b) = (one.case.impedance(), scaled.impedance());
        for (a, b) in [(a.differential_ohm, b.differential_ohm), (a.common_mode_ohm, b.common_mode_ohm)] {
            assert_eq!(a.is_some(), b.is_some());
            if let (Some(a), Some(b)) = (a, b) {
                near(b / a, 3.0, 1e-6);
            }
        }
    });
}

#[test]
fn source_resistance_is_no_part_of_the_impedance() {
    each(|one| {
        let mut other = one.case.clone();
        other.circuit.surroundings.source.resistance_ohm = 123e3;
        assert_eq!(one.case.impedance(), other.impedance());
        // Left in, it would show.
        let seen = impedance(&build(&other.circuit).unwrap()).unwrap();
        assert!(seen.positive_ohm.is_none_or(|ohm| ohm > 123e3));
    });
}

#[test]
fn window_vertices_go_round_counter_clockwise_from_the_least_common_mode() {
    each(|one| {
        let window = one.case.headroom().window;
        let at = |k: usize| (window[k % window.len()].common_mode_v, window[k % window.len()].differential_v);
        for k in 0..window.len() {
            let ((ax, ay), (bx, by), (cx, cy)) = (at(k), at(k + 1), at(k + 2));
            let turn = (bx - ax) * (cy - by) - (by - ay) * (cx - bx);
            assert!(turn > -1e-9, "{window:?}");
            // a vertex on the line between its neighbours is none
            let side = libm::hypot(cx - ax, cy - ay);
            assert!(window.len() < 4 || turn > 1e-13 * side * (ax.abs() + ay.abs()), "{window:?}");
            assert!(at(0).0 <= ax + 1e-9, "{window:?}");
        }
        assert!(window.is_empty() || window.len() >= 3, "{window:?}");
    });
}

#[test]
fn one_substrate_keeps_the_margin_that_single_parts_lose() {
    // The common mode of a difference stage stands on a ratio: a factor that all share moves nothing.
    let mut dice = Dice(5);
    let mut one = random(&mut dice, TOPOLOGIES[1].0, TOPOLOGIES[1].1);
    let members: Vec<Designator> = one.case.lot.grades.keys().copied().collect();
    let part = one.case.circuit.opamps.values_mut();
    part.for_each(|part| part.input_resistance_ohm = None);
    one.case.circuit.surroundings.reference_resistance_ohm = 0.0;
    for grade in one.case.lot.grades.values_mut() {
        *grade = Grade { tolerance: 0.05, tempco_per_k: 0.0 };
    }
    let alone = one.case.headroom();
    assert!(alone.worst_margin_v < alone.margin_v - 1e-6);
    one.case.lot.networks = vec![Matched { members, match_fraction: 0.0, match_tempco_per_k: 0.0, grade: None }];
    let matched = one.case.headroom();
    near(matched.worst_margin_v, matched.margin_v, 1e-12);
}

#[test]
fn boards_side_by_side_and_single_questions_tell_the_same() {
    each(|one| {
        let (stage, figure) = (one.case.stage(), one.case.headroom());
        let signal = &one.case.question.signal;
        let (common, difference) = (signal.common_mode.unwrap(), signal.differential.unwrap());
        let load = Load {
            signals: Rectangle {
                common_mode_v: (common.low, common.high),
                differential_v: (difference.low, difference.high),
            },
            reference_v: one.case.reference_v,
        };
        let terminals = terminals(&stage, Supplies { positive_v: 8.0, negative_v: -5.0 });
        let nothing_varies = worst_margin(&stage, &[], &terminals, load).unwrap();
        near(nothing_varies.margin_v, figure.margin_v, 1e-9 * (1.0 + figure.margin_v.abs()));
        // Only what is on the drawing varies, and the corner told is where the margin is.
        let quantities = of_resistors(&stage, &stage.quantities(&one.case.lot, 0.0));
        assert_eq!(quantities.len(), one.case.circuit.ohms.present().count());
        let worst = worst_margin(&stage, &quantities, &terminals, load).unwrap();
        let mut there = one.case.clone();
        for (quantity, deviation) in quantities.iter().zip(&worst.at) {
            let name: Designator = quantity.name.parse().unwrap();
            let ohm = there.circuit.ohms.get(name).unwrap();
            there.circuit.ohms.set(name, Some(ohm * (1.0 + deviation)));
        }
        near(there.headroom().margin_v, worst.margin_v, 1e-9 * (1.0 + worst.margin_v.abs()));
    });
}

#[test]
fn a_chips_inner_nodes_carry_half_the_amplified_difference_each() {
    // figures.md, section 14: v_cm ± v_d·G/2.
    let point = |name: &str, common: f64, differential: f64, constant_v: f64| Point {
        name: name.to_owned(),
        map: Map { common, differential, constant_v },
        low_limit_v: -4.0,
        high_limit_v: 4.0,
    };
    let points =
        [point("A1 output", 0.0, 100.0, 2.5), point("A1 + input", 1.0, 0.5, 0.0), point("A1 - input", 1.0, -0.5, 0.0)];
    for (stage_one_gain, half) in [(None, 50.0), (Some(20.0), 10.0)] {
        let inner = inner_nodes(&points, stage_one_gain);
        near(inner[0].map.at((1.5, 0.02)), 1.5 + 0.02 * half, 1e-12);
        near(inner[1].map.at((1.5, 0.02)), 1.5 - 0.02 * half, 1e-12);
        assert_eq!((inner[0].low_limit_v, inner[0].high_limit_v), (-4.0, 4.0));
    }
    assert!(inner_nodes(&points[..2], None).is_empty());
}

#[test]
fn less_than_a_femtoampere_per_volt_is_no_load() {
    let ohms = [("RG", 1e3), ("RF1", 1e4), ("RF2", 1e4), ("R1", 1e4), ("R2", 1e4), ("R3", 1e4), ("R4", 1e4)];
    let with = |ohm: Option<f64>| {
        let part = OpAmp { input_resistance_ohm: ohm, ..OpAmp::default() };
        case(Topology::ThreeOpAmp, &ohms).opamp(&part).impedance()
    };
    let ideal = with(None);
    assert_eq!((ideal.differential_ohm, ideal.common_mode_ohm), (None, None));
    assert_eq!((ideal.positive_ohm, ideal.negative_ohm), (None, None));
    // 0.8 fA/V at one input, twice that at both.
    let told = with(Some(1.25e15));
    assert_eq!((told.positive_ohm, told.negative_ohm, told.differential_ohm), (None, None, None));
    near(told.common_mode_ohm.unwrap() / 0.625e15, 1.0, 1e-9);
    let told = with(Some(1e9));
    near(told.positive_ohm.unwrap() / 1e9, 1.0, 1e-9);
    near(told.differential_ohm.unwrap() / 2e9, 1.0, 1e-9);
    near(told.common_mode_ohm.unwrap() / 0.5e9, 1.0, 1e-9);
}
