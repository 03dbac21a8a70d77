//! One design with something in every place, invented figures included: it guards layout, no figure.
use evenkeel::designator::{Amp, Designator, Topology};
use evenkeel::quantity::Unit;
use evenkeel::study::{
    BandwidthFigure, BudgetFigure, BudgetLine, CandidateLine, CauseLine, Choice, Design, FilterBandwidth, FilterFigure,
    FullPower, FullPowerLine, GainFigure, HeadroomFigure, HeadroomPoint, Impedance, InputFilter, LargestGain,
    LimitLine, LoopMargin, Method, NeedAnswer, NodeVoltage, NodesFigure, Noise, NoiseLine, NotPredicted, OffsetCause,
    OffsetFigure, OffsetSource, PickKind, Protection, Purchase, Rectangle, RejectAnswer, RejectionAt, RejectionFigure,
    ResistorLine, RunnerUp, Searched, SettlingLine, SizeAnswer, Source, Surroundings, SweepPoint, Warning,
    WindowVertex,
};

fn resistor(name: Designator, kind: PickKind, parts: &[f64], ohm: Option<f64>, marking: Option<&str>) -> ResistorLine {
    ResistorLine {
        name,
        kind,
        ohm,
        parts_ohm: parts.to_vec(),
        marking: marking.map(str::to_owned),
        tolerance: 0.001,
        tempco_per_k: 25e-6,
        chosen: name != Designator::R1,
        power_w: Some(2.5e-6),
    }
}

fn limit(limit: &'static str, unit: Unit, numbers: (f64, Option<f64>, Option<f64>), met: Option<bool>) -> LimitLine {
    let (required, predicted, margin) = numbers;
    let would_meet = if met == Some(false) {
        vec!["resistor match 0.008 % or better".to_owned(), "stage-one gain 60".to_owned()]
    } else {
        vec![]
    };
    LimitLine { limit, unit, required, predicted, margin, met, would_meet }
}

fn causes(dbs: &[(&str, Option<f64>)]) -> Vec<CauseLine> {
    dbs.iter().map(|(cause, alone_db)| CauseLine { cause: (*cause).to_owned(), alone_db: *alone_db }).collect()
}

fn sweep() -> Vec<SweepPoint> {
    (0..=60)
        .map(|step| {
            let hz = libm::pow(10.0, f64::from(step) / 10.0);
            let worst = 92.5 - f64::from(step) * 1.3;
            SweepPoint { hz, nominal_db: None, worst_db: Some(worst), rti_db: Some(worst + 0.2), rough: worst < 20.0 }
        })
        .collect()
}

fn noise() -> Noise {
    let line = |cause: &str, density: f64| NoiseLine {
        cause: cause.to_owned(),
        density_v_per_rthz: density,
        rms_v: Some(density * 20.0),
    };
    Noise {
        density_v_per_rthz: 15.5e-9,
        rms_v: Some(310e-9),
        peak_to_peak_v: Some(2.046e-6),
        integration_error: 1e-9,
        causes: vec![line("RG", 2.9e-9), line("A1 voltage", 10e-9)],
    }
}

fn bandwidth() -> BandwidthFigure {
    let margin = |amp, phase_margin_deg| LoopMargin { amp, phase_margin_deg, crossing_hz: 106e3 };
    BandwidthFigure {
        small_signal_hz: Some(7_393.0),
        full_power: Some(FullPowerLine { limited: Some(FullPower { hz: 44_160.0, amp: Amp::A3 }) }),
        peaking_db: Some(0.12),
        peak_hz: Some(2_000.0),
        phase_margin: Some(margin(Amp::A3, 87.3)),
        margins: vec![margin(Amp::A1, 157.5), margin(Amp::A3, 87.3)],
        settling: vec![
            SettlingLine { to: "0.1 %", fraction: 1e-3, seconds: Some(130e-6), slewing_s: 0.0 },
            SettlingLine { to: "half LSB", fraction: 1.2e-4, seconds: None, slewing_s: 2e-6 },
        ],
    }
}

