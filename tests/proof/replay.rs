//! Recorded eliminations against pivoted ones and against the second solver, anywhere in the box.
use crate::bounds::knobs;
use crate::near::{absolute, assert_near, assert_near_complex, near, relative};
use crate::random::{self, Draw, FULL, MIXED, TOPOLOGIES};
use crate::reference::{Board, Pair, size};
use evenkeel::network::{
    AmplifierValue, Builder, Excitation, GROUND, Instructions, LANES, Lane, Network, Node, Plan, Slot,
};
use evenkeel::stage::{Circuit, Lot, Quantity, Shaker, Stage};
use evenkeel::topology;
use num_complex::Complex64;

const CIRCUITS: usize = 60;

/// Replay against replay's own fall-back and the reference: relative for `A_d`, and for `A_cm`
/// against the greatest of `|A_d|`, `|A_cm|` and 1.
const BOUND: f64 = 1e-11;

struct Block<T> {
    replayed: Vec<(T, T)>,
    pivoted: Vec<(T, T)>,
    fallbacks: u64,
}

fn run<T: Lane>(stage: &Stage, quantities: &[Quantity], hz: f64, points: &[Vec<f64>]) -> Block<T> {
    let shaker = Shaker::new(stage, quantities, hz);
    let drives = [stage.differential(), stage.common()];
    let plan = Plan::<T>::record(&stage.network, hz, shaker.slots(), &drives, stage.ports.output).unwrap();
    let deviation = |slot, point: &Vec<f64>| shaker.deviation::<T>(slot, |quantity| point[quantity]);
    let mut deltas = vec![T::ZERO.splat(); shaker.slots().len()];
    for (slot, delta) in deltas.iter_mut().enumerate() {
        for (lane, point) in points.iter().enumerate() {
            T::set(delta, lane, deviation(slot, point));
        }
    }
    let (mut work, mut out) = (plan.workspace(Instructions::best()), [T::ZERO.splat(); 2]);
    plan.replay(&mut work, &deltas, &mut out);
    let replayed = (0..points.len()).map(|lane| (T::get(&out[0], lane), T::get(&out[1], lane))).collect();
    let pivoted = points
        .iter()
        .map(|point| {
            let one: Vec<T> = (0..deltas.len()).map(|slot| deviation(slot, point)).collect();
            let gains = plan.pivoted(&one);
            (gains[0], gains[1])
        })
        .collect();
    Block { replayed, pivoted, fallbacks: work.fallbacks }
}

/// A block of boards, for the engine and for the reference.
fn boards(
    draw: &mut Draw,
    circuit: &Circuit,
    lot: &Lot,
    quantities: &[Quantity],
    dc: bool,
) -> (Vec<Vec<f64>>, Vec<Board<f64>>) {
    let knobs = knobs(circuit, lot, dc);
    let nominal = Board::<f64>::nominal(circuit);
    let mut points = Vec::new();
    let mut boards = Vec::new();
    for lane in 0..LANES {
        // Every other one at a corner.
        let point: Vec<f64> = quantities
            .iter()
            .map(|q| match (lane % 2, draw.chance(0.5)) {
                (0, true) => q.low,
                (0, false) => q.high,
                _ => draw.between(q.low, q.high),
            })
            .collect();
        // What the engine leaves out has no effect: any value will do.
        let values: Vec<f64> = knobs
            .iter()
            .map(|knob| {
                let place = quantities.iter().position(|q| q.name == knob.name);
                place.map_or_else(|| draw.between(knob.low, knob.high), |place| point[place])
            })
            .collect();
        boards.push(nominal.turned(&knobs, &values));
        points.push(point);
    }
    (points, boards)
}

fn compare(got: (Complex64, Complex64), want: Pair<Complex64>, what: &str) {
    // Far above the bandwidth a gain below 1 is what is left of voltages around 1 V: both bounds count from there.
    let scale = size(want.differential).max(size(want.common)).max(1.0);
    assert_near_complex(got.0, want.differential, absolute(BOUND * scale), format_args!("A_d of {what}"));
    assert_near_complex(got.1, want.common, absolute(BOUND * scale), format_args!("A_cm of {what}"));
}

