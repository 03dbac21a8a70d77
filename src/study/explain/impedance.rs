//! What a wire sees.
use super::explanation::{Board, Explanation, Outcome, Topic};
use super::ground::Ground;
use super::law;
use crate::designator::Designator::{R1, R3, R4, R6};
use crate::designator::{Amp, Topology};
use crate::equation::{Equation, Expr};
use crate::predict::Impedance;
use crate::quantity::Unit;
use crate::topology::BuildFault;

pub(super) fn explain(ground: &Ground<'_>) -> Result<Explanation, BuildFault> {
    let exact = crate::study::impedance::figure(ground.stage())?;
    let mut board = Board::default();
    let by_hand = match ground.question.topology {
        Topology::Difference => bridge(ground, &exact, &mut board),
        _ => legs(ground, &exact, &mut board),
    };
    Ok(Explanation {
        meaning: "The impedance between the wires, Z_d, is the difference of their voltages over half the difference \
                  of their currents; that of the common mode, Z_cm, is the voltage of both wires over the current of \
                  both. The front end alone is meant: the source's own resistance is not part of it, the input filter \
                  and the bias-return resistors are. All of it is told at dc; capacitances come beside it as the \
                  frequency rises."
            .to_owned(),
        steps: board.steps,
        outcome: Some(Outcome {
            what: "impedance between the wires at dc",
            unit: Unit::Ohm,
            by_hand,
            exact: exact.differential_ohm,
            why: why(by_hand, exact.differential_ohm),
        }),
        ..Explanation::new(Topic::Impedance)
    })
}

fn why(by_hand: Option<f64>, exact: Option<f64>) -> Vec<String> {
    let close = match (by_hand, exact) {
        (None, None) => true,
        (Some(by_hand), Some(exact)) => (exact / by_hand - 1.0).abs() < 1e-6,
        _ => false,
    };
    vec![if close {
        "Nothing was left out.".to_owned()
    } else {
        "The equation leaves out finite gain and, with a difference amplifier, the op amp's own input resistance."
            .to_owned()
    }]
}

fn ohm(name: &'static str, law: Expr) -> Equation {
    Equation::new(name, Unit::Ohm, law)
}

/// Wires that end at op-amp inputs: only what lies beside these draws current.
fn legs(ground: &Ground<'_>, exact: &Impedance, board: &mut Board) -> Option<f64> {
    let single = ground.question.topology == Topology::SingleChip;
    let text = if single {
        "Each wire ends at an input of the chip, which takes no current: RG hangs on pins of its own, not on the source."
    } else {
        "Each wire ends at an op amp's input, which takes no current: the feedback network hangs on the op amps' \
         outputs, not on the source."
    };
    board.say(text, Some(law::LEVEL));
    let (negative, positive) = match ground.question.topology {
        Topology::SingleChip => (Amp::A1, Amp::A1),
        _ => (Amp::A1, Amp::A2),
    };
    let [p, n] = [("Z_p", positive), ("Z_n", negative)].map(|(name, amp)| leg(ground, name, amp));
    let (Some(p), Some(n)) = (p, n) else {
        board.say(
            "Nothing else is there, neither bias-return resistors nor a stated input resistance: the impedance is \
             unbounded, and the bias current has to come through the source.",
            Some(law::LEG_IMPEDANCE),
        );
        return None;
    };
    let p = board.write(
        format!(
            "What is left lies beside the input: the bias-return resistor and the {} own input resistance, behind the \
             filter's resistor where there is one:",
            if single { "chip's" } else { "op amp's" }
        ),
        p,
        exact.positive_ohm,
        law::LEG_IMPEDANCE,
    );
    let n = board.write("", n, exact.negative_ohm, law::LEG_IMPEDANCE);
    let common = ohm("Z_cm", p.clone().parallel(n.clone()));
    board.write("A common mode sees both legs side by side:", common, exact.common_mode_ohm, law::LEG_IMPEDANCE);
    let between = ohm("Z_d", 4.0 * Expr::parallel(p.clone(), n.clone()));
    let by_hand = between.value();
    let alike = (p.value() - n.value()).abs() <= 1e-12 * p.value();
    board.write(
        format!(
            "For a difference the wires stand at v_d/2 and -v_d/2. The currents are v_d/(2·Z_p) and -v_d/(2·Z_n), half of \
             their difference is v_d/4·(1/Z_p + 1/Z_n), and v_d over that is{}",
            if alike { " (with legs that are alike the same as Z_p + Z_n, one leg behind the other)" } else { "" }
        ),
        between,
        exact.differential_ohm,
        law::LEG_IMPEDANCE,
    );
    capacitance(ground, p, board);
    Some(by_hand)
}

/// Where the capacitances begin to count.
fn capacitance(ground: &Ground<'_>, leg: Expr, board: &mut Board) {
    let across = ground.filter().map(|filter| filter.differential_capacitor_f).filter(|&value| value > 0.0);
    let across = across.map(|value| 2.0 * Expr::symbol("C_D", value, Unit::Farad));
    let sum = match (across, ground.wire_farad(board)) {
        (Some(across), Some(wire)) => across + wire,
        (one, other) => match one.or(other) {
            Some(farad) => farad,
            None => return,
        },
    };
    board.write(
        "That is the value at dc. Beside each leg lie capacitances, of which a capacitor across the wires counts twice; \
         from about this frequency on they carry more current than the resistors, and the impedance falls:",
        Equation::new("f_Z", Unit::Hertz, 1.0 / (2.0 * Expr::Pi * leg * sum)),
        None,
        law::LEG_IMPEDANCE,
    );
}