fn offset() -> OffsetFigure {
    let cause = |source, rti_v| OffsetCause { source, rti_v, after_calibration_v: 0.0 };
    OffsetFigure {
        rti_worst_v: 35.2e-6,
        rti_rss_v: 21.4e-6,
        drift_v_per_k: 202e-9,
        causes: vec![cause(OffsetSource::Voltage(Amp::A1), 15e-6), cause(OffsetSource::BiasCurrent(Amp::A1), 2.12e-6)],
    }
}

fn budget() -> BudgetFigure {
    let line = |cause, ppm, ppm_after_calibration| BudgetLine {
        cause,
        ppm,
        ppm_after_calibration,
        lsb: Some(ppm / 340.0),
        lsb_after_calibration: Some(ppm_after_calibration / 340.0),
    };
    BudgetFigure {
        full_scale_v: 36e-3,
        lsb_v: Some(12.19e-6),
        lines: vec![line("gain", 3_351.0, 0.0), line("gain drift", 2_328.0, 2_328.0), line("noise", 42.2, 42.2)],
        sum_ppm: 5_721.2,
        rss_ppm: 4_080.6,
        sum_after_calibration_ppm: 2_370.2,
        rss_after_calibration_ppm: 2_328.4,
    }
}

fn headroom() -> HeadroomFigure {
    let point = |name: &str, volt: f64| HeadroomPoint {
        name: name.to_owned(),
        low_limit_v: 0.1,
        high_limit_v: 4.9,
        lowest_v: 2.5 - volt,
        highest_v: 2.5 + volt,
        margin_v: 2.4 - volt,
    };
    HeadroomFigure {
        fits: true,
        margin_v: 0.6,
        limiting: "A3 output".to_owned(),
        worst_margin_v: 0.58,
        points: vec![point("A1 output", 0.95), point("A3 output", 1.8)],
        signals: Rectangle { common_mode_v: (2.25, 2.4), differential_v: (-0.018, 0.018) },
        window: vec![
            WindowVertex { common_mode_v: 1.0, differential_v: 0.0 },
            WindowVertex { common_mode_v: 2.5, differential_v: -0.024 },
            WindowVertex { common_mode_v: 2.5, differential_v: 0.024 },
        ],
        largest_gain: LargestGain::UpTo(133.0),
    }
}

fn surroundings() -> Surroundings {
    Surroundings {
        source: Source {
            resistance_ohm: 175.0,
            imbalance_ohm: 2.0,
            bias_return_ohm: Some(10e6),
            cable_capacitance_f: Some(1e-9),
            ..Source::default()
        },
        filter: Some(InputFilter {
            resistor_ohm: 1_000.0,
            common_capacitor_f: 470e-12,
            differential_capacitor_f: 4.7e-9,
            resistor_tolerance: 0.01,
            capacitor_tolerance: 0.05,
            fault_voltage_v: None,
            fault_current_a: None,
        }),
        reference_resistance_ohm: 10.0,
        ..Surroundings::default()
    }
}

