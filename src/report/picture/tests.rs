//! No word of a picture touches another, a wire, or the edge, whatever the values are.
use super::canvas::Canvas;
use super::histogram::{Bound, histogram};
use super::letters::Frame;
use super::stack::{Share, stack};
use super::{Picture, causes, circuit, rejection, window};
use crate::corners::Method;
use crate::designator::{Designator, Topology};
use crate::quantity::Unit;
use crate::study::{
    CauseLine, Design, GainFigure, HeadroomFigure, InputFilter, LargestGain, LimitLine, NodeVoltage, NodesFigure,
    PickKind, Rectangle, RejectionAt, RejectionFigure, ResistorLine, Source, Surroundings, SweepPoint, WindowVertex,
};
use proptest::collection::vec;
use proptest::prelude::*;
use std::collections::BTreeMap;

/// Any value from `10^low` to `10^high`.
fn decades(low: f64, high: f64) -> impl Strategy<Value = f64> {
    (low..high).prop_map(|decade| libm::pow(10.0, decade))
}

fn signed(low: f64, high: f64) -> impl Strategy<Value = f64> {
    (decades(low, high), any::<bool>()).prop_map(|(size, minus)| if minus { -size } else { size })
}

fn level() -> impl Strategy<Value = Option<f64>> {
    prop::option::weighted(0.8, -80.0..200.0)
}

fn topology() -> impl Strategy<Value = Topology> {
    prop::sample::select(Topology::ALL.to_vec())
}

fn resistors(topology: Topology, ohms: &[Option<f64>]) -> Vec<ResistorLine> {
    let mut names = topology.resistors().to_vec();
    if topology == Topology::Difference {
        names.extend([Designator::R5, Designator::R6]);
    }
    let line = |(name, ohm): (Designator, &Option<f64>)| ResistorLine {
        name,
        kind: if ohm.is_some() { PickKind::Single } else { PickKind::Open },
        ohm: if name == Designator::RG { *ohm } else { ohm.or(Some(999_999.0)) },
        parts_ohm: ohm.iter().copied().collect(),
        marking: None,
        tolerance: 0.01,
        tempco_per_k: 0.0,
        chosen: true,
        power_w: None,
    };
    let drawn = |line: &ResistorLine| !matches!(line.name, Designator::R5 | Designator::R6) || ohms[0].is_some();
    names.into_iter().zip(ohms).map(line).filter(drawn).collect()
}

fn nodes(topology: Topology, volts: &[f64]) -> NodesFigure {
    let mut names: Vec<String> =
        ["+ input", "- input", "+ source", "+ line", "- source", "- line"].map(str::to_owned).to_vec();
    for amp in topology.amps() {
        names.extend(["output", "+ input", "- input"].map(|word| format!("{amp} {word}")));
    }
    names.push("output".to_owned());
    let voltages = names.into_iter().zip(volts).map(|(node, v)| NodeVoltage { node, v: *v }).collect();
    NodesFigure { differential_v: volts[0], common_mode_v: volts[1], voltages }
}

fn headroom(corners: &[(f64, f64)], signal: (f64, f64)) -> HeadroomFigure {
    HeadroomFigure {
        fits: true,
        margin_v: 0.1,
        limiting: "A1 output".to_owned(),
        worst_margin_v: 0.1,
        points: vec![],
        signals: Rectangle {
            common_mode_v: (signal.0, signal.0 + signal.1.abs()),
            differential_v: (-signal.1.abs(), signal.1.abs()),
        },
        window: corners
            .iter()
            .map(|&(common_mode_v, differential_v)| WindowVertex { common_mode_v, differential_v })
            .collect(),
        largest_gain: LargestGain::Unbounded,
    }
}

fn limits(wanted: &[Option<f64>; 2]) -> Vec<LimitLine> {
    let line = |(limit, required): (&'static str, f64)| LimitLine {
        limit,
        unit: Unit::Decibel,
        required,
        predicted: None,
        margin: None,
        met: None,
        would_meet: vec![],
    };
    let named = ["rejection", "rejection_at_interference"].into_iter().zip(wanted);
    named.filter_map(|(limit, required)| Some((limit, (*required)?))).map(line).collect()
}

