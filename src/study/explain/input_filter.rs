//! The input filter: its two corners, alone and where it stands, and its resistors as protection.
use super::explanation::{Board, Explanation, Outcome, Topic, signed};
use super::ground::Ground;
use super::law;
use crate::equation::{Equation, Expr};
use crate::predict::{FilterBandwidth, filter_in_circuit};
use crate::quantity::Unit;
use crate::stage::InputFilter;
use crate::study::filter;
use crate::topology::{BuildFault, build};

/// `None` inside where the spec has no filter.
pub(super) fn explain(ground: &Ground<'_>) -> Result<Result<Explanation, String>, BuildFault> {
    let told = filter::figure(ground.question, ground.stage())?;
    let (Some(figure), Some(stated)) = (told.figure, ground.filter()) else {
        return Ok(Err("input_filter".to_owned()));
    };
    let mut board = Board::default();
    let r = || Expr::symbol("R_fil", stated.resistor_ohm, Unit::Ohm);
    let across = || 2.0 * Expr::symbol("C_D", stated.differential_capacitor_f, Unit::Farad);
    let ground_c = || Expr::symbol("C_C", stated.common_capacitor_f, Unit::Farad);
    let corner = |name: &'static str, ohm: Expr, farad: Expr| {
        Equation::new(name, Unit::Hertz, 1.0 / (2.0 * Expr::Pi * ohm * farad))
    };
    board.say(
        "In each wire stands R_fil, from each input to ground lies C_C, and C_D lies across the two inputs. For a difference the \
         middle of C_D stands still, as if two capacitors of 2·C_D went from there to the two wires. For a common mode both \
         its ends move alike, and it does nothing.",
        Some(law::FILTER),
    );
    board.write(
        "By its own parts, which is what a data sheet tells, the filter is 3 dB down for a difference at",
        corner("f_D0", r(), across() + ground_c()),
        figure.alone.differential_hz,
        law::FILTER,
    );
    if stated.common_capacitor_f > 0.0 {
        board.write(
            "and for a common mode at",
            corner("f_C0", r(), ground_c()),
            figure.alone.common_mode_hz,
            law::FILTER,
        );
        board.write(
            "The capacitors to ground differ from each other and turn common mode into difference, which C_D takes back as \
             far as it is larger. Ten times C_C and more is the rule:",
            Equation::new(
                "k_DC",
                Unit::Plain,
                Expr::symbol("C_D", stated.differential_capacitor_f, Unit::Farad) / ground_c(),
            ),
            None,
            law::FILTER,
        );
    }
    let behind = ground.behind_filter(&mut board);
    let leg = ground.leg(&mut board).unwrap_or_else(r);
    let (difference, common) = match behind {
        Some(behind) => (across() + behind.clone(), Some(behind)),
        None => (across(), None),
    };
    let inside = corner("f_F", leg.clone(), difference);
    let by_hand = inside.value();
    board.write(
        "Where it stands the source lies in series with R_fil and the amplifier's input beside C_C, and for a difference it is \
         down at",
        inside,
        figure.in_circuit.differential_hz,
        law::FILTER,
    );
    let mut further = Vec::new();
    if let Some(common) = common {
        let inside = corner("f_FC", leg, common);
        let by_hand = inside.value();
        board.write("and for a common mode at", inside, figure.in_circuit.common_mode_hz, law::FILTER);
        further.push(Outcome {
            what: "corner for a common mode",
            unit: Unit::Hertz,
            by_hand: Some(by_hand),
            exact: figure.in_circuit.common_mode_hz,
            why: why(ground, |filter| filter.common_mode_hz, by_hand)?,
        });
    }
    let why = why(ground, |filter| filter.differential_hz, by_hand)?;
    protection(ground, stated, &mut board)?;
    Ok(Ok(Explanation {
        meaning: "The input filter keeps radio frequencies away from the amplifier, which would rectify them. It is told by the \
                  frequencies at which it is 3 dB down, for the difference of the wires and for what they have in common. \
                  What its tolerances do to the rejection stands in the working of the rejection."
            .to_owned(),
        steps: board.steps,
        outcome: Some(Outcome {
            what: "corner for a difference",
            unit: Unit::Hertz,
            by_hand: Some(by_hand),
            exact: figure.in_circuit.differential_hz,
            why,
        }),
        further,
        ..Explanation::new(Topic::InputFilter)
    }))
}

/// What the corner by hand leaves out, each with its share.
fn why(ground: &Ground<'_>, of: fn(&FilterBandwidth) -> Option<f64>, by_hand: f64) -> Result<Vec<String>, BuildFault> {
    let mut bare = ground.stage().circuit.clone();
    let Some(exact) = of(&filter_in_circuit(ground.stage())?) else { return Ok(Vec::new()) };
    let mut rest = exact / by_hand - 1.0;
    let mut lines = Vec::new();
    if ground.cable().is_some() {
        bare.surroundings.source.cable_capacitance_f = None;
        if let Some(without) = of(&filter_in_circuit(&build(&bare)?)?) {
            let change = (exact - without) / by_hand;
            rest -= change;
            lines.push(format!(
                "By hand the cable is left out, which lies between source and filter: behind the source's resistance it is a \
                 pole of its own: {}",
                signed(change)
            ));
        }
    }
    lines.push(format!("What bias return and input resistance draw, and inputs that are not alike: {}", signed(rest)));
    Ok(lines)
}

/// What a fault drives through the filter's resistor.
fn protection(ground: &Ground<'_>, stated: &InputFilter, board: &mut Board) -> Result<(), BuildFault> {
    let figure = filter::figure(ground.question, ground.stage())?.figure.and_then(|one| one.protection);
    let (Some(figure), Some(volt), Some(ampere)) = (figure, stated.fault_voltage_v, stated.fault_current_a) else {
        return Ok(());
    };
    let fault = Expr::symbol("V_fault", volt, Unit::Volt);
    let least = 1.0 - Expr::symbol("t_Rfil", stated.resistor_tolerance, Unit::Fraction);
    board.write(
        "As protection: the input is held at 0 V by its own diodes, and R_fil at its least alone stands against the fault. It \
         lets through",
        Equation::new(
            "I_fault",
            Unit::Ampere,
            fault.clone() / (Expr::symbol("R_fil", stated.resistor_ohm, Unit::Ohm) * least.clone()),
        ),
        figure.current_a,
        law::PROTECTION,
    );
    board.write(
        "To stay within what the inputs survive, I_max, each resistor has to be at least",
        Equation::new("R_min", Unit::Ohm, fault / (Expr::symbol("I_max", ampere, Unit::Ampere) * least)),
        figure.needed_ohm,
        law::PROTECTION,
    );
    Ok(())
}
