//! Laws that every topology keeps.
use crate::bench::near;
use crate::random::{Dice, TOPOLOGIES, random};
use evenkeel::designator::Designator;
use evenkeel::network::Excitation;
use evenkeel::part::{Grade, Matched};
use evenkeel::predict::{Supplies, impedance, points, terminals};
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
