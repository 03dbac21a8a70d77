use super::agree;
use crate::designator::{Designator, Ohms, Topology};
use crate::textbook::{Drive, gains, nodes};
use Designator::{R1, R2, R3, R4, R5, R6, RF1, RF2, RG};
use nalgebra::{DMatrix, DVector};
use proptest::prelude::*;

const GROUND: usize = 0;
const POSITIVE: usize = 1;
const NEGATIVE: usize = 2;
const REFERENCE: usize = 3;

/// A circuit as wired: where each resistor goes, and each op amp's (plus, minus, output).
struct Wired {
    resistors: Vec<(Designator, usize, usize)>,
    amps: Vec<[usize; 3]>,
    nodes: usize,
}

fn wired(topology: Topology) -> Wired {
    match topology {
        Topology::Difference => Wired {
            resistors: vec![
                (R1, NEGATIVE, 4),
                (R2, 4, 6),
                (R3, POSITIVE, 5),
                (R4, 5, REFERENCE),
                (R5, 4, GROUND),
                (R6, 5, GROUND),
            ],
            amps: vec![[5, 4, 6]],
            nodes: 7,
        },
        Topology::BufferedDifference => Wired {
            resistors: vec![(R1, 4, 6), (R2, 6, 8), (R3, 5, 7), (R4, 7, REFERENCE)],
            amps: vec![[NEGATIVE, 4, 4], [POSITIVE, 5, 5], [7, 6, 8]],
            nodes: 9,
        },
        Topology::ThreeOpAmp => Wired {
            resistors: vec![
                (RF1, 9, 4),
                (RF2, 10, 5),
                (RG, 4, 5),
                (R1, 9, 6),
                (R2, 6, 8),
                (R3, 10, 7),
                (R4, 7, REFERENCE),
            ],
            amps: vec![[NEGATIVE, 4, 9], [POSITIVE, 5, 10], [7, 6, 8]],
            nodes: 11,
        },
        Topology::TwoOpAmp => Wired {
            resistors: vec![(R1, REFERENCE, 4), (R2, 4, 6), (R3, 6, 5), (R4, 5, 7), (RG, 4, 5)],
            amps: vec![[NEGATIVE, 4, 6], [POSITIVE, 5, 7]],
            nodes: 8,
        },
        Topology::SingleChip => panic!("no resistors inside"),
    }
}

/// All node voltages: current law at every node (mS, V, mA), sources and op amps as extra rows.
fn solve(topology: Topology, ohms: &Ohms, drive: Drive) -> Vec<f64> {
    let Wired { resistors, amps, nodes } = wired(topology);
    let sources =
        [(GROUND, 0.0), (POSITIVE, drive.positive_v), (NEGATIVE, drive.negative_v), (REFERENCE, drive.reference_v)];
    let size = nodes + sources.len() + amps.len();
    let mut matrix = DMatrix::<f64>::zeros(size, size);
    let mut right = DVector::<f64>::zeros(size);
    for (name, from, to) in resistors {
        let Some(ohm) = ohms.get(name) else { continue };
        let conductance = 1e3 / ohm;
        matrix[(from, from)] += conductance;
        matrix[(to, to)] += conductance;
        matrix[(from, to)] -= conductance;
        matrix[(to, from)] -= conductance;
    }
    let mut row = nodes;
    for (node, volts) in sources {
        matrix[(node, row)] = 1.0;
        matrix[(row, node)] = 1.0;
        right[row] = volts;
        row += 1;
    }
    for [plus, minus, output] in &amps {
        matrix[(*output, row)] = 1.0;
        matrix[(row, *plus)] += 1.0;
        matrix[(row, *minus)] -= 1.0;
        row += 1;
    }
    // rows of mS beside rows of 1: one refinement takes the digits back that elimination loses
    let split = matrix.clone().full_piv_lu();
    let mut solution = split.solve(&right).expect("every node is held");
    for _ in 0..2 {
        let rest = &right - &matrix * &solution;
        solution += split.solve(&rest).expect("every node is held");
    }
    solution.iter().take(nodes).copied().collect()
}

fn resistance() -> impl Strategy<Value = f64> {
    (2.0..6.0_f64).prop_map(|decades| libm::pow(10.0, decades))
}

/// Random resistors, 100 Ω to 1 MΩ; R5, R6 and RG sometimes absent.
fn circuit(topology: Topology) -> impl Strategy<Value = Ohms> {
    (prop::collection::vec(resistance(), 9), prop::collection::vec(prop::bool::weighted(0.8), 9)).prop_map(
        move |(values, there)| {
            let mut ohms = Ohms::default();
            for (k, name) in Designator::ALL.into_iter().enumerate() {
                let must = topology.resistors().contains(&name) && name != RG;
                let may = must || name == RG && topology.gain_set_by_one();
                let may = may || topology == Topology::Difference && matches!(name, R5 | R6);
                if must || may && there[k] {
                    ohms.set(name, Some(values[k]));
                }
            }
            ohms
        },
    )
}

const DISCRETE: [Topology; 4] =
    [Topology::Difference, Topology::BufferedDifference, Topology::ThreeOpAmp, Topology::TwoOpAmp];

fn any_circuit() -> impl Strategy<Value = (Topology, Ohms)> {
    prop::sample::select(DISCRETE.to_vec())
        .prop_flat_map(|topology| circuit(topology).prop_map(move |ohms| (topology, ohms)))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4000))]

    #[test]
    fn gains_are_those_of_the_node_equations((topology, ohms) in any_circuit()) {
        let output = |positive_v, negative_v| {
            *solve(topology, &ohms, Drive { positive_v, negative_v, reference_v: 0.0 }).get(wired(topology).amps.last().unwrap()[2]).unwrap()
        };
        let exact = gains(topology, &ohms).unwrap();
        agree(exact.differential, output(0.5, -0.5), 1e-12);
        let apart = (exact.common_mode - output(1.0, 1.0)).abs();
        prop_assert!(apart <= 1e-12 * exact.differential.abs().max(1.0), "{} apart by {apart}", exact.common_mode);
    }

    #[test]
    fn node_voltages_are_those_of_the_node_equations((topology, ohms) in any_circuit(), v in prop::array::uniform3(-10.0..10.0)) {
        let drive = Drive { positive_v: v[0], negative_v: v[1], reference_v: v[2] };
        let volts = solve(topology, &ohms, drive);
        let told = nodes(topology, &ohms, drive).unwrap();
        let largest = volts.iter().fold(1.0_f64, |held, v| held.max(v.abs()));
        prop_assert_eq!(told.len(), wired(topology).amps.len());
        for (node, [plus, minus, output]) in told.iter().zip(wired(topology).amps) {
            for (said, solved) in [(node.input_v, volts[plus]), (node.input_v, volts[minus]), (node.output_v, volts[output])] {
                prop_assert!((said - solved).abs() <= 1e-12 * largest, "{said} is not {solved}");
            }
        }
    }
}

#[test]
fn the_node_equations_know_a_divider_from_a_wrong_one() {
    let ohms: Ohms = [(R1, 1e3), (R2, 1e3), (R3, 1e3), (R4, 1e3)].into_iter().collect();
    let drive = Drive { positive_v: 1.0, ..Drive::default() };
    agree(solve(Topology::Difference, &ohms, drive)[6], 1.0, 1e-14);
    let off: Ohms = [(R1, 1e3), (R2, 1e3), (R3, 1e3), (R4, 1.001e3)].into_iter().collect();
    assert!((solve(Topology::Difference, &off, drive)[6] - 1.0).abs() > 1e-4);
}