/// A design whose title and messages are as given.
pub(crate) fn design(title: &str) -> Design {
    Design {
        title: title.to_owned(),
        topology: Topology::ThreeOpAmp,
        met: false,
        surroundings: surroundings(),
        opamps: [(Amp::A1, "LN-4 of the drawer".to_owned())].into(),
        resistors: vec![
            resistor(Designator::RG, PickKind::Series, &[499.0, 4.02], Some(503.02), None),
            resistor(Designator::RF1, PickKind::Single, &[24_900.0], Some(24_900.0), Some("24K9")),
            resistor(Designator::RF2, PickKind::Single, &[24_900.0], Some(24_900.0), Some("24K9")),
            resistor(Designator::R1, PickKind::Single, &[10_000.0], Some(10_000.0), Some("10K")),
            resistor(Designator::R2, PickKind::Single, &[10_000.0], Some(10_000.0), Some("10K")),
        ],
        search: Searched { proven: true, out_of_reach: Vec::new(), note: String::new() },
        runners_up: vec![RunnerUp {
            ohms: vec![(Designator::RG, Some(499.0)), (Designator::RF1, Some(24_900.0))],
            gain: 100.8,
            error: 0.008,
            parts: 1,
            noise_v_per_rthz: 15.2e-9,
            trades: "0.8 % more gain error, a part less".to_owned(),
        }],
        candidates: vec![
            CandidateLine { opamp: "Puffin LD7".to_owned(), price: Some(3.6), ruled_out_by: vec![] },
            CandidateLine {
                opamp: "Razorbill Q2".to_owned(),
                price: None,
                ruled_out_by: vec!["rejection".to_owned(), "noise".to_owned()],
            },
        ],
        purchase: Some(Purchase {
            total: 3.92,
            resistors: Some(0.32),
            opamps: Some(3.6),
            grades: vec![],
            proven: true,
            note: "the money goes into R1, R2, R3, R4, where the rejection is lost".to_owned(),
        }),
        gain: GainFigure {
            target: 100.0,
            nominal: 100.001_988_0,
            error_nominal: 1.988e-5,
            error_low: -0.005_612,
            error_high: 0.005_689,
            method: Method::Proven,
        },
        reference_v: 2.5,
        reference_chosen: true,
        nodes: Some(NodesFigure {
            differential_v: 0.018,
            common_mode_v: 2.5,
            voltages: [
                ("+ input", 2.509),
                ("- input", 2.491),
                ("+ source", 2.5091),
                ("- source", 2.4909),
                ("+ line", 2.509_05),
                ("- line", 2.490_95),
                ("A1 output", 1.6),
                ("A1 - input", 2.491),
                ("A2 output", 3.4),
                ("A2 - input", 2.509),
                ("A3 + input", 2.95),
                ("A3 - input", 2.95),
                ("output", 4.3),
            ]
            .map(|(node, v)| NodeVoltage { node: node.to_owned(), v })
            .to_vec(),
        }),
        rejection: RejectionFigure {
            nominal_db: None,
            worst_db: Some(91.234_567),
            method: Method::Proven,
            closed_form_db: Some(90.9),
            closed_form_note: Some(
                "The estimate adds the worst of every cause; the exact figure holds all of them on one board, where \
                 the gain at that corner is higher too."
                    .to_owned(),
            ),
            at_interference: Some(RejectionAt {
                hz: 50.0,
                worst_db: Some(88.0),
                rti_db: Some(88.01),
                method: Method::Corners,
                causes: causes(&[("source imbalance", Some(88.5)), ("gain bandwidth", None)]),
            }),
            harmonics: vec![
                RejectionAt {
                    hz: 100.0,
                    worst_db: Some(84.0),
                    rti_db: Some(84.0),
                    method: Method::Corners,
                    causes: vec![],
                },
                RejectionAt {
                    hz: 150.0,
                    worst_db: Some(81.0),
                    rti_db: Some(81.0),
                    method: Method::Searched,
                    causes: vec![],
                },
            ],
            causes: causes(&[
                ("ratio resistors", Some(93.98)),
                ("first-stage op amps", Some(100.0)),
                ("reference resistance", None),
            ]),
            sweep: sweep(),
        },
        input_filter: Some(FilterFigure {
            alone: FilterBandwidth { differential_hz: Some(7_578.0), common_mode_hz: Some(159_154.9) },
            in_circuit: FilterBandwidth { differential_hz: Some(6_448.0), common_mode_hz: Some(135_400.0) },
            protection: Some(Protection { needed_ohm: 2_400.0, current_a: 0.024, power_w: 0.576, enough: false }),
        }),
        headroom: Some(headroom()),
        impedance: Some(Impedance {
            differential_ohm: None,
            common_mode_ohm: Some(5e6),
            positive_ohm: Some(1e7),
            negative_ohm: Some(1e7),
        }),
        offset: Some(offset()),
        noise: Some(noise()),
        bandwidth: Some(bandwidth()),
        yields: Some(crate::proof::yields()),
        budget: Some(budget()),
        limits: vec![
            limit("gain_error", Unit::Fraction, (0.006, Some(0.005_689), Some(0.000_311)), Some(true)),
            limit("rejection", Unit::Decibel, (95.0, Some(91.234_567), Some(-3.765_433)), Some(false)),
            limit("rejection_at_interference", Unit::Decibel, (80.0, Some(88.0), Some(8.0)), Some(true)),
            limit("differential_impedance", Unit::Ohm, (1e6, None, None), Some(true)),
            limit("noise", Unit::Volt, (2e-6, None, None), None),
        ],
        not_predicted: vec![NotPredicted { figure: "noise".to_owned(), needs: "signal.bandwidth".to_owned() }],
        warnings: vec![Warning {
            code: "offset-current-missing",
            message: "No offset current is given for A1 and A2; it is taken as 0, which is wrong for bias-cancelled \
                      and CMOS parts."
                .to_owned(),
            advice: "Give `offset_current` under [opamp.all].".to_owned(),
        }],
        cautions: vec![
            "The source may be a person: this circuit is not isolation. The applicable safety standard, local code and \
             qualified practice decide."
                .to_owned(),
        ],
        assumed_ideal: [
            "opamp.all.open_loop_gain",
            "opamp.A1.offset",
            "opamp.A2.offset",
            "opamp.A1.input_range",
            "opamp.A2.input_range",
        ]
        .map(str::to_owned)
        .to_vec(),
    }
}