const CAUSES: [&str; 12] = [
    "gain-set resistors",
    "ratio resistors",
    "first-stage op amps",
    "output op amp",
    "open-loop gain",
    "source imbalance",
    "reference resistance",
    "bias return",
    "input filter",
    "gain bandwidth",
    "cable",
    "strays",
];

fn rejections(levels: &[Option<f64>], (from, width): (f64, f64), hz: Option<f64>) -> RejectionFigure {
    let last = f64::from(u32::try_from(levels.len() - 1).expect("few"));
    let point = |(at, level): (u32, &Option<f64>)| SweepPoint {
        hz: libm::pow(10.0, from + width * f64::from(at) / last),
        nominal_db: level.map(|db| db + 7.0),
        worst_db: *level,
        rti_db: None,
        rough: level.is_some_and(|db| db < 20.0),
    };
    let there = |hz| RejectionAt { hz, worst_db: levels[0], rti_db: None, method: Method::Corners, causes: vec![] };
    let cause = |(cause, alone_db): (&str, &Option<f64>)| CauseLine { cause: cause.to_owned(), alone_db: *alone_db };
    RejectionFigure {
        nominal_db: None,
        worst_db: None,
        method: Method::Proven,
        closed_form_db: None,
        closed_form_note: None,
        at_interference: hz.map(there),
        harmonics: vec![],
        causes: CAUSES.into_iter().zip(levels).map(cause).collect(),
        sweep: (0_u32..).zip(levels).map(point).collect(),
    }
}

prop_compose! {
    /// Each part there or not, of any size.
    fn surroundings()(
        ohms in vec(prop::option::of(decades(-2.0, 9.0)), 4),
        farads in vec(prop::option::of(decades(-13.0, 0.0)), 3),
        filtered in any::<bool>(),
    ) -> Surroundings {
        let filter = InputFilter {
            resistor_ohm: ohms[2].unwrap_or(0.0),
            common_capacitor_f: farads[1].unwrap_or(0.0),
            differential_capacitor_f: farads[2].unwrap_or(0.0),
            resistor_tolerance: 0.01,
            capacitor_tolerance: 0.05,
            fault_voltage_v: None,
            fault_current_a: None,
        };
        Surroundings {
            source: Source {
                resistance_ohm: ohms[0].unwrap_or(0.0),
                bias_return_ohm: ohms[1],
                cable_capacitance_f: farads[0],
                ..Source::default()
            },
            filter: filtered.then_some(filter),
            reference_resistance_ohm: ohms[3].unwrap_or(0.0),
            ..Surroundings::default()
        }
    }
}

prop_compose! {
    fn design()(
        topology in topology(),
        ohms in vec(prop::option::weighted(0.9, decades(-2.0, 9.0)), 9),
        surroundings in surroundings(),
        volts in vec(signed(-9.0, 3.0), 19),
        reference_v in signed(-4.0, 2.0),
        told in any::<bool>(),
        levels in vec(level(), 13),
        reach in (-3.0..6.0, 0.2..7.0),
        hz in prop::option::of(decades(-2.0, 7.0)),
        wanted in [prop::option::of(0.0..160.0), prop::option::of(0.0..160.0)],
        corners in vec((signed(-5.0, 3.0), signed(-7.0, 3.0)), 2..9),
        signal in (signed(-5.0, 3.0), signed(-7.0, 2.0)),
    ) -> Design {
        let gain = GainFigure {
            target: 1.0, nominal: 1.0, error_nominal: 0.0, error_low: 0.0, error_high: 0.0, method: Method::Proven,
        };
        Design {
            title: String::new(),
            topology,
            met: true,
            surroundings,
            opamps: BTreeMap::new(),
            resistors: resistors(topology, &ohms),
            gain,
            reference_v,
            reference_chosen: false,
            nodes: told.then(|| nodes(topology, &volts)),
            rejection: rejections(&levels, reach, hz),
            input_filter: None,
            headroom: Some(headroom(&corners, signal)),
            impedance: None,
            search: crate::study::Searched { proven: true, out_of_reach: Vec::new(), note: String::new() },
            runners_up: Vec::new(),
            candidates: Vec::new(),
            purchase: None,
            offset: None,
            noise: None,
            bandwidth: None,
            budget: None,
            yields: None,
            limits: limits(&wanted),
            not_predicted: vec![],
            warnings: vec![],
            cautions: vec![],
            assumed_ideal: vec![],
        }
    }
}

