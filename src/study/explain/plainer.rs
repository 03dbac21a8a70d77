//! Why this circuit: what the plainer ones would cost on this very source.
use super::explanation::{Board, Explanation, Topic};
use super::gain::stage_one_law;
use super::ground::Ground;
use super::law;
use super::rejection::off_together;
use crate::corners;
use crate::designator::Designator::{R1, R2, R3, R4, R5, R6, RF1, RG};
use crate::designator::{Ohms, Topology};
use crate::equation::{Equation, Expr};
use crate::predict;
use crate::quantity::{Unit, decibels, rounded};
use crate::stage::{Cause, Circuit, Lot, Surroundings};
use crate::study::rejection::{decibels as told, isolated};
use crate::topology::{BuildFault, build};

/// The input resistor of the plain circuit where this one has none to compare, Ω.
const USUAL_OHM: f64 = 10e3;
/// By how much one resistor is turned alone, to show what it costs.
const TURNED: f64 = 0.01;

pub(super) fn explain(ground: &Ground<'_>) -> Result<Explanation, BuildFault> {
    let mut board = Board::default();
    let topology = ground.question.topology;
    let plain = Plain::of(ground);
    match topology {
        Topology::Difference => {
            board.say("This is the plain circuit itself: one op amp, four resistors. What it asks of the source:", None);
        }
        _ => board.say(
            format!(
                "The plainest circuit for a gain of {} is one op amp with R2/R1 = {}. Put on this source, with {} = {}, it \
                 would cost the following.",
                rounded(ground.aim.gain, Unit::Plain, 5),
                rounded(plain.gain, Unit::Plain, 5),
                if plain.itself { "R1 = R3" } else { "R1 = R3 = R_p" },
                rounded(plain.r1, Unit::Ohm, 4)
            ),
            None,
        ),
    }
    loading(ground, &plain, &mut board)?;
    imbalance(ground, &plain, &mut board)?;
    two_to_turn(ground, &plain, &mut board)?;
    match topology {
        Topology::Difference => board.say(
            format!(
                "Two followers in front (buffered-difference) would take away the first two and nothing of the third; a \
                 shared RG between two input op amps (three-op-amp) takes away all three, for two op amps more and a common \
                 mode limited to what their inputs and outputs can follow. Where the common mode lies outside the \
                 supplies{}, only this circuit does it.",
                if plain.divider.is_some() { ", as R5 and R6 allow here" } else { "" }
            ),
            None,
        ),
        _ => buffers(ground, &plain, &mut board)?,
    }
    match topology {
        Topology::ThreeOpAmp => stage_one(ground, &plain, &mut board)?,
        Topology::TwoOpAmp => two(ground, &mut board),
        Topology::SingleChip => board.say(
            "In a single chip all this lies on one piece of silicon, trimmed by its maker: one resistor sets the gain and \
             no resistor of the board touches the rejection. What it costs is choice: its data sheet decides.",
            None,
        ),
        _ => {}
    }
    Ok(Explanation {
        meaning: format!(
            "Why {topology}: what the plainer circuits would do with this signal and this source, and what each part \
             that was added buys."
        ),
        steps: board.steps,
        ..Explanation::new(Topic::Topology)
    })
}

/// The plain difference amplifier for the same gain.
struct Plain {
    r1: f64,
    gain: f64,
    /// R5 = R6, where the circuit divides.
    divider: Option<f64>,
    /// The circuit of the spec has the same difference stage.
    itself: bool,
}

impl Plain {
    fn of(ground: &Ground<'_>) -> Self {
        let ohms = &ground.stage().circuit.ohms;
        let plain = matches!(ground.question.topology, Topology::Difference | Topology::BufferedDifference);
        let bridge = ground.question.topology != Topology::TwoOpAmp;
        let r1 = ohms.get(R1).filter(|_| bridge).unwrap_or(USUAL_OHM);
        let gain = match (plain, ohms.get(R2)) {
            (true, Some(r2)) => r2 / r1,
            _ => ground.aim.gain,
        };
        Self { r1, gain, divider: ohms.get(R5), itself: plain }
    }

    fn ohms(&self) -> Ohms {
        let r2 = self.gain * self.r1;
        let mut ohms: Ohms = [(R1, self.r1), (R2, r2), (R3, self.r1), (R4, r2)].into_iter().collect();
        ohms.set(R5, self.divider);
        ohms.set(R6, self.divider);
        ohms
    }

    /// With ideal op amps, on the source of the question and nothing else.
    fn circuit(&self, ground: &Ground<'_>, topology: Topology) -> Circuit {
        let source = crate::stage::Source {
            resistance_ohm: ground.question.source.resistance_ohm,
            imbalance_ohm: ground.question.source.imbalance_ohm,
            ..crate::stage::Source::default()
        };
        Circuit {
            topology,
            ohms: self.ohms(),
            opamps: std::collections::BTreeMap::new(),
            chip: None,
            surroundings: Surroundings { source, ..Surroundings::default() },
        }
    }

