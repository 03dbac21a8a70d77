//! What a pin's voltage comes from at one corner of the signals, in words and as a law.
use super::gain::stage_one_law;
use super::ground::Ground;
use super::stage_two::whole;
use crate::designator::Designator::{R1, R2, R3, R4, R6, RG};
use crate::designator::Topology;
use crate::equation::{Equation, Expr};
use crate::quantity::Unit;

/// Common mode and difference.
pub(super) type Corner = (Expr, Expr);

/// A pin at one corner.
pub(super) struct Swing {
    pub(super) text: String,
    /// `v_A1`; the end of the range is put behind it.
    pub(super) symbol: &'static str,
    pub(super) law: Expr,
}

/// `None` for a pin that has no law here.
pub(super) fn law_of(ground: &Ground<'_>, point: &str, corner: &Corner) -> Option<Swing> {
    let common = || corner.0.clone();
    let half = || corner.1.clone() / Expr::from(2.0);
    let swing = |text: String, symbol: &'static str, law: Expr| Some(Swing { text, symbol, law });
    let (amp, pin) = point.split_once(' ')?;
    let topology = ground.question.topology;
    let last = topology.amps().last()?.name();
    let wire = |positive: bool| if positive { common() + half() } else { common() - half() };
    let first = || Equation::new("G1", Unit::Plain, stage_one_law(ground)).told();
    let input = pin.ends_with("input");
    if pin.ends_with("inner node") {
        return inner(ground, pin, corner);
    }
    if topology == Topology::SingleChip && input {
        let positive = pin.starts_with('+');
        let symbol = if positive { "v_p" } else { "v_n" };
        return swing("The chip's inputs stand at the wires:".to_owned(), symbol, wire(positive));
    }
    if amp == last && !input {
        let text = match topology {
            Topology::SingleChip => "The chip's output stands around the reference:".to_owned(),
            _ => format!("{amp}'s output is the circuit's, around the reference:"),
        };
        return swing(text, "v_out", ground.reference() + whole(ground).told() * corner.1.clone());
    }
    let in_front = amp != last || topology == Topology::TwoOpAmp;
    if in_front && input {
        let text = format!("{amp}'s inputs stand at its wire:");
        return swing(text, if amp == "A1" { "v_n" } else { "v_p" }, wire(amp != "A1"));
    }
    if in_front {
        return match topology {
            Topology::TwoOpAmp => first_of_two(ground, corner),
            Topology::ThreeOpAmp => {
                let text =
                    format!("{amp}'s output carries the whole common mode, and half of the amplified difference:");
                let driven = first() * half();
                match amp {
                    "A1" => swing(text, "v_A1", common() - driven),
                    _ => swing(text, "v_A2", common() + driven),
                }
            }
            _ => {
                swing(format!("{amp} follows its wire:"), if amp == "A1" { "v_A1" } else { "v_A2" }, wire(amp != "A1"))
            }
        };
    }
    let [r3, r4] = [R3, R4].map(|name| ground.needed(name));
    let side = if topology == Topology::ThreeOpAmp { common() + first() * half() } else { wire(true) };
    let one = || Expr::from(1.0);
    let law = match ground.ohm(R6) {
        None => (side * r4.clone() + ground.reference() * r3.clone()) / (r3 + r4),
        Some(r6) => (side / r3.clone() + ground.reference() / r4.clone()) / (one() / r3 + one() / r4 + one() / r6),
    };
    swing(format!("{amp}'s inputs stand at what the divider at the non-inverting one leaves:"), "v_x", law)
}

fn first_of_two(ground: &Ground<'_>, corner: &Corner) -> Option<Swing> {
    let [r1, r2] = [R1, R2].map(|name| ground.needed(name));
    let low = || corner.0.clone() - corner.1.clone() / Expr::from(2.0);
    let through = (low() - ground.reference()) / r1;
    let current = match ground.ohm(RG) {
        Some(rg) => through - corner.1.clone() / rg,
        None => through,
    };
    Some(Swing {
        text: "A1 works on the negative wire and carries the common mode, amplified by 1 + R2/R1, away from the reference:"
            .to_owned(),
        symbol: "v_A1",
        law: low() + r2 * current,
    })
}

/// Inside a chip of two stages, as far as its data sheet tells the first one's gain.
fn inner(ground: &Ground<'_>, pin: &str, corner: &Corner) -> Option<Swing> {
    let stated = ground.question.chip.as_ref().and_then(|chip| chip.stage_one_gain);
    let gain = match stated {
        Some(gain) => Expr::symbol("G1", gain, Unit::Plain),
        None => whole(ground).told(),
    };
    let driven = gain * corner.1.clone() / Expr::from(2.0);
    let positive = pin.starts_with('+');
    Some(Swing {
        text:
            "Inside, the outputs of the first stage carry the common mode and half of what it makes of the difference \
               (the whole gain, unless the spec tells its share):"
                .to_owned(),
        symbol: if positive { "v_2" } else { "v_1" },
        law: if positive { corner.0.clone() + driven } else { corner.0.clone() - driven },
    })
}
