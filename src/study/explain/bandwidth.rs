//! Bandwidth: each op amp's own, the filter's, and what they leave together.
use super::explanation::{Board, Explanation, Outcome, Topic, signed};
use super::gain::stage_one_law;
use super::given::index;
use super::ground::Ground;
use super::law;
use super::stage_two::{noise_gain_line, whole};
use crate::designator::Designator::{R1, R2, RG};
use crate::designator::{Amp, Topology};
use crate::equation::{Equation, Expr};
use crate::predict;
use crate::quantity::{Unit, rounded};
use crate::study::bandwidth::{self, BandwidthFigure};
use crate::topology::{BuildFault, build};

/// `None` inside where inputs are missing, with the keys.
pub(super) fn explain(ground: &Ground<'_>) -> Result<Result<Explanation, String>, BuildFault> {
    let told = bandwidth::figure(ground.question, ground.stage())?;
    let Some(figure) = told.figure else {
        return Ok(Err(told.not_predicted.into_iter().next().map_or_else(String::new, |missing| missing.needs)));
    };
    let mut board = Board::default();
    let mut poles = op_amps(ground, &mut board);
    poles.extend(pair(ground, &mut board));
    poles.extend(chip(ground, &mut board));
    poles.extend(in_front(ground, &mut board)?);
    let by_hand = match poles.as_slice() {
        [] => None,
        [only] => Some(only.value()),
        _ => Some(together(poles, figure.small_signal_hz, &mut board)),
    };
    full_power(ground, &figure, &mut board);
    let why = why(ground, by_hand, &figure)?;
    Ok(Ok(Explanation {
        meaning: format!(
            "The bandwidth is the lowest frequency at which the gain is 3 dB below its dc value. {}",
            match ground.question.topology {
                Topology::SingleChip =>
                    "The more gain is asked of a chip the less bandwidth is left, as its data sheet lists it.",
                _ =>
                    "An op amp's open-loop gain falls in proportion to the frequency, to 1 at GBW: the more gain is asked of \
                      it the less bandwidth is left.",
            }
        ),
        steps: board.steps,
        outcome: Some(Outcome {
            what: "small-signal bandwidth",
            unit: Unit::Hertz,
            by_hand,
            exact: figure.small_signal_hz,
            why,
        }),
        ..Explanation::new(Topic::Bandwidth)
    }))
}

/// Poles one behind the other: a first guess, and then where the droops come to 3 dB.
fn together(poles: Vec<Expr>, exact: Option<f64>, board: &mut Board) -> f64 {
    let corners: Vec<f64> = poles.iter().map(Expr::value).collect();
    let sum = Expr::sum(poles.iter().map(|one| (1.0 / one.clone()).squared()));
    board.write(
        "Each of these is a pole; it divides the squared gain by 1 + (f/f_pole)². One behind the other they multiply, and 3 dB \
         down is where the product is 2. Without the products of their small parts, which count least where one pole is far \
         below the others, that makes a first guess: the squares of the time constants added. It is always too high:",
        Equation::new("f_guess", Unit::Hertz, 1.0 / sum.root()),
        None,
        law::POLES_TOGETHER,
    );
    let hz = three_decibels_down(&corners);
    let f = Expr::symbol("f_3dB", hz, Unit::Hertz);
    let factors = poles.into_iter().map(|pole| 1.0 + (f.clone() / pole).squared());
    let product = factors.reduce(|a, b| a * b).unwrap_or(Expr::Number(1.0));
    board.write(
        format!(
            "The product itself is 2 at f_3dB = {} by hand, found by trial{}; put in, it gives",
            rounded(hz, Unit::Hertz, 5),
            exact.map_or_else(String::new, |exact| format!(" (network {})", rounded(exact, Unit::Hertz, 5)))
        ),
        Equation::new("P", Unit::Plain, product),
        None,
        law::POLES_TOGETHER,
    );
    hz
}

