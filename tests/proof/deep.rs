//! Rejections beyond 140 dB, near perfect balance, against fractions that are never rounded.
use crate::bounds::knobs;
use crate::field::{Field, rounded_fraction};
use crate::near::{assert_near, assert_near_complex, db, relative};
use crate::random::{self, BARE, Draw, FULL, TOPOLOGIES};
use crate::reference::{Board, size};
use evenkeel::designator::Designator;
use evenkeel::network::{Instructions, LANES, Lane, Plan};
use evenkeel::part::Grade;
use evenkeel::predict;
use evenkeel::stage::{Circuit, Lot, Shaker, Stage};
use evenkeel::topology;
use num_complex::Complex64;
use num_rational::BigRational;

/// `A_d` and `A_cm` of boards by replay, a value for each quantity of the lot on each board.
pub(crate) fn replayed<T: Lane>(stage: &Stage, lot: &Lot, hz: f64, boards: &[Vec<f64>]) -> Vec<(T, T)> {
    let quantities = stage.quantities(lot, hz);
    let shaker = Shaker::new(stage, &quantities, hz);
    let drives = [stage.differential(), stage.common()];
    let plan = Plan::<T>::record(&stage.network, hz, shaker.slots(), &drives, stage.ports.output).unwrap();
    let mut work = plan.workspace(Instructions::best());
    let mut gains = Vec::new();
    for block in boards.chunks(LANES) {
        let mut deltas = vec![T::ZERO.splat(); shaker.slots().len()];
        for (slot, delta) in deltas.iter_mut().enumerate() {
            for (lane, board) in block.iter().enumerate() {
                T::set(delta, lane, shaker.deviation(slot, |quantity| board[quantity]));
            }
        }
        let mut out = [T::ZERO.splat(); 2];
        plan.replay(&mut work, &deltas, &mut out);
        gains.extend((0..block.len()).map(|lane| (T::get(&out[0], lane), T::get(&out[1], lane))));
    }
    assert_eq!(work.fallbacks, 0);
    gains
}

fn all_of(circuit: &Circuit, tolerance: f64) -> Lot {
    let grade = Grade { tolerance, tempco_per_k: 0.0 };
    Lot { grades: circuit.ohms.present().map(|(name, _)| (name, grade)).collect(), ..Lot::default() }
}

#[test]
fn nominal_common_mode_gain_is_exact_however_near_the_balance() {
    let mut deepest = 0.0_f64;
    for topology in TOPOLOGIES {
        let mut draw = Draw::new(21);
        for index in 0..60 {
            let mut circuit = random::balanced(&mut draw, topology, BARE);
            // Off by 1e-3 to 1e-14 in one resistor.
            let off = libm::pow(10.0, -3.0 - f64::from(index % 12));
            let name = [Designator::R1, Designator::R2, Designator::R4][draw.below(3)];
            let ohm = circuit.ohms.get(name).unwrap();
            circuit.ohms.set(name, Some(ohm * (1.0 + off)));
            let stage = topology::build(&circuit).unwrap();
            let want = Board::<BigRational>::nominal(&circuit).rounded_gains_dc();
            let got = predict::gains::<f64>(&stage, 0.0).unwrap();
            let what = format!("{topology}, off by {off:e}");
            assert_near(got.differential, want.differential, relative(1e-14), &what);
            assert_near(got.common, want.common, relative(1e-12), &what);
            deepest = deepest.max(want.rejection());
        }
    }
    assert!(db(deepest) > 280.0, "only {} dB", db(deepest));
}

#[test]
fn perfect_balance_leaves_nothing() {
    for topology in TOPOLOGIES {
        let mut draw = Draw::new(22);
        for _ in 0..40 {
            let circuit = random::balanced(&mut draw, topology, BARE);
            let exact = Board::<BigRational>::nominal(&circuit).gains_dc();
            assert_eq!(exact.common, BigRational::of(0.0), "{topology} is not balanced at all");
            let got = predict::gains::<f64>(&topology::build(&circuit).unwrap(), 0.0).unwrap();
            assert!(got.common.abs() < 1e-24 * got.differential.abs().max(1.0), "{topology}: {:e}", got.common);
        }
    }
}

