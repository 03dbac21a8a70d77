//! Rejection at the interference: what lags by a quarter period is added by itself, and then to what does
//! not, at a right angle.
use super::super::explanation::{Board, Outcome};
use super::super::given::index;
use super::super::ground::Ground;
use super::super::law;
use super::{Alone, Term, own_rejection, stage_gains};
use crate::corners::{self, ENUMERATED_AT_FREQUENCY, Method};
use crate::designator::Designator::{R1, R2, RF1};
use crate::designator::{Amp, Topology};
use crate::equation::{Equation, Expr};
use crate::quantity::{Unit, decibels as decibels_of, rounded};
use crate::stage::Cause;
use crate::study::rejection::{causes, decibels};
use crate::topology::BuildFault;

/// Harmonics that are told; the figure itself has the 2nd to the 10th.
const HARMONICS: [(f64, &str, &str); 2] = [(2.0, "c_h2", "CMRR_h2"), (10.0, "c_h10", "CMRR_h10")];

/// A cause that lags: its name, why, and its share of the common mode at a right angle.
struct Lagging {
    cause: Cause,
    name: &'static str,
    text: String,
    share: Expr,
    law: law::Law,
}

/// The whole at the interference, after what counts at dc; `None` where the spec states none.
pub(super) fn write(
    ground: &Ground<'_>,
    still: &[Term],
    at_dc: Option<Expr>,
    board: &mut Board,
) -> Result<Option<Outcome>, BuildFault> {
    let Some(interference) = ground.question.interference else { return Ok(None) };
    let hz = interference.frequency_hz;
    let worst_at = |hz: f64| -> Result<(Option<f64>, Method), BuildFault> {
        let quantities = ground.stage().quantities(ground.lot(), hz);
        let worst = corners::at_frequency(ground.stage(), &quantities, hz, ENUMERATED_AT_FREQUENCY)?;
        Ok((decibels(worst.rejection), worst.method))
    };
    let alone = Alone(causes(&ground.stage().circuit, ground.lot(), hz, ENUMERATED_AT_FREQUENCY)?);
    let all = lagging(ground, hz, board);
    let mut shares = Vec::new();
    for one in all {
        let share = board.write(one.text, Equation::new(one.name, Unit::Fraction, one.share), None, one.law);
        let own = still.iter().find(|term| term.cause == one.cause).map(|term| term.error.clone());
        let (text, whole) = match own {
            Some(own) => (
                "which with its own part that does not lag is alone a rejection of",
                (own.squared() + share.clone().squared()).root(),
            ),
            None => ("which alone is a rejection of", share.clone()),
        };
        let name = format!("CMRR_{}i", one.name.trim_start_matches("q_"));
        board.write(
            text,
            Equation::new(name, Unit::Decibel, (1.0 / whole).in_decibels()),
            alone.db(one.cause),
            law::RIGHT_ANGLE,
        );
        shares.push(share);
    }
    let (exact, method) = worst_at(hz)?;
    let lag = (!shares.is_empty()).then(|| {
        let sum = Equation::new("q_all", Unit::Fraction, Expr::sum(shares));
        board.write("All that lags, each at its worst and with the same sign:", sum, None, law::ADDED)
    });
    let whole = match (at_dc, lag.clone()) {
        (Some(still), Some(lag)) => {
            Some((still.clone(), Equation::new("c_i", Unit::Fraction, right_angle(still, lag))))
        }
        (None, Some(lag)) => Some((Expr::from(0.0), Equation::new("c_i", Unit::Fraction, lag))),
        (Some(still), None) => Some((still.clone(), Equation::new("c_i", Unit::Fraction, still))),
        (None, None) => None,
    };
    let Some((still, whole)) = whole else {
        board.say("Nothing lags and nothing is off: by hand the rejection is unbounded at the interference too.", None);
        return Ok(None);
    };
    let by_hand = decibels_of(1.0 / whole.value());
    let text = if lag.is_some() {
        "What lags by a quarter period stands at a right angle to what does not, so their squares add:"
    } else {
        "Nothing that the spec gives lags at this frequency, so it stays at"
    };
    let whole = board.write(text, whole, None, law::RIGHT_ANGLE);
    board.write(
        format!("So at {} there can be counted on", rounded(hz, Unit::Hertz, 4)),
        Equation::new("CMRR_i", Unit::Decibel, (Expr::from(1.0) / whole).in_decibels()),
        exact,
        law::REJECTION,
    );
    if let Some(lag) = lag {
        for (order, error, name) in HARMONICS {
            let exact = worst_at(order * hz)?.0;
            let law_of = right_angle(still.clone(), order * lag.clone());
            let text = format!(
                "At the {}th harmonic, {}, all that lags is {order} times as large:",
                order,
                rounded(order * hz, Unit::Hertz, 4)
            );
            let text = if order == 2.0 { text.replace("2th", "2nd") } else { text };
            let told = board.write(text, Equation::new(error, Unit::Fraction, law_of), None, law::RIGHT_ANGLE);
            let db = Equation::new(name, Unit::Decibel, (Expr::from(1.0) / told).in_decibels());
            board.write("which is a rejection of", db, exact, law::REJECTION);
        }
    }
    let mut why = vec![
        "By hand every cause counts to first order in its deviation and in the frequency. The network also has what two \
         causes make together, what the filter and the circuit's bandwidth take from common mode and difference alike, \
         and the gain as it is at the worst corner."
            .to_owned(),
    ];
    if method == Method::Searched {
        why.push("There are too many corners to try all of them: the network's figure was searched.".to_owned());
    }
    Ok(Some(Outcome {
        what: "worst rejection at the interference",
        unit: Unit::Decibel,
        by_hand: Some(by_hand),
        exact,
        why,
    }))
}