/// A choice of `size`.
fn choice(kind: PickKind, parts: &[f64], ohm: f64, gain: f64) -> Choice {
    Choice {
        kind,
        parts_ohm: parts.to_vec(),
        ohm: Some(ohm),
        feedback_ohm: Some(24_900.0),
        exact_ohm: Some(503.030_303_030_303),
        gain,
        error: gain / 100.0 - 1.0,
        error_low: gain / 100.0 - 1.021,
        error_high: gain / 100.0 - 0.979,
    }
}

/// An answer of `size`; without choices it has a reason.
pub(crate) fn size(found: bool) -> SizeAnswer {
    let single = choice(PickKind::Single, &[499.0], 499.0, 100.799_598_198);
    let pair = choice(PickKind::Series, &[499.0, 4.02], 503.02, 100.001_988_0);
    SizeAnswer {
        topology: Topology::ThreeOpAmp,
        series: "E96".to_owned(),
        target_gain: 100.0,
        exact_ohm: found.then_some(503.030_303_030_303),
        choices: if found { vec![pair, single.clone()] } else { vec![] },
        neighbours: if found { vec![single] } else { vec![] },
        reason: (!found)
            .then(|| "A gain below 1 is beyond a three-op-amp stage; a difference stage can do it.".to_owned()),
    }
}

/// An answer of `reject`.
pub(crate) fn reject(need: Option<bool>) -> RejectAnswer {
    RejectAnswer {
        topology: Topology::ThreeOpAmp,
        gain: 100.0,
        worst_db: Some(91.234_567),
        resistors_db: Some(93.98),
        opamps_db: None,
        closed_form_db: Some(90.9),
        closed_form_note: Some("The estimate leaves out the spread of the gain.".to_owned()),
        need: need.map(|reachable| NeedAnswer {
            need_db: 90.0,
            loosest_tolerance: reachable.then_some(0.001_234),
            least_opamp_rejection_db: Some(96.3),
            loosest_match: None,
            least_stage_one_gain: Some(61.7),
            met: false,
            reachable,
            why: (!reachable).then_some("Even perfect resistors leave too little: the op amps alone stay below it."),
        }),
    }
}