/// Where poles one behind the other are 3 dB down together.
fn three_decibels_down(corners: &[f64]) -> f64 {
    let product = |hz: f64| corners.iter().map(|corner| 1.0 + (hz / corner) * (hz / corner)).product::<f64>();
    let (mut low, mut high) = (0.0, corners.iter().copied().fold(f64::INFINITY, f64::min));
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if product(middle) < 2.0 { low = middle } else { high = middle }
    }
    f64::midpoint(low, high)
}

/// Source, cable and filter.
fn in_front(ground: &Ground<'_>, board: &mut Board) -> Result<Vec<Expr>, BuildFault> {
    let mut poles = Vec::new();
    if let Some(filter) = ground.filter() {
        let across = Expr::symbol("C_D", filter.differential_capacitor_f, Unit::Farad);
        let behind = ground.behind_filter(board);
        if let Some(leg) = ground.leg(board) {
            let mut farad = 2.0 * across;
            if let Some(behind) = behind {
                farad = farad + behind;
            }
            let law = 1.0 / (2.0 * Expr::Pi * leg * farad);
            let exact = predict::filter_in_circuit(ground.stage())?.differential_hz;
            poles.push(board.write(
                "The input filter has the leg in front of each capacitor, and a difference sees C_D, which lies across, twice \
                 (the network's figure is that of filter and cable together):",
                Equation::new("f_F", Unit::Hertz, law),
                exact,
                law::FILTER,
            ));
        }
    }
    if let (Some(source), Some(cable)) = (ground.source_ohm(), ground.cable()) {
        let farad = match (ground.filter(), ground.behind_filter(board)) {
            (None, Some(_)) => ground.wire_farad(board).unwrap_or(cable),
            _ => cable,
        };
        poles.push(board.write(
            "Each leg of the source works into its half of the cable:",
            Equation::new("f_cab", Unit::Hertz, 1.0 / (2.0 * Expr::Pi * source * farad)),
            None,
            law::FILTER,
        ));
    }
    Ok(poles)
}

fn plain(name: &'static str, law: Expr) -> Equation {
    Equation::new(name, Unit::Plain, law)
}

fn speed(ground: &Ground<'_>, amp: Amp) -> Option<Expr> {
    let hz = ground.stage().circuit.opamp(amp).gain_bandwidth_hz?;
    Some(Expr::symbol(format!("GBW_{}", index(amp)), hz, Unit::Hertz))
}

/// The op amps in the way of the signal, each with the gain its loop has to make.
fn op_amps(ground: &Ground<'_>, board: &mut Board) -> Vec<Expr> {
    let mut poles = Vec::new();
    let mut own = |text: &str, amp: Amp, by: Expr, board: &mut Board| {
        let law = Equation::new(format!("f_A{}", index(amp)), Unit::Hertz, by);
        poles.push(board.write(text, law, None, law::CLOSED_LOOP));
    };
    match ground.question.topology {
        Topology::ThreeOpAmp => {
            if let Some(gbw) = speed(ground, Amp::A2) {
                let gain = board.write(
                    "For a difference the middle of RG stands still, so A1 and A2, side by side and alike, each have to make \
                     the gain",
                    plain("G1", stage_one_law(ground)),
                    None,
                    law::STAGE_ONE_GAIN,
                );
                own("which leaves it a bandwidth of", Amp::A2, gbw / gain, board);
            }
        }
        Topology::BufferedDifference => {
            if let Some(gbw) = speed(ground, Amp::A2) {
                let text = "A1 and A2, side by side and alike, only have to follow, which leaves each the whole of its product:";
                own(text, Amp::A2, gbw, board);
            }
        }
        _ => {}
    }
    if let Some((amp, gbw)) = super::stage_two::last(ground).and_then(|amp| Some((amp, speed(ground, amp)?))) {
        let gain = noise_gain_line(ground, amp, board);
        own(&format!("{amp}'s loop has to make that gain, which leaves it a bandwidth of"), amp, gbw / gain, board);
    }
    poles
}