/// What is wrong with where the words stand.
fn crowded(canvas: &Canvas) -> Option<String> {
    for (at, frame) in canvas.frames.iter().enumerate() {
        if frame.left < 0.0 || frame.top < 0.0 || frame.right > canvas.width || frame.bottom > canvas.height {
            return Some(format!("{frame:?} leaves the paper of {} by {}", canvas.width, canvas.height));
        }
        if let Some(other) = canvas.frames[..at].iter().find(|other| other.overlaps(frame)) {
            return Some(format!("{frame:?} overlaps {other:?}"));
        }
        let covers = |&&((a, b), (c, d)): &&((f64, f64), (f64, f64))| {
            frame.overlaps(&Frame {
                left: a.min(c) - 0.7,
                right: a.max(c) + 0.7,
                top: b.min(d) - 0.7,
                bottom: b.max(d) + 0.7,
            })
        };
        if let Some(wire) = canvas.wires.iter().find(covers) {
            return Some(format!("{frame:?} touches the wire {wire:?}"));
        }
    }
    None
}

fn roomy(picture: Option<Picture>) -> Result<(), TestCaseError> {
    if let Some(picture) = picture {
        let crowded = crowded(&picture.canvas);
        prop_assert!(crowded.is_none(), "{}: {}", picture.name, crowded.unwrap_or_default());
        prop_assert!(
            !picture.to_svg().contains("NaN") && !picture.to_svg().contains("inf"),
            "{} has no number",
            picture.name
        );
        prop_assert!(picture.plain.iter().all(|line| line.chars().count() <= 76), "{:#?}", picture.plain);
        prop_assert!(!picture.description.is_empty() && !picture.caption.is_empty());
    }
    Ok(())
}

proptest! {
    #[test]
    fn words_of_a_design_never_touch(design in design()) {
        for draw in [circuit, rejection, window, causes] {
            roomy(draw(&design))?;
        }
    }

    #[test]
    fn words_of_a_budget_never_touch(parts in vec((decades(-9.0, 1.0), decades(-9.0, 1.0)), 1..14)) {
        let share = |(at, (before, after)): (usize, (f64, f64))| Share { name: CAUSES[at % 12].to_owned(), before, after };
        let shares: Vec<Share> = parts.into_iter().enumerate().map(share).collect();
        roomy(stack("budget", "Error budget", ["as built", "calibrated"], &shares))?;
    }

    #[test]
    fn words_of_a_histogram_never_touch(
        shares in vec(0.0..1.0, 1..60),
        ends in (signed(-9.0, 3.0), decades(-9.0, 3.0)),
        limits in vec(signed(-9.0, 3.0), 0..3),
        unit in prop::sample::select(vec![(Unit::Fraction, ""), (Unit::Decibel, "dB"), (Unit::Volt, "V")]),
    ) {
        let bound = |at: f64| Bound { at, words: format!("limit {at:.3}") };
        let bounds: Vec<Bound> = limits.into_iter().map(bound).collect();
        roomy(histogram("boards", "Boards", (ends.0, ends.0 + ends.1), unit, &shares, &bounds))?;
    }
}

#[test]
fn crowding_is_seen() {
    let mut canvas = Canvas::new(100.0, 40.0);
    canvas.text("", (10.0, 20.0), super::canvas::Side::Right, "one");
    assert_eq!(crowded(&canvas), None);
    canvas.wire(&[(20.0, 0.0), (20.0, 40.0)]);
    assert!(crowded(&canvas).is_some_and(|told| told.contains("wire")));
    canvas.wires.clear();
    canvas.text("", (30.0, 24.0), super::canvas::Side::Right, "two");
    assert!(crowded(&canvas).is_some_and(|told| told.contains("overlaps")));
    let mut canvas = Canvas::new(20.0, 40.0);
    canvas.text("", (10.0, 20.0), super::canvas::Side::Right, "one");
    assert!(crowded(&canvas).is_some_and(|told| told.contains("leaves")));
}