#[test]
fn the_box_has_the_same_sides() {
    for topology in TOPOLOGIES {
        let mut draw = Draw::new(31);
        for _ in 0..300 {
            let circuit = random::circuit(&mut draw, topology, MIXED);
            let lot = random::lot(&mut draw, &circuit, 0.2);
            let stage = topology::build(&circuit).unwrap();
            for hz in [0.0, 1e3] {
                let knobs = knobs(&circuit, &lot, hz == 0.0);
                let quantities = stage.quantities(&lot, hz);
                for quantity in &quantities {
                    let knob = knobs.iter().find(|knob| knob.name == quantity.name);
                    let knob = knob.unwrap_or_else(|| panic!("{} is not uncertain", quantity.name));
                    assert_near(quantity.low, knob.low, relative(1e-14), &quantity.name);
                    assert_near(quantity.high, knob.high, relative(1e-14), &quantity.name);
                    assert!(quantity.effects.len() == 1 || knob.is_shared(), "{}", quantity.name);
                }
                // What is left out makes no difference.
                let nominal = Board::<f64>::nominal(&circuit);
                let output = |knobs, values: &[f64]| {
                    let board = nominal.turned(knobs, values);
                    if hz == 0.0 { board.gains_dc().differential } else { size(board.gains_at(hz).differential) }
                };
                for knob in knobs.iter().filter(|knob| quantities.iter().all(|q| q.name != knob.name)) {
                    assert_eq!(hz, 0.0, "{topology}: {} is left out at {hz} Hz", knob.name);
                    let one = std::slice::from_ref(knob);
                    let (low, high) = (output(one, &[knob.low]), output(one, &[knob.high]));
                    assert_near(low, high, relative(1e-12), format_args!("{topology}: {} is left out", knob.name));
                }
            }
        }
    }
}

#[test]
fn boards_agree_at_dc() {
    for topology in TOPOLOGIES {
        let mut draw = Draw::new(32);
        for index in 0..CIRCUITS {
            let circuit = random::circuit(&mut draw, topology, if index % 2 == 0 { FULL } else { MIXED });
            let lot = random::lot(&mut draw, &circuit, if index % 3 == 0 { 0.2 } else { 0.01 });
            let stage = topology::build(&circuit).unwrap();
            let quantities = stage.quantities(&lot, 0.0);
            let (points, boards) = boards(&mut draw, &circuit, &lot, &quantities, true);
            let block = run::<f64>(&stage, &quantities, 0.0, &points);
            let what = format!("{topology} {index} at dc");
            for ((replayed, pivoted), board) in block.replayed.iter().zip(&block.pivoted).zip(&boards) {
                let want = board.gains_dc();
                let want = Pair { differential: want.differential.into(), common: want.common.into() };
                compare((replayed.0.into(), replayed.1.into()), want, &what);
                compare((pivoted.0.into(), pivoted.1.into()), want, &what);
            }
        }
    }
}

#[test]
fn boards_agree_at_frequencies() {
    for topology in TOPOLOGIES {
        let mut draw = Draw::new(33);
        for index in 0..CIRCUITS {
            let circuit = random::circuit(&mut draw, topology, if index % 2 == 0 { FULL } else { MIXED });
            let lot = random::lot(&mut draw, &circuit, if index % 3 == 0 { 0.2 } else { 0.01 });
            let stage = topology::build(&circuit).unwrap();
            let hz = draw.decades(1.0, 1e7);
            let quantities = stage.quantities(&lot, hz);
            let (points, boards) = boards(&mut draw, &circuit, &lot, &quantities, false);
            let block = run::<Complex64>(&stage, &quantities, hz, &points);
            let what = format!("{topology} {index} at {hz} Hz");
            for ((replayed, pivoted), board) in block.replayed.iter().zip(&block.pivoted).zip(&boards) {
                let want = board.gains_at(hz);
                compare(*replayed, want, &what);
                compare(*pivoted, want, &what);
            }
        }
    }
}

#[test]
fn ordinary_boards_hardly_ever_fall_back() {
    let (mut fallen, mut all) = (0, 0);
    for topology in TOPOLOGIES {
        let mut draw = Draw::new(34);
        for _ in 0..CIRCUITS {
            let circuit = random::balanced(&mut draw, topology, MIXED);
            let lot = random::lot(&mut draw, &circuit, 0.05);
            let stage = topology::build(&circuit).unwrap();
            let quantities = stage.quantities(&lot, 0.0);
            let (points, _) = boards(&mut draw, &circuit, &lot, &quantities, true);
            fallen += run::<f64>(&stage, &quantities, 0.0, &points).fallbacks;
            all += points.len() as u64;
        }
    }
    assert!(fallen * 1000 <= all, "{fallen} of {all}");
}

/// A node whose conductance a negative one, `-1/R3`, may cancel: E – R1 – n – R2 – m – R4 – ground, and
/// R3 from n to the output of an amplifier of gain 2 that follows n.
fn cancelling() -> (Network, [Node; 2], [evenkeel::network::Element; 4], Excitation) {
    let mut b = Builder::new();
    let [top, n, m, out] = ["top", "n", "m", "out"].map(|name| b.node(name));
    let emf = b.source("E", top, GROUND);
    let r1 = b.resistor("R1", top, n, 1e3);
    let r2 = b.resistor("R2", n, m, 1e3);
    let r3 = b.resistor("R3", n, out, 4e3);
    let r4 = b.resistor("R4", m, GROUND, 1e3);
    let twice = AmplifierValue { inverse_gain: 0.5, ..AmplifierValue::default() };
    b.fixed_gain("twice", (n, GROUND), (out, GROUND), twice);
    (b.finish().unwrap(), [n, m], [r1, r2, r3, r4], Excitation::emf(emf, 1.0))
}