/// A chip's own bandwidth at its gain.
fn chip(ground: &Ground<'_>, board: &mut Board) -> Option<Expr> {
    let circuit = &ground.stage().circuit;
    let (chip, gain) = (circuit.chip.as_ref()?, circuit.chip_gain()?);
    let above = chip.bandwidth.iter().position(|row| row.gain >= gain);
    let hertz = |name: &'static str, value: f64| Expr::symbol(name, value, Unit::Hertz);
    let (text, law) = match above {
        Some(above) if above > 0 && chip.bandwidth[above].gain > gain => {
            let (low, high) = (chip.bandwidth[above - 1], chip.bandwidth[above]);
            let plain = |name: &'static str, value: f64| Expr::symbol(name, value, Unit::Plain);
            let share = |of: Expr| (of / plain("G_a", low.gain)).ln();
            let step = share(whole(ground).told()) / share(plain("G_b", high.gain));
            let ratio = hertz("BW_b", high.value) / hertz("BW_a", low.value);
            let law = hertz("BW_a", low.value) * ratio.power(step);
            (
                "The data sheet lists the bandwidth at some gains. Between the rows at G_a and G_b, the nearest to this gain, a \
                 straight line is taken with both axes logarithmic, by convention:",
                law,
            )
        }
        Some(at) => {
            let row = chip.bandwidth[at];
            let text = if row.gain > gain {
                "The data sheet lists no bandwidth at so low a gain; that of its first row is taken:"
            } else {
                "The data sheet lists the bandwidth at this very gain:"
            };
            (text, hertz("BW_a", row.value))
        }
        None => {
            let text = "The data sheet lists no bandwidth at so high a gain; that of its last row is taken:";
            (text, hertz("BW_a", chip.bandwidth.last()?.value))
        }
    };
    Some(board.write(text, Equation::new("f_chip", Unit::Hertz, law), None, law::CHIP_GAIN))
}

/// Two op amps one behind the other whose errors add.
fn pair(ground: &Ground<'_>, board: &mut Board) -> Option<Expr> {
    if ground.question.topology != Topology::TwoOpAmp {
        return None;
    }
    let (first, second) = (speed(ground, Amp::A1)?, speed(ground, Amp::A2)?);
    let swing = of_first(ground, board);
    let law = 1.0 / (whole(ground).told() / second + swing / first);
    Some(board.write(
        "An op amp misses its input by its output over its open-loop gain, which is GBW/f, and a quarter period late. Both \
         errors take away from the difference, so they add:",
        Equation::new("f_A", Unit::Hertz, law),
        None,
        law::CLOSED_LOOP,
    ))
}

/// How far A1's output of two op amps moves for a difference.
fn of_first(ground: &Ground<'_>, board: &mut Board) -> Expr {
    let [r1, r2] = [R1, R2].map(|name| ground.needed(name));
    let through = 0.5 + r2.clone() / (2.0 * r1);
    let law = match ground.ohm(RG) {
        Some(rg) => through + r2 / rg,
        None => through,
    };
    board.once(
        "With v_d/2 on one wire and -v_d/2 on the other A2's output moves by G for each volt of difference, and A1's the other \
         way by",
        plain("A_d1", law),
        law::FIRST_OF_TWO,
    )
}