fn right_angle(still: Expr, lag: Expr) -> Expr {
    (still.squared() + lag.squared()).root()
}

fn lagging(ground: &Ground<'_>, hz: f64, board: &mut Board) -> Vec<Lagging> {
    let f = || Expr::symbol("f_i", hz, Unit::Hertz);
    let turn = || 2.0 * Expr::Pi * f();
    board.say(
        format!(
            "At the interference, f_i = {}, there is more. {}, and capacitances draw current; all of it lags by a quarter \
             period, in proportion to the frequency. Call that share q.",
            rounded(hz, Unit::Hertz, 4),
            match ground.question.topology {
                Topology::SingleChip => "The chip loses rejection",
                Topology::Difference => "The op amp loses rejection",
                _ => "Op amps lose rejection and gain",
            }
        ),
        Some(law::RIGHT_ANGLE),
    );
    let mut all = Vec::new();
    all.extend(own_errors(ground, &f));
    let slow = speed(ground, &f);
    if slow.is_none() && alike_in_speed(ground) {
        board.say(
            "A1 and A2 fall short of the common mode by f_i/GBW each, a quarter period behind. The spec gives both the same \
             gain-bandwidth product and no tolerance of it: they fall short alike, and nothing of it appears as a \
             difference. Two real op amps differ; gain_bandwidth_tolerance brings that in.",
            Some(law::SPEED_THREE),
        );
    }
    all.extend(slow);
    if let Some(d) = ground.imbalance()
        && let Some(c) = ground.wire_farad(board)
    {
        all.push(Lagging {
            cause: Cause::SourceImbalance,
            name: "q_s",
            text: "With dR_s between the legs of the source the wires lag differently behind what lies from each to ground:"
                .to_owned(),
            share: turn() * c * d,
            law: law::SOURCE_IMBALANCE,
        });
    }
    if let (Some(r), Some(dc)) = (ground.source_ohm(), ground.cable_difference(board)) {
        all.push(Lagging {
            cause: Cause::Cable,
            name: "q_cab",
            text: "The cable's halves do the same behind R_s:".to_owned(),
            share: turn() * r * dc,
            law: law::CABLE,
        });
    }
    all.extend(filter(ground, board, &turn));
    all.extend(stray(ground, &turn));
    all
}

/// The op amps' own rejection above its corner.
fn own_errors(ground: &Ground<'_>, f: &dyn Fn() -> Expr) -> Vec<Lagging> {
    let circuit = &ground.stage().circuit;
    let front = circuit.first_stage();
    let two = circuit.topology == Topology::TwoOpAmp;
    let one = |amp: Amp| {
        let data = circuit.opamp(amp);
        let corner = Expr::symbol(format!("f_c{}", index(amp)), data.rejection_corner_hz?, Unit::Hertz);
        Some((corner, own_rejection(amp, data.rejection?)))
    };
    let mut all = Vec::new();
    let in_front: Vec<Expr> =
        front.iter().filter_map(|&amp| one(amp)).map(|(corner, ratio)| f() / (corner * ratio)).collect();
    if !in_front.is_empty() {
        all.push(Lagging {
            cause: Cause::FirstStageOpAmps,
            name: "q_1",
            text: "An op amp's common-mode error grows as 1 + j·f/f_c: f_i/f_c of it stands in quadrature, and rules above f_c:"
                .to_owned(),
            share: Expr::sum(in_front),
            law: law::REJECTION_CORNER,
        });
    }
    let last = circuit.topology.amps().iter().copied().rfind(|amp| !front.contains(amp));
    if let Some((corner, ratio)) = last.and_then(one) {
        let first = stage_gains(ground).first.filter(|_| !two);
        let below = match first {
            Some(first) => first * corner * ratio,
            None => corner * ratio,
        };
        let text = if circuit.topology == Topology::SingleChip {
            "The chip's common-mode error grows as 1 + j·f/f_c: f_i/f_c of it stands in quadrature, and rules above f_c:"
        } else if all.is_empty() {
            "An op amp's common-mode error grows as 1 + j·f/f_c: f_i/f_c of it stands in quadrature, and rules above f_c:"
        } else {
            "and likewise of the output op amp:"
        };
        all.push(Lagging {
            cause: Cause::OutputOpAmp,
            name: if front.is_empty() { "q_1" } else { "q_2" },
            text: text.to_owned(),
            share: f() / below,
            law: law::REJECTION_CORNER,
        });
    }
    all
}

