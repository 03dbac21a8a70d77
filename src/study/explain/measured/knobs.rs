//! Causes inside the circuit: its resistors, its op amps, what drives its reference.
use super::super::explanation::Board;
use super::super::gain::{stage_one_law, two_op_amp_law};
use super::super::ground::{Ground, bound};
use super::super::law;
use super::Knob;
use crate::designator::Designator::{R1, R2, R4, R5};
use crate::designator::{Amp, Designator, Topology};
use crate::equation::{Equation, Expr};
use crate::part::Grade;
use crate::quantity::Unit;
use crate::stage::{Cause, Circuit, Lot};

fn each(lot: &mut Lot, circuit: &Circuit, belongs: fn(Designator) -> bool, tolerance: f64) {
    lot.networks.clear();
    lot.grades.clear();
    for (name, _) in circuit.ohms.present().filter(|&(name, _)| belongs(name)) {
        lot.grades.insert(name, Grade { tolerance, tempco_per_k: 0.0 });
    }
}

fn of_all(circuit: &mut Circuit, change: impl Fn(&mut crate::part::OpAmp)) {
    for &amp in circuit.topology.amps() {
        change(circuit.opamps.entry(amp).or_default());
    }
}

/// Gains as the closed forms count them: G1 (two-op-amp: G), and G2 or G2'.
struct Factors {
    whole: Option<Expr>,
    first: Option<Expr>,
    second: Option<Expr>,
}

fn factors(ground: &Ground<'_>) -> Factors {
    let plain = |name: &'static str, law: Expr| Equation::new(name, Unit::Plain, law).told();
    match ground.question.topology {
        Topology::TwoOpAmp => Factors { whole: Some(plain("G", two_op_amp_law(ground))), first: None, second: None },
        Topology::SingleChip => Factors { whole: None, first: None, second: None },
        topology => {
            let feedback = match ground.ohm(R5) {
                Some(r5) => ground.needed(R2).parallel(r5),
                None => ground.needed(R2),
            };
            let name = if ground.ohm(R5).is_some() { "G2'" } else { "G2" };
            let second = Some(plain(name, feedback / ground.needed(R1)));
            let first = (topology == Topology::ThreeOpAmp).then(|| plain("G1", stage_one_law(ground)));
            Factors { whole: None, first, second }
        }
    }
}