    fn r1(&self) -> Expr {
        Expr::symbol(if self.itself { "R1" } else { "R_p" }, self.r1, Unit::Ohm)
    }

    fn gain(&self) -> Expr {
        Expr::symbol(if self.itself { "G" } else { "G_p" }, self.gain, Unit::Plain)
    }

    /// The gain as the balance of the bridge counts it: R5 lies beside R2.
    fn balance(&self, board: &mut Board) -> Expr {
        match self.divider {
            None => self.gain(),
            Some(r5) => {
                let r2 = Expr::symbol("R2", self.gain * self.r1, Unit::Ohm);
                let law = r2.parallel(Expr::symbol("R5", r5, Unit::Ohm)) / self.r1();
                board.once(
                    "R5 lies beside R2 as seen from the inverting node, so a deviation in R1's leg counts by 1/(1 + G2') with",
                    Equation::new("G2'", Unit::Plain, law),
                    law::RATIO_RESISTORS,
                )
            }
        }
    }

    /// The name of a rejection of the plain circuit.
    fn name(&self, own: &'static str, plain: &'static str) -> &'static str {
        if self.itself { own } else { plain }
    }
}

fn source(ground: &Ground<'_>) -> Expr {
    Expr::symbol("R_s", ground.question.source.resistance_ohm, Unit::Ohm)
}

fn loading(ground: &Ground<'_>, plain: &Plain, board: &mut Board) -> Result<(), BuildFault> {
    if ground.question.source.resistance_ohm == 0.0 {
        board.say(
            "Loading: the spec gives the source no resistance, so R1 and R3 would take nothing away from it.",
            Some(law::DIFFERENCE_GAIN),
        );
        return Ok(());
    }
    let stage = build(&plain.circuit(ground, Topology::Difference))?;
    let exact = predict::gains::<f64>(&stage, 0.0)?.differential / plain.gain - 1.0;
    let lost = -(source(ground) / (plain.r1() + source(ground)));
    board.write(
        "Loading. Its wires end at R1 and R3, and the source's resistance lies in front of them as a part of R1. The \
         gain is too low by",
        Equation::new("dG_load", Unit::Fraction, lost),
        exact,
        law::DIFFERENCE_GAIN,
    );
    Ok(())
}

fn imbalance(ground: &Ground<'_>, plain: &Plain, board: &mut Board) -> Result<(), BuildFault> {
    let ohm = ground.question.source.imbalance_ohm;
    if ohm == 0.0 {
        return Ok(());
    }
    let (circuit, lot) =
        isolated(&plain.circuit(ground, Topology::Difference), &Lot::default(), Cause::SourceImbalance);
    let stage = build(&circuit)?;
    let exact = told(corners::least_rejection(&stage, &stage.quantities(&lot, 0.0))?);
    let d = Expr::symbol("dR_s", ohm, Unit::Ohm);
    let whole = plain.r1() + source(ground);
    let law_of = ((whole + plain.balance(board) * plain.r1()) / d).in_decibels();
    board.write(
        "Imbalance. A difference dR_s between the source's legs unbalances R1 against R3, however well these match. \
         That alone would bring the rejection, already at dc, down to",
        Equation::new(plain.name("CMRR_src", "CMRR_ps"), Unit::Decibel, law_of),
        exact,
        law::RATIO_RESISTORS,
    );
    Ok(())
}

fn two_to_turn(ground: &Ground<'_>, plain: &Plain, board: &mut Board) -> Result<(), BuildFault> {
    let one_off = {
        let mut circuit = plain.circuit(ground, Topology::Difference);
        circuit.surroundings = Surroundings::default();
        circuit.ohms.set(R1, circuit.ohms.get(R1).map(|ohm| ohm * (1.0 + TURNED)));
        let gains = predict::gains::<f64>(&build(&circuit)?, 0.0)?;
        told(gains.rejection())
    };
    let turned = Expr::symbol("t_turn", TURNED, Unit::Fraction);
    let balance = plain.balance(board);
    board.write(
        "Two to turn. Its gain hangs on R2/R1 and on R4/R3 alike: to change it R1 and R3 \
         (or R2 and R4) have to be turned together. R1 turned by t_turn = 1 % without R3 leaves",
        Equation::new("CMRR_turn", Unit::Decibel, ((1.0 + balance) / turned).in_decibels()),
        one_off,
        law::RATIO_RESISTORS,
    );
    if ground.question.topology.gain_set_by_one() {
        board.say(
            "In the circuit of the spec one resistor, RG, sets the gain, and the balance knows nothing of it.",
            None,
        );
    }
    Ok(())
}