/// A1 and A2 have a speed, and by the spec the same one.
fn alike_in_speed(ground: &Ground<'_>) -> bool {
    let of = |amp: Amp| ground.stage().circuit.opamp(amp).gain_bandwidth_hz;
    let side_by_side = matches!(ground.question.topology, Topology::ThreeOpAmp | Topology::BufferedDifference);
    side_by_side && of(Amp::A1).is_some() && of(Amp::A1) == of(Amp::A2)
}

/// Op amps that fall short of the common mode by f/GBW.
fn speed(ground: &Ground<'_>, f: &dyn Fn() -> Expr) -> Option<Lagging> {
    let circuit = &ground.stage().circuit;
    let of = |amp: Amp| {
        let data = circuit.opamp(amp);
        let gbw = Expr::symbol(format!("GBW_{}", index(amp)), data.gain_bandwidth_hz?, Unit::Hertz);
        let t = Expr::symbol(format!("t_GBW{}", index(amp)), data.gain_bandwidth_tolerance, Unit::Fraction);
        Some((gbw, t))
    };
    // the nominal product times one less, or one more, its tolerance
    let at_end = |(gbw, t): (Expr, Expr), sign: f64| match t.value() {
        0.0 => gbw,
        _ if sign < 0.0 => gbw * (1.0 - t),
        _ => gbw * (1.0 + t),
    };
    let lagging =
        |text: String, share: Expr, law| Lagging { cause: Cause::GainBandwidth, name: "q_GBW", text, share, law };
    match circuit.topology {
        Topology::ThreeOpAmp | Topology::BufferedDifference => {
            let (first, second) = (of(Amp::A1), of(Amp::A2));
            let candidates = [(first.clone(), second.clone()), (second, first)];
            let share = candidates.into_iter().filter_map(|(slow, fast)| {
                let slow = f() / at_end(slow?, -1.0);
                Some(match fast {
                    Some(fast) => slow - f() / at_end(fast, 1.0),
                    None => slow,
                })
            });
            let share = share.max_by(|a, b| a.value().total_cmp(&b.value())).filter(|share| share.value() > 0.0)?;
            Some(lagging(
                "A1 and A2 fall short of the common mode by f_i/GBW each, a quarter period behind; what counts is by how \
                 much they differ, at the worst one as slow and the other as fast as may be:"
                    .to_owned(),
                share,
                law::SPEED_THREE,
            ))
        }
        Topology::TwoOpAmp => {
            let slow = at_end(of(Amp::A1)?, -1.0);
            let ratio = 1.0 + ground.needed(R2) / ground.needed(R1);
            Some(lagging(
                "A1 amplifies the common mode by 1 + R2/R1 before A2 takes it away again, and what A1 makes of it lags by \
                 its own f_i/GBW; A2's output holds no more than the difference. At the worst A1 is as slow as may be:"
                    .to_owned(),
                ratio * f() / slow,
                law::SPEED_TWO,
            ))
        }
        Topology::Difference | Topology::SingleChip => None,
    }
}

fn filter(ground: &Ground<'_>, board: &mut Board, turn: &dyn Fn() -> Expr) -> Option<Lagging> {
    let leg = ground.leg(board);
    let capacitors = leg.zip(ground.filter_farad_difference(board)).map(|(r, dc)| r * dc);
    let resistors = ground.behind_filter(board).zip(ground.filter_ohm_difference(board)).map(|(c, dr)| c * dr);
    let sum = match (capacitors, resistors) {
        (Some(one), Some(other)) => one + other,
        (one, other) => one.or(other)?,
    };
    Some(Lagging {
        cause: Cause::InputFilter,
        name: "q_fil",
        text:
            "The filter's own parts make the two inputs lag differently, by its capacitors and by its resistors (the \
               capacitor across the inputs makes nothing of a common mode):"
                .to_owned(),
        share: turn() * sum,
        law: law::CABLE,
    })
}

fn stray(ground: &Ground<'_>, turn: &dyn Fn() -> Expr) -> Option<Lagging> {
    let circuit = &ground.stage().circuit;
    let farad = circuit.surroundings.strays.rg_capacitance_f;
    let gain = stage_gains(ground).first.filter(|_| farad > 0.0)?;
    let dc = Expr::symbol("dC_G", farad, Unit::Farad);
    let (text, resistor) = match circuit.topology {
        Topology::ThreeOpAmp => {
            ("One end of RG has dC_G more to ground than the other, and its op amp makes more of the common mode:", RF1)
        }
        Topology::TwoOpAmp => {
            ("A1's end of RG has dC_G more to ground than A2's, beside R1, and A1 makes more of the common mode:", R2)
        }
        _ => return None,
    };
    let mut share = turn() * ground.needed(resistor) * dc;
    if circuit.topology == Topology::TwoOpAmp {
        share =
            share * ground.needed(crate::designator::Designator::R4) / ground.needed(crate::designator::Designator::R3);
    }
    Some(Lagging { cause: Cause::Strays, name: "q_G", text: text.to_owned(), share: share / gain, law: law::STRAY })
}
