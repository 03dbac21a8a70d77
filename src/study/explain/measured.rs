//! A rejection was measured: what would each cause have to be to give it alone?
use super::gain::{stage_one_law, two_op_amp_law};
use super::ground::Ground;
use super::law::{self, Law};
use crate::corners;
use crate::designator::Designator::{R1, R2, R4, R5};
use crate::designator::{Amp, Designator, Topology};
use crate::equation::{Equation, Expr};
use crate::part::Grade;
use crate::quantity::{Unit, decibels, from_decibels};
use crate::stage::{Cause, Circuit, Lot};
use crate::study::rejection::isolated;
use crate::topology::{BuildFault, build};

/// What each cause would have to be.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// The rejection that was measured, dB.
    pub rejection_db: f64,
    /// A line for each cause.
    pub causes: Vec<CauseSize>,
}

/// One cause as the only one.
#[derive(Clone, Debug, PartialEq)]
pub struct CauseSize {
    /// The contract's name of it.
    pub cause: &'static str,
    /// What its size is the size of.
    pub quantity: String,
    /// What that is measured in.
    pub unit: Unit,
    /// The size that alone gives the measured rejection, by the network; `None`: no size it can have in this circuit does.
    pub size: Option<f64>,
    /// The same by hand, where a closed form is known.
    pub by_hand: Option<Equation>,
    /// The law of that.
    pub law: Option<Law>,
    /// The size that the spec allows; `None` where the spec does not say.
    pub given: Option<f64>,
}

/// A cause whose size can be turned.
struct Knob {
    cause: Cause,
    quantity: String,
    unit: Unit,
    /// Ends of the search; the lesser the harmless one. A rejection or gain is turned by its inverse.
    most: f64,
    inverse: bool,
    given: Option<f64>,
    by_hand: Option<(Equation, Law)>,
    set: fn(&mut Circuit, &mut Lot, f64),
}

/// For each cause of this circuit, at dc.
pub(super) fn sizes(ground: &Ground<'_>, rejection_db: f64) -> Result<Measured, BuildFault> {
    let wanted = from_decibels(rejection_db);
    let causes = knobs(ground, wanted)
        .into_iter()
        .map(|knob| {
            let size = size(ground, &knob, wanted)?;
            let (by_hand, law) = knob.by_hand.map_or((None, None), |(equation, law)| (Some(equation), Some(law)));
            Ok(CauseSize {
                cause: knob.cause.name(),
                quantity: knob.quantity,
                unit: knob.unit,
                size,
                by_hand,
                law,
                given: knob.given,
            })
        })
        .collect::<Result<_, BuildFault>>()?;
    Ok(Measured { rejection_db, causes })
}

/// The size at which the worst rejection of this cause alone is the wanted one, by bisection.
fn size(ground: &Ground<'_>, knob: &Knob, wanted: f64) -> Result<Option<f64>, BuildFault> {
    let worst = |x: f64| -> Result<f64, BuildFault> {
        let (mut circuit, mut lot) = (ground.stage().circuit.clone(), ground.lot().clone());
        (knob.set)(&mut circuit, &mut lot, if knob.inverse { 1.0 / x } else { x });
        let (circuit, lot) = isolated(&circuit, &lot, knob.cause);
        let stage = build(&circuit)?;
        Ok(corners::least_rejection(&stage, &stage.quantities(&lot, 0.0))?)
    };
    let (mut good, mut bad) = (0.0, knob.most);
    if worst(bad)? > wanted {
        return Ok(None);
    }
    for _ in 0..100 {
        // far below the end the step has to be a factor, not a half
        let middle = if good > 0.0 && bad / good > 4.0 { (good * bad).sqrt() } else { f64::midpoint(good, bad) };
        if middle <= good || middle >= bad || bad - good <= 1e-12 * bad {
            break;
        }
        if worst(middle)? > wanted { good = middle } else { bad = middle }
    }
    Ok(Some(if knob.inverse { 1.0 / bad } else { bad }))
}

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

