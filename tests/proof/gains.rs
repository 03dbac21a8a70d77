//! Nominal gains of thousands of circuits against the second solver.
use crate::near::{absolute, assert_near, assert_near_complex, relative};
use crate::random::{self, Draw, FULL, MIXED, Rich, TOPOLOGIES};
use crate::reference::{Board, Pair, size};
use evenkeel::designator::Topology;
use evenkeel::network::{AmplifierValue, Excitation, NetworkFault, Scalar};
use evenkeel::predict;
use evenkeel::stage::{Role, Stage};
use evenkeel::topology;
use num_complex::Complex64;

const CIRCUITS: usize = 1500;

/// The same board for the engine and for the reference, its op amps given a common-mode error.
fn pair(draw: &mut Draw, topology: Topology, rich: Rich) -> (Stage, Board<f64>) {
    let circuit = random::circuit(draw, topology, rich);
    let mut stage = topology::build(&circuit).unwrap();
    let mut board = Board::<f64>::nominal(&circuit);
    for (values, &amp) in board.amps.iter_mut().zip(circuit.topology.amps()) {
        if draw.chance(rich.amps) {
            let element = stage.element(Role::Amp(amp)).unwrap();
            values.c = draw.between(-1e-3, 1e-3);
            let own = stage.network.amplifier(element).unwrap();
            stage.network.set_amplifier(element, AmplifierValue { common_mode: values.c, ..own }).unwrap();
        }
    }
    (stage, board)
}

/// Bound on `A_d`, relative, and on `A_cm`, against the greatest of `|A_d|`, `|A_cm|` and 1.
type Bound = f64;

/// The refined solution, which the figures are made from: a few roundings of a double.
const REFINED: Bound = 2e-14;
/// The plain one: values four decades apart in one node cost that many digits.
const PLAIN: Bound = 1e-10;

fn compare(got: Pair<Complex64>, want: Pair<Complex64>, bound: Bound, what: &str) {
    assert_near_complex(got.differential, want.differential, relative(bound), format_args!("A_d of {what}"));
    let scale = size(want.differential).max(size(want.common)).max(1.0);
    assert_near_complex(got.common, want.common, absolute(bound * scale), format_args!("A_cm of {what}"));
}

fn refined<T: Scalar>(stage: &Stage, hz: f64) -> Result<Pair<Complex64>, NetworkFault> {
    let gains = predict::gains::<T>(stage, hz)?;
    Ok(Pair { differential: gains.differential.to_complex(), common: gains.common.to_complex() })
}

fn plain<T: Scalar>(stage: &Stage, hz: f64) -> Result<Pair<Complex64>, NetworkFault> {
    let solver = stage.network.at::<T>(hz)?;
    let out = stage.ports.output;
    Ok(Pair {
        differential: solver.state(&stage.differential()).voltage(out).to_complex(),
        common: solver.state(&stage.common()).voltage(out).to_complex(),
    })
}

#[test]
fn gains_agree_at_dc() {
    for topology in TOPOLOGIES {
        let mut draw = Draw::new(1);
        for index in 0..CIRCUITS {
            let (stage, board) = pair(&mut draw, topology, if index % 3 == 0 { FULL } else { MIXED });
            let want = board.gains_dc();
            let want = Pair { differential: want.differential.into(), common: want.common.into() };
            let what = format!("{topology} {index} at dc");
            compare(refined::<f64>(&stage, 0.0).unwrap(), want, REFINED, &what);
            compare(plain::<f64>(&stage, 0.0).unwrap(), want, PLAIN, &what);
        }
    }
}

#[test]
fn gains_agree_at_frequencies() {
    for topology in TOPOLOGIES {
        let mut draw = Draw::new(11);
        for index in 0..CIRCUITS {
            let (stage, board) = pair(&mut draw, topology, if index % 3 == 0 { FULL } else { MIXED });
            let hz = draw.decades(1.0, 1e7);
            let want = board.gains_at(hz);
            let what = format!("{topology} {index} at {hz} Hz");
            compare(refined::<Complex64>(&stage, hz).unwrap(), want, REFINED, &what);
            compare(plain::<Complex64>(&stage, hz).unwrap(), want, PLAIN, &what);
        }
    }
}

/// Every op amp's three pins, with all three EMFs at work.
#[test]
fn node_voltages_agree_at_dc() {
    for topology in TOPOLOGIES {
        let mut draw = Draw::new(12);
        let places: &[[&str; 3]] = match topology {
            Topology::Difference => &[["p", "m", "out"]],
            Topology::BufferedDifference => &[["in-", "o1", "o1"], ["in+", "o2", "o2"], ["p", "m", "out"]],
            Topology::ThreeOpAmp => &[["in-", "n1", "o1"], ["in+", "n2", "o2"], ["p", "m", "out"]],
            _ => &[["in-", "n1", "o1"], ["in+", "n2", "out"]],
        };
        for _ in 0..200 {
            let (stage, board) = pair(&mut draw, topology, FULL);
            let emfs = [draw.between(-10.0, 10.0), draw.between(-10.0, 10.0), draw.between(-5.0, 5.0)];
            let want = board.voltages_dc(emfs);
            let ports = &stage.ports;
            let drive = Excitation::emf(ports.positive, emfs[0])
                .and_emf(ports.negative, emfs[1])
                .and_emf(ports.reference, emfs[2]);
            let state = stage.network.at::<f64>(0.0).unwrap().state(&drive);
            let most = want.values().fold(1.0_f64, |most, v| most.max(v.abs()));
            for (names, &amp) in places.iter().zip(topology.amps()) {
                let (plus, minus, out) = stage.network.pins(stage.element(Role::Amp(amp)).unwrap()).unwrap();
                for (name, node) in names.iter().zip([plus, minus, out]) {
                    let what = format_args!("{topology} {name}");
                    assert_near(state.voltage(node), want[name], absolute(PLAIN * most), what);
                }
            }
        }
    }
}