fn buffers(ground: &Ground<'_>, plain: &Plain, board: &mut Board) -> Result<(), BuildFault> {
    let left = if ground.load(crate::designator::Amp::A1).is_some() {
        "no current is taken from it but what bias-return resistors and the op amps' inputs draw. At dc its resistance and \
         its imbalance only count against those (how much is left of them stands in the workings of gain and rejection), and \
         with the frequency capacitances come in"
    } else {
        "no current is taken from it at dc, where its resistance and its imbalance no longer count; with the frequency \
         capacitances come in"
    };
    let text = format!(
        "A buffer on each wire mends most of what the source suffers: {left}. It does not mend the bridge behind it: still \
         two resistors to turn, and the same four resistors that decide the rejection"
    );
    board.say(format!("{text}."), Some(law::RATIO_RESISTORS));
    let balance = plain.balance(board);
    let Some(sum) = off_together(ground, board) else { return Ok(()) };
    let mut lot = ground.lot().clone();
    lot.grades.retain(|name, _| matches!(name, R1 | R2 | R3 | R4));
    let mut circuit = plain.circuit(ground, Topology::BufferedDifference);
    circuit.surroundings = Surroundings::default();
    let stage = build(&circuit)?;
    let exact = told(corners::least_rejection(&stage, &stage.quantities(&lot, 0.0))?);
    board.write(
        "With these tolerances on its four resistors the circuit with buffers has",
        Equation::new("CMRR_buf", Unit::Decibel, ((1.0 + balance) / sum).in_decibels()),
        exact,
        law::RATIO_RESISTORS,
    );
    Ok(())
}

fn stage_one(ground: &Ground<'_>, plain: &Plain, board: &mut Board) -> Result<(), BuildFault> {
    let circuit = &ground.stage().circuit;
    let before = predict::gains::<f64>(&build(&ideal(circuit))?, 0.0)?.common;
    let mut off = ideal(circuit);
    off.ohms.set(RF1, off.ohms.get(RF1).map(|ohm| ohm * (1.0 + TURNED)));
    let after = predict::gains::<f64>(&build(&off)?, 0.0)?.common;
    if circuit.ohms.get(RG).is_some() {
        board.say(
            format!(
                "What three op amps add is RG, shared by both buffers. With a common mode alone both its ends stand at the \
                 same voltage: no current, whatever RF1, RF2 and RG are, and both outputs follow. So a mismatch of RF1 \
                 and RF2 makes no common-mode gain; with ideal op amps and RF1 1 % too large the network's A_cm \
                 {}. It only shifts the gain, and by half of itself.",
                if small(before) == small(after) {
                    format!("stays {}", small(before))
                } else {
                    format!("goes from {} to {}", small(before), small(after))
                }
            ),
            Some(law::STAGE_ONE_GAIN),
        );
    }
    let first = Equation::new("G1", Unit::Plain, stage_one_law(ground));
    let one = first.told();
    let buys = Equation::new("dB_1", Unit::Decibel, one.clone().in_decibels());
    board.write(
        "How much that gain buys: stage two, its four resistors, A3's own rejection and A3's offset all count G1 times \
         less at the input than they would without stage one, which in decibels is",
        buys,
        None,
        law::WHOLE_GAIN,
    );
    let second = Equation::new("G2", Unit::Plain, ground.needed(R2) / ground.needed(R1)).told();
    let against = one * (1.0 + second) / (1.0 + plain.gain());
    board.write(
        "Against one stage that makes the whole gain with equally good resistors the resistors gain less, since 1 + G \
         helps that stage too:",
        Equation::new("dB_G", Unit::Decibel, against.in_decibels()),
        None,
        law::RATIO_RESISTORS,
    );
    Ok(())
}

fn small(gain: f64) -> String {
    if gain.abs() < 1e-12 { "0".to_owned() } else { rounded(gain, Unit::Plain, 3) }
}

/// The same resistors with ideal op amps and nothing around.
fn ideal(circuit: &Circuit) -> Circuit {
    Circuit { opamps: std::collections::BTreeMap::new(), surroundings: Surroundings::default(), ..circuit.clone() }
}

fn two(ground: &Ground<'_>, board: &mut Board) {
    let ratio = 1.0 + ground.needed(R2) / ground.needed(R1);
    let ratio = board.write(
        "Two op amps do with one resistor for the gain as well, and with one op amp less than three. The price: A1 works \
         on the negative wire alone and has to amplify the common mode too, which A2 then takes away again. Per volt of \
         common mode A1's output moves by",
        Equation::new("A_cm1", Unit::Plain, ratio),
        None,
        law::FIRST_OF_TWO,
    );
    board.say(
        "So A1 runs out of swing first when the gain is low, and since its share comes late through one op amp more, the \
         rejection falls from a frequency on where three op amps still hold it.",
        Some(law::LOOP_GAIN_TWO),
    );
    if let Some(gain) = ground.stage().circuit.opamp(crate::designator::Amp::A1).open_loop_gain {
        let a = Expr::symbol("A_OL1", gain, Unit::Plain);
        let law_of = Equation::new("CMRR_A1", Unit::Decibel, (a / ratio).in_decibels());
        board.write(
            format!("At dc A1's open-loop gain of {} allows", rounded(decibels(gain), Unit::Decibel, 4)),
            law_of,
            None,
            law::LOOP_GAIN_TWO,
        );
    }
}
