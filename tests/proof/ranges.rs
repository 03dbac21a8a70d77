//! The range of a node's voltage over the box, where it has too many corners to try them all.
use crate::bounds::{Knob, knobs};
use crate::random::{self, Draw, FULL, TOPOLOGIES};
use crate::reference::Board;
use evenkeel::corners::node_ranges;
use evenkeel::designator::{Amp, Designator, Ohms, Topology};
use evenkeel::part::OpAmp;
use evenkeel::predict::{Excursion, offset_at};
use evenkeel::stage::{Circuit, Role, Surroundings};
use evenkeel::topology;

const SIGNALS: [(f64, f64); 2] = [(1.0, 0.0), (0.3, 0.1)];

/// The output for each signal at one corner, the reference at 0 V.
fn outputs(nominal: &Board<f64>, knobs: &[Knob], upper: &[bool]) -> [f64; 2] {
    let values: Vec<f64> = knobs.iter().zip(upper).map(|(knob, &upper)| knob.end(upper)).collect();
    let gains = nominal.turned(knobs, &values).gains_at(0.0);
    SIGNALS.map(|(common, difference)| gains.common.re * common + gains.differential.re * difference)
}

/// Turns one knob after the other as long as that helps.
fn climbed(nominal: &Board<f64>, knobs: &[Knob], signal: usize, sign: f64) -> f64 {
    let mut upper = vec![true; knobs.len()];
    let mut best = sign * outputs(nominal, knobs, &upper)[signal];
    loop {
        let before = best;
        for at in 0..knobs.len() {
            upper[at] = !upper[at];
            let now = sign * outputs(nominal, knobs, &upper)[signal];
            if now > best {
                best = now;
            } else {
                upper[at] = !upper[at];
            }
        }
        if best <= before {
            return sign * best;
        }
    }
}

/// Held against the best corner that a climb over the tests' own boards finds; products of deviations are left out of
/// the range, which is why the two differ at all.
#[test]
fn the_range_of_a_node_is_that_of_its_worst_boards() {
    for topology in TOPOLOGIES {
        let mut draw = Draw::new(61);
        let mut tried = 0;
        while tried < 8 {
            let circuit = random::balanced(&mut draw, topology, FULL);
            let mut lot = random::lot(&mut draw, &circuit, 0.001);
            lot.reach_k = 0.0;
            let knobs = knobs(&circuit, &lot, true);
            if knobs.len() <= 12 || circuit.surroundings.source.imbalance_ohm > 100.0 {
                continue;
            }
            tried += 1;
            let stage = topology::build(&circuit).unwrap();
            let quantities = stage.quantities(&lot, 0.0);
            let ranges = node_ranges(&stage, &quantities, stage.ports.output, &SIGNALS, 0.0).unwrap();
            let board = Board::<f64>::nominal(&circuit);
            let nominal = board.gains_at(0.0);
            for (signal, range) in ranges.iter().enumerate() {
                let (common, difference) = SIGNALS[signal];
                let want = nominal.common.re * common + nominal.differential.re * difference;
                assert!((range.nominal_v - want).abs() < 1e-9 * want.abs(), "{topology}: {range:?}, nominal {want}");
                let (low, high) = (climbed(&board, &knobs, signal, -1.0), climbed(&board, &knobs, signal, 1.0));
                let wide = high - low;
                let what = format!("{topology} {}: {range:?}, boards {low} to {high}", knobs.len());
                assert!((range.low_v - low).abs() < 0.005 * wide, "{what}");
                assert!((range.high_v - high).abs() < 0.005 * wide, "{what}");
            }
        }
    }
}

/// `V_os1 (1 + RF/RG) + V_os2 RF/RG` at A1's output, `V_os` at its inverting input; drift alike.
#[test]
fn offsets_move_inner_nodes_too() {
    use Designator::{R1, R2, R3, R4, RF1, RF2, RG};
    let ohms: Ohms =
        [(RG, 500.0), (RF1, 12e3), (RF2, 12e3), (R1, 1e4), (R2, 1e4), (R3, 1e4), (R4, 1e4)].into_iter().collect();
    let amp = |offset_v| OpAmp { offset_v: Some(offset_v), offset_drift_v_per_k: Some(1e-6), ..OpAmp::default() };
    let circuit = Circuit {
        topology: Topology::ThreeOpAmp,
        chip: None,
        ohms,
        opamps: [(Amp::A1, amp(100e-6)), (Amp::A2, amp(200e-6)), (Amp::A3, amp(1e-3))].into(),
        surroundings: Surroundings::default(),
    };
    let stage = topology::build(&circuit).unwrap();
    let (_, minus, output) = stage.network.pins(stage.element(Role::Amp(Amp::A1)).unwrap()).unwrap();
    let at = |node, reach_k| offset_at(&stage, node, Excursion::default(), reach_k).unwrap();
    assert!((at(output, 0.0) - (100e-6 * 25.0 + 200e-6 * 24.0)).abs() < 1e-12);
    assert!((at(minus, 0.0) - 100e-6).abs() < 1e-15);
    assert!((at(output, 20.0) - at(output, 0.0) - 20.0 * 1e-6 * 49.0).abs() < 1e-12);
}