#[test]
fn small_deviations_lose_no_digits_on_replay() {
    let mut deepest = 0.0_f64;
    for topology in TOPOLOGIES {
        let mut draw = Draw::new(23);
        for index in 0..24 {
            let circuit = random::balanced(&mut draw, topology, BARE);
            let tolerance = [1e-3, 1e-6, 1e-9, 1e-12][index % 4];
            let lot = all_of(&circuit, tolerance);
            let (stage, knobs) = (topology::build(&circuit).unwrap(), knobs(&circuit, &lot, true));
            let names: Vec<_> = stage.quantities(&lot, 0.0).into_iter().map(|one| one.name).collect();
            // Of equal size on all resistors they nearly cancel; of random size they do not.
            let boards: Vec<Vec<f64>> =
                (0..4).map(|_| names.iter().map(|_| tolerance * draw.between(-1.0, 1.0)).collect()).collect();
            let got = replayed::<f64>(&stage, &lot, 0.0, &boards);
            let nominal = Board::<BigRational>::nominal(&circuit);
            for (board, (differential, common)) in boards.iter().zip(got) {
                let values: Vec<f64> = knobs
                    .iter()
                    .map(|knob| names.iter().position(|name| *name == knob.name).map_or(0.0, |place| board[place]))
                    .collect();
                let want = nominal.turned(&knobs, &values).rounded_gains_dc();
                let what = format!("{topology}, deviations of {tolerance:e}");
                assert_near(differential, want.differential, relative(1e-14), &what);
                assert_near(common, want.common, relative(1e-12), &what);
                deepest = deepest.max(want.rejection());
            }
        }
    }
    assert!(db(deepest) > 240.0, "only {} dB", db(deepest));
}

#[test]
fn finite_op_amps_and_surroundings_are_exact_at_dc() {
    for topology in TOPOLOGIES {
        let mut draw = Draw::new(24);
        for _ in 0..25 {
            let circuit = random::balanced(&mut draw, topology, FULL);
            let want = Board::<BigRational>::nominal(&circuit).rounded_gains_dc();
            let got = predict::gains::<f64>(&topology::build(&circuit).unwrap(), 0.0).unwrap();
            assert_near(got.differential, want.differential, relative(1e-14), topology);
            // 1/A is kept as a double: its last digit is all that differs.
            assert_near(got.common, want.common, relative(1e-12), topology);
        }
    }
}

#[test]
fn common_mode_gain_at_a_frequency_is_exact() {
    for topology in TOPOLOGIES {
        let mut draw = Draw::new(25);
        for _ in 0..10 {
            let circuit = random::balanced(&mut draw, topology, FULL);
            let hz = draw.decades(1.0, 1e6);
            let want = Board::<BigRational>::nominal(&circuit).gains_at(hz);
            let got = predict::gains::<Complex64>(&topology::build(&circuit).unwrap(), hz).unwrap();
            let what = format!("{topology} at {hz} Hz, {} dB", db(want.rejection()));
            assert_near_complex(got.differential, want.differential, relative(1e-14), &what);
            assert_near_complex(got.common, want.common, relative(1e-12), &what);
            assert!(size(want.common) > 0.0);
        }
    }
}

#[test]
fn fractions_are_read_off_right() {
    assert_eq!(rounded_fraction(&(BigRational::of(1.0) / BigRational::of(3.0))), 1.0 / 3.0);
    let tiny = BigRational::of(libm::ldexp(1.0, -300)) / BigRational::of(3.0);
    assert_near(rounded_fraction(&tiny), libm::ldexp(1.0 / 3.0, -300), relative(1e-15), "tiny fraction");
}