pub(super) fn of_the_circuit(ground: &Ground<'_>, wanted: f64) -> Vec<Knob> {
    let circuit = &ground.stage().circuit;
    let topology = circuit.topology;
    let two = topology == Topology::TwoOpAmp;
    let m = || Expr::symbol("M_meas", wanted, Unit::Plain);
    let fraction = |name: &'static str, law: Expr| Equation::new(name, Unit::Fraction, law);
    let ratio = |name: &'static str, law: Expr| Equation::new(name, Unit::Rejection, law);
    let Factors { whole, first, second } = factors(ground);
    let with_first = |law: Expr| match &first {
        Some(first) => first.clone() * law,
        None => law,
    };
    let bound = |name| bound(ground.lot(), name);
    let least = |of: fn(&crate::part::OpAmp) -> Option<f64>, amps: &[Amp]| {
        amps.iter().filter_map(|&amp| of(&circuit.opamp(amp))).min_by(f64::total_cmp)
    };
    let mut all = Vec::new();
    if topology != Topology::SingleChip {
        let by_hand = match (&whole, &second) {
            (Some(whole), _) => Some((fraction("t_meas", whole.clone() / (4.0 * m())), law::RATIO_RESISTORS_TWO)),
            (None, Some(second)) => {
                let leg = ground.leg(&mut Board::default()).filter(|_| topology == Topology::Difference);
                let of = match leg.filter(|_| ground.ohm(R5).is_none()) {
                    // what stands in front of R1 and R3 does not deviate, and takes of their share
                    Some(leg) => {
                        let r1 = ground.needed(R1);
                        let above = leg.clone() + r1.clone() * (1.0 + second.clone());
                        above / (2.0 * (2.0 * r1 + leg) * m())
                    }
                    None => with_first(1.0 + second.clone()) / (4.0 * m()),
                };
                Some((fraction("t_meas", of), law::RATIO_RESISTORS))
            }
            _ => None,
        };
        all.push(Knob {
            cause: Cause::RatioResistors,
            quantity: "deviation of every ratio resistor".to_owned(),
            unit: Unit::Fraction,
            most: 0.9,
            inverse: false,
            given: [R1, R2].map(bound).into_iter().max_by(f64::total_cmp),
            by_hand,
            set: |circuit, lot, t| each(lot, circuit, |name| !Circuit::sets_gain(name), t),
        });
    }
    if circuit.ohms.get(Designator::RG).is_some() && topology != Topology::SingleChip {
        all.push(Knob {
            cause: Cause::GainSetResistors,
            quantity: "deviation of every gain-set resistor".to_owned(),
            unit: Unit::Fraction,
            most: 0.9,
            inverse: false,
            given: Some(bound(Designator::RG)),
            by_hand: None,
            set: |circuit, lot, t| each(lot, circuit, Circuit::sets_gain, t),
        });
    }
    let front = circuit.first_stage();
    if !front.is_empty() {
        let law_of = if two { m() } else { 2.0 * m() };
        all.push(Knob {
            cause: Cause::FirstStageOpAmps,
            quantity: "own rejection of each first-stage op amp".to_owned(),
            unit: Unit::Rejection,
            most: 0.1,
            inverse: true,
            given: least(|data| data.rejection, front),
            by_hand: Some((ratio("M_meas1", law_of), if two { law::OP_AMPS_TWO } else { law::OP_AMPS_THREE })),
            set: |circuit, _, c| of_all(circuit, |data| data.rejection = Some(c)),
        });
    }
    let last: Vec<Amp> = topology.amps().iter().copied().filter(|amp| !front.contains(amp)).collect();
    let law_of = match &first {
        Some(first) => m() / first.clone(),
        None => m(),
    };
    let (name, quantity) = match topology {
        Topology::SingleChip => ("M_meas1", "rejection of the chip"),
        Topology::Difference => ("M_meas1", "own rejection of the op amp"),
        _ => ("M_meas2", "own rejection of the output op amp"),
    };
    all.push(Knob {
        cause: Cause::OutputOpAmp,
        quantity: quantity.to_owned(),
        unit: Unit::Rejection,
        most: 0.1,
        inverse: true,
        given: least(|data| data.rejection, &last),
        by_hand: Some((ratio(name, law_of), if two { law::OP_AMPS_TWO } else { law::OP_AMPS_THREE })),
        set: |circuit, _, c| of_all(circuit, |data| data.rejection = Some(c)),
    });
    if matches!(topology, Topology::ThreeOpAmp | Topology::BufferedDifference | Topology::TwoOpAmp) {
        let (law_of, number) = if two {
            (m() * (1.0 + ground.needed(R2) / ground.needed(R1)), law::LOOP_GAIN_TWO)
        } else {
            (m(), law::LOOP_GAIN_THREE)
        };
        all.push(Knob {
            cause: Cause::OpenLoopGain,
            quantity: "least open-loop gain".to_owned(),
            unit: Unit::Rejection,
            most: 0.1,
            inverse: true,
            given: least(|data| data.open_loop_gain, topology.amps()),
            by_hand: Some((Equation::new("A_OLmeas", Unit::Rejection, law_of), number)),
            set: |circuit, _, a| of_all(circuit, |data| data.open_loop_gain = Some(a)),
        });
    }
    if topology != Topology::SingleChip {
        let law_of = reference(ground, &m, whole, first, second);
        all.push(Knob {
            cause: Cause::ReferenceResistance,
            quantity: "resistance that drives the reference".to_owned(),
            unit: Unit::Ohm,
            most: 1e6,
            inverse: false,
            given: Some(circuit.surroundings.reference_resistance_ohm),
            by_hand: law_of.map(|(of, number)| (Equation::new("r_refmeas", Unit::Ohm, of), number)),
            set: |circuit, _, r| circuit.surroundings.reference_resistance_ohm = r,
        });
    }
    all
}

/// The reference's resistance is no small thing at a poor rejection: these are exact for resistors in balance.
fn reference(
    ground: &Ground<'_>,
    m: &dyn Fn() -> Expr,
    whole: Option<Expr>,
    first: Option<Expr>,
    second: Option<Expr>,
) -> Option<(Expr, law::Law)> {
    let r4 = ground.needed(R4);
    let (above, below, number) = match (whole, ground.ohm(R5)) {
        (Some(whole), _) => (whole.clone() * ground.needed(R1), m() - whole + Expr::from(0.5), law::REFERENCE_TWO),
        (None, Some(r5)) => {
            let node = Equation::new("R_y", Unit::Ohm, ground.needed(R1).parallel(ground.needed(R2)).parallel(r5));
            (r4.clone().squared(), node.told() * (m() + Expr::from(0.5)) - r4, law::REFERENCE_DIFFERENCE)
        }
        (None, None) => {
            // with a plain difference amplifier what stands in front lies in series with R1
            let leg = ground.leg(&mut Board::default()).filter(|_| ground.question.topology == Topology::Difference);
            let second = match leg {
                Some(leg) => ground.needed(R2) / (ground.needed(R1) + leg),
                None => second?,
            };
            let (above, lost) = ((1.0 + second.clone()) * r4, second + Expr::from(0.5));
            match first {
                Some(first) => (first.clone() * above, m() - first * lost, law::REFERENCE_DIFFERENCE),
                None => (above, m() - lost, law::REFERENCE_DIFFERENCE),
            }
        }
    };
    (below.value() > 0.0).then(|| (above / below, number))
}