fn leg(ground: &Ground<'_>, name: &'static str, amp: Amp) -> Option<Equation> {
    let beside = ground.load(amp)?;
    Some(ohm(
        name,
        match ground.filter().filter(|filter| filter.resistor_ohm > 0.0) {
            Some(filter) => Expr::symbol("R_fil", filter.resistor_ohm, Unit::Ohm) + beside,
            None => beside,
        },
    ))
}

/// Wires that end at R1 and R3.
fn bridge(ground: &Ground<'_>, exact: &Impedance, board: &mut Board) -> Option<f64> {
    let [r1, r3] = [R1, R3].map(|name| ground.needed(name));
    let r4 = ground.needed(R4);
    let divided = ground.ohm(R6).is_some();
    let below = match ground.ohm(R6) {
        Some(r6) => {
            let law = ohm("R_46", r4.parallel(r6));
            board.write("From the non-inverting node to ground and reference lie", law, None, law::BRIDGE_IMPEDANCE)
        }
        None => r4,
    };
    let around = Around::of(ground);
    let text = if divided {
        "The positive wire drives R3 and what lies behind it"
    } else {
        "The positive wire drives R3 and R4, one behind the other"
    };
    let inner = r3 + below.clone();
    let p = ohm("Z_p", around.seen(inner.clone()));
    let p = board.write(format!("{text}{}:", around.words()), p, exact.positive_ohm, law::BRIDGE_IMPEDANCE);
    let n = board.write(
        "The negative wire alone, the positive one at 0 V, sees R1 end at an inverting node that the op amp holds at 0 V:",
        ohm("Z_n", around.seen(r1.clone())),
        exact.negative_ohm,
        law::BRIDGE_IMPEDANCE,
    );
    let (how, share) = if around.is_bare() {
        ("Of v_p this share stands at both op-amp inputs:", below / p.clone())
    } else {
        (
            "Of v_p this share stands at both op-amp inputs, as it comes back through R1 to the negative wire (less what stays in \
             R_fil on the way in, and what R_b takes of it behind R1):",
            around.comes_back(below / inner, &p, r1),
        )
    };
    let share = board.write(
        format!(
            "The two wires are not alike, and the negative one's current depends on the positive one's voltage. {how}"
        ),
        Equation::new("k_x", Unit::Plain, share),
        None,
        law::BRIDGE_IMPEDANCE,
    );
    let one = || Expr::from(1.0);
    let common = ohm("Z_cm", one() / (one() / p.clone() + (1.0 - share.clone()) / n.clone()));
    board.write(
        "Both wires at v: the positive one takes v/Z_p, and Z_n sees only v - k_x·v:",
        common,
        exact.common_mode_ohm,
        law::BRIDGE_IMPEDANCE,
    );
    let between = ohm("Z_d", Expr::from(4.0) / (one() / p + (1.0 + share) / n));
    let by_hand = between.value();
    let alike = if around.is_bare() { "; with R3 = R1 and R4 = R2 it comes to 2·R1" } else { "" };
    board.write(
        format!("Wires at +v/2 and -v/2: Z_n now has v/2 and k_x·v/2 across it{alike}:"),
        between,
        exact.differential_ohm,
        law::BRIDGE_IMPEDANCE,
    );
    Some(by_hand)
}

/// What stands in front of R1 and R3, and beside them.
struct Around {
    filter: Option<Expr>,
    back: Option<Expr>,
}

impl Around {
    fn of(ground: &Ground<'_>) -> Self {
        let filter = ground.filter().map(|filter| filter.resistor_ohm).filter(|&ohm| ohm > 0.0);
        Self { filter: filter.map(|value| Expr::symbol("R_fil", value, Unit::Ohm)), back: ground.load(Amp::A1) }
    }

    const fn is_bare(&self) -> bool {
        self.filter.is_none() && self.back.is_none()
    }

    const fn words(&self) -> &'static str {
        match (&self.filter, &self.back) {
            (None, None) => "",
            (Some(_), None) => ", behind the filter's resistor",
            (None, Some(_)) => ", beside the bias-return resistor",
            (Some(_), Some(_)) => ", beside the bias-return resistor and behind the filter's",
        }
    }

    /// What a wire sees of a resistance there.
    fn seen(&self, inner: Expr) -> Expr {
        let beside = match &self.back {
            Some(back) => back.clone().parallel(inner),
            None => inner,
        };
        match &self.filter {
            Some(filter) => filter.clone() + beside,
            None => beside,
        }
    }

    fn comes_back(&self, share: Expr, positive: &Expr, r1: Expr) -> Expr {
        let in_front = match &self.filter {
            Some(filter) => share * ((positive.clone() - filter.clone()) / positive.clone()),
            None => share,
        };
        match &self.back {
            Some(back) => in_front * (back.clone() / (back.clone() + r1)),
            None => in_front,
        }
    }
}