/// By hand: Kirchhoff at n is `v·(y1 + y2 - y3) - m·y2 = E·y1`, at m `m·(y2 + y4) = v·y2`.
fn by_hand([y1, y2, y3, y4]: [f64; 4]) -> [f64; 2] {
    let v = y1 / (y1 + y2 - y3 - y2 * y2 / (y2 + y4));
    [v, v * y2 / (y2 + y4)]
}

#[test]
fn a_pivot_that_collapses_sends_its_board_to_pivoted_elimination() {
    let (network, nodes, resistors, drive) = cancelling();
    let y = [1e-3, 1e-3, 2.5e-4, 1e-3];
    let slots = resistors.map(Slot::Admittance);
    let mut fallbacks = 0;
    for (place, &node) in nodes.iter().enumerate() {
        let plan = Plan::<f64>::record(&network, 0.0, &slots, std::slice::from_ref(&drive), node).unwrap();
        assert_near(plan.nominal()[0], by_hand(y)[place], relative(1e-14), "nominal");
        let mut work = plan.workspace(Instructions::best());
        // Lane k: y3 = y1 + y2 exactly in lane 0, near it in lanes 1 to 3, ordinary in the rest.
        let mut deltas = vec![[0.0; LANES]; 4];
        for (lane, delta) in deltas[2].iter_mut().enumerate() {
            *delta = match lane {
                0 => 1.75e-3,
                1 => 1.75e-3 - 1e-12,
                2 => 1.75e-3 + 1e-9,
                3 => 1.75e-3 - 1e-7,
                _ => lane as f64 * 1e-5,
            };
        }
        let mut out = [[0.0; LANES]];
        plan.replay(&mut work, &deltas, &mut out);
        for (lane, &got) in out[0].iter().enumerate() {
            let mut y = y;
            y[2] += deltas[2][lane];
            assert_near(got, by_hand(y)[place], relative(1e-12), format_args!("node {place}, lane {lane}"));
        }
        fallbacks += work.fallbacks;
    }
    // Where the other node is asked for, this one is eliminated.
    assert_eq!(fallbacks, 4, "lanes 0 to 3");
}

#[test]
fn fallbacks_are_counted_and_right() {
    // A divider of which all but a ten-thousandth of the conductance goes.
    let mut b = Builder::new();
    let [top, tap] = ["top", "tap"].map(|name| b.node(name));
    let emf = b.source("E", top, GROUND);
    let resistors = [b.resistor("R1", top, tap, 1e3), b.resistor("R2", tap, GROUND, 3e3)];
    let network = b.finish().unwrap();
    let slots = resistors.map(Slot::Admittance);
    let plan = Plan::<f64>::record(&network, 0.0, &slots, &[Excitation::emf(emf, 1.0)], tap).unwrap();
    let mut work = plan.workspace(Instructions::best());
    let left = |lane: usize| if lane.is_multiple_of(2) { 1e-4 } else { 0.5 };
    let deltas: [[f64; LANES]; 2] = [
        std::array::from_fn(|lane| (left(lane) - 1.0) / 1e3),
        std::array::from_fn(|lane| (2.0 * left(lane) - 1.0) / 3e3),
    ];
    let mut out = [[0.0; LANES]];
    plan.replay(&mut work, &deltas, &mut out);
    assert_eq!(work.fallbacks, LANES as u64 / 2);
    for got in out[0] {
        // y1 / (y1 + y2) with y2 = 2/3 y1
        assert_near(got, 0.6, relative(1e-11), "divider");
    }
    plan.replay(&mut work, &deltas, &mut out);
    assert_eq!(work.fallbacks, LANES as u64, "they add up");
}

#[test]
fn a_board_without_a_solution_is_not_a_number() {
    let (network, nodes, resistors, drive) = cancelling();
    // y3 = y1 + y2 - y2²/(y2 + y4) = 1.5 mS: the whole determinant is gone.
    let plan = Plan::<f64>::record(&network, 0.0, &[Slot::Admittance(resistors[2])], &[drive], nodes[0]).unwrap();
    let (mut work, mut out) = (plan.workspace(Instructions::best()), [[0.0; LANES]]);
    plan.replay(&mut work, &[[1.25e-3; LANES]], &mut out);
    assert_eq!(work.fallbacks, LANES as u64);
    assert!(out[0].iter().all(|v| v.is_nan() || v.abs() > 1e12), "{:?}", out[0]);
    assert!(!near(out[0][0], by_hand([1e-3, 1e-3, 2.5e-4, 1e-3])[0], relative(0.1)));
}