fn knobs(ground: &Ground<'_>, wanted: f64) -> Vec<Knob> {
    let circuit = &ground.stage().circuit;
    let topology = circuit.topology;
    let two = topology == Topology::TwoOpAmp;
    let source = &circuit.surroundings.source;
    let m = || Expr::symbol("M_x", wanted, Unit::Plain);
    let fraction = |name: &'static str, law: Expr| Equation::new(name, Unit::Fraction, law);
    let ratio = |name: &'static str, law: Expr| Equation::new(name, Unit::Rejection, law);
    let Factors { whole, first, second } = factors(ground);
    let with_first = |law: Expr| match &first {
        Some(first) => first.clone() * law,
        None => law,
    };
    let bound = |name| super::ground::bound(ground.lot(), name);
    let least = |of: fn(&crate::part::OpAmp) -> Option<f64>, amps: &[Amp]| {
        amps.iter().filter_map(|&amp| of(&circuit.opamp(amp))).min_by(f64::total_cmp)
    };
    let mut all = Vec::new();
    if topology != Topology::SingleChip {
        let by_hand = match (&whole, &second) {
            (Some(whole), _) => Some((fraction("t_x", whole.clone() / (4.0 * m())), law::RATIO_RESISTORS_TWO)),
            (None, Some(second)) => {
                Some((fraction("t_x", with_first(1.0 + second.clone()) / (4.0 * m())), law::RATIO_RESISTORS))
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
            by_hand: Some((ratio("M_x1", law_of), if two { law::OP_AMPS_TWO } else { law::OP_AMPS_THREE })),
            set: |circuit, _, c| of_all(circuit, |data| data.rejection = Some(c)),
        });
    }
    let last: Vec<Amp> = topology.amps().iter().copied().filter(|amp| !front.contains(amp)).collect();
    let law_of = match &first {
        Some(first) => m() / first.clone(),
        None => m(),
    };
    all.push(Knob {
        cause: Cause::OutputOpAmp,
        quantity: "own rejection of the output op amp".to_owned(),
        unit: Unit::Rejection,
        most: 0.1,
        inverse: true,
        given: least(|data| data.rejection, &last),
        by_hand: Some((ratio("M_x2", law_of), if two { law::OP_AMPS_TWO } else { law::OP_AMPS_THREE })),
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
            by_hand: Some((Equation::new("A_x", Unit::Rejection, law_of), number)),
            set: |circuit, _, a| of_all(circuit, |data| data.open_loop_gain = Some(a)),
        });
    }
    if topology != Topology::SingleChip {
        let law_of = match (&whole, &second) {
            (Some(whole), _) => Some((whole.clone() * ground.needed(R1) / m(), law::REFERENCE_TWO)),
            (None, Some(second)) if ground.ohm(R5).is_none() => {
                Some((with_first((1.0 + second.clone()) * ground.needed(R4)) / m(), law::REFERENCE_DIFFERENCE))
            }
            _ => None,
        };
        all.push(Knob {
            cause: Cause::ReferenceResistance,
            quantity: "resistance that drives the reference".to_owned(),
            unit: Unit::Ohm,
            most: 1e6,
            inverse: false,
            given: Some(circuit.surroundings.reference_resistance_ohm),
            by_hand: law_of.map(|(law_of, number)| (Equation::new("r_x", Unit::Ohm, law_of), number)),
            set: |circuit, _, r| circuit.surroundings.reference_resistance_ohm = r,
        });
    }
    if source.resistance_ohm > 0.0 {
        all.push(Knob {
            cause: Cause::SourceImbalance,
            quantity: "difference between the legs of the source".to_owned(),
            unit: Unit::Ohm,
            most: 1.999 * source.resistance_ohm,
            inverse: false,
            given: Some(source.imbalance_ohm),
            by_hand: None,
            set: |circuit, _, ohm| circuit.surroundings.source.imbalance_ohm = ohm,
        });
    }
    if let (Some(back), true) = (source.bias_return_ohm, topology != Topology::Difference) {
        let filter = ground.question.filter.map_or(0.0, |filter| filter.resistor_ohm);
        let name = if filter == 0.0 {
            "R_s"
        } else if source.resistance_ohm == 0.0 {
            "R_f"
        } else {
            "R_leg"
        };
        let series = Expr::symbol(name, source.resistance_ohm + filter, Unit::Ohm);
        let law_of = Expr::symbol("R_b", back, Unit::Ohm) / (2.0 * series * m());
        all.push(Knob {
            cause: Cause::BiasReturn,
            quantity: "tolerance of the bias-return resistors".to_owned(),
            unit: Unit::Fraction,
            most: 0.9,
            inverse: false,
            given: Some(ground.lot().bias_return_tolerance),
            by_hand: (source.resistance_ohm + filter > 0.0).then(|| (fraction("t_xb", law_of), law::BIAS_RETURN)),
            set: |_, lot, t| lot.bias_return_tolerance = t,
        });
    }
    all
}

impl CauseSize {
    /// The size as the network gives it, in decibels where it is a rejection or an open-loop gain.
    #[must_use]
    pub fn in_data_sheet_terms(&self) -> Option<f64> {
        self.size.map(|size| if self.unit == Unit::Rejection { decibels(size) } else { size })
    }
}