fn full_power(ground: &Ground<'_>, figure: &BandwidthFigure, board: &mut Board) {
    let Some(limit) = figure.full_power.and_then(|line| line.limited) else { return };
    let Some(slew) = ground.stage().circuit.opamp(limit.amp).slew_rate_v_per_s else { return };
    let topology = ground.question.topology;
    let Some(scale) = ground.full_scale(board) else { return };
    let (text, swing) = match (topology, limit.amp) {
        (Topology::TwoOpAmp, Amp::A1) => (
            "Slewing. A1 is the first that can't follow. Over the whole of it A1's output swings up and down from its middle by",
            of_first(ground, board) * scale / Expr::from(2.0),
        ),
        (Topology::ThreeOpAmp, Amp::A1 | Amp::A2) => (
            "Slewing. The input op amps are the first that can't follow: A3 makes of their difference no more than each of \
             them swings by itself. Each of their outputs carries half of the amplified difference, and over the whole of it \
             swings up and down from its middle by",
            Equation::new("G1", Unit::Plain, stage_one_law(ground)).told() * scale / Expr::from(4.0),
        ),
        (Topology::BufferedDifference, Amp::A1 | Amp::A2) => (
            "Slewing. The followers are the first that can't follow: A3 swings no more than each of them. Each carries half of \
             the difference, and over the whole of it swings up and down from its middle by",
            scale / Expr::from(4.0),
        ),
        _ => (
            "Slewing. Over the whole of it the output swings up and down from its middle by",
            whole(ground).told() * scale / Expr::from(2.0),
        ),
    };
    let peak = board.write(text, Equation::new("V_peak", Unit::Volt, swing), None, law::FULL_POWER);
    let rate = Expr::symbol(format!("SR_{}", index(limit.amp)), slew, Unit::VoltPerSecond);
    let who = if topology == Topology::SingleChip { "the chip" } else { limit.amp.name() };
    board.write(
        format!("and a sine of that peak is as steep as {who} can follow at"),
        Equation::new("f_p", Unit::Hertz, rate / (2.0 * Expr::Pi * peak)),
        limit.hz,
        law::FULL_POWER,
    );
}

/// What is left between the poles by hand and the network: what the op amps' inputs do, and the rest.
fn why(ground: &Ground<'_>, by_hand: Option<f64>, figure: &BandwidthFigure) -> Result<Vec<String>, BuildFault> {
    let (Some(by_hand), Some(exact)) = (by_hand, figure.small_signal_hz) else {
        return Ok(vec!["The spec gives nothing that would limit it by hand.".to_owned()]);
    };
    let mut lines = Vec::new();
    let mut bare = ground.stage().circuit.clone();
    bare.opamps.values_mut().for_each(|data| data.input_capacitance_f = None);
    let without = bandwidth::figure(ground.question, &build(&bare)?)?.figure.and_then(|one| one.small_signal_hz);
    let mut rest = exact / by_hand - 1.0;
    if let Some(without) = without {
        let change = (exact - without) / by_hand;
        if change.abs() > 1e-5 {
            rest -= change;
            lines.push(format!(
                "capacitance of the inputs on the inner nodes and in front, which lets loops lag and the gain rise before it \
                 falls: {}",
                signed(change)
            ));
        }
    }
    lines.push(format!("{}: {}", left_out(ground).join("; "), signed(rest)));
    if let Some(db) = figure.peaking_db.filter(|&db| db > 0.05) {
        lines.push(format!(
            "The network peaks by {} before it falls; poles on the real axis never do.",
            rounded(db, Unit::Decibel, 3)
        ));
    }
    Ok(lines)
}

/// What the poles by hand leave out in this circuit.
fn left_out(ground: &Ground<'_>) -> Vec<&'static str> {
    let circuit = &ground.stage().circuit;
    let mut all = Vec::new();
    if ground.cable().is_some() && ground.filter().is_some() {
        all.push("cable and filter load each other, and are by hand told as if each stood alone");
    }
    if ground.question.topology == Topology::TwoOpAmp {
        all.push("the two op amps are taken as one pole; what both lag together counts too");
    }
    if circuit.opamps.values().any(|data| data.open_loop_gain.is_some()) {
        all.push("finite open-loop gain, which lowers the gain at dc that the 3 dB count from");
    }
    if all.is_empty() {
        all.push("what is drawn in front of the inputs");
    }
    all
}
