//! The figures as a design shows them: what is missing, what is warned of, what cures it.
use crate::bench::{circuit, close, difference, stage};
use evenkeel::designator::{Amp, Designator, Topology};
use evenkeel::network::{AmplifierValue, Builder, GROUND};
use evenkeel::part::{Chip, Grade, OpAmp};
use evenkeel::stage::{Circuit, InputFilter, Leg, Ports, Role, Source, Stage, Strays};
use evenkeel::study::{
    Converter, Draw, Environment, GainWish, Limits, Prefer, Question, Resistors, Signal, Span, Stock, Switch, Target,
    Trimmer, bandwidth, noise, peaking,
};

fn question() -> Question {
    Question {
        title: String::new(),
        signal: Signal {
            differential: Some(Span { low: -0.1, high: 0.1 }),
            common_mode: Some(Span { low: 2.0, high: 3.0 }),
            bandwidth_hz: Some(1e3),
            ..Signal::default()
        },
        source: Source::default(),
        strays: Strays::default(),
        filter: None::<InputFilter>,
        interference: None,
        supply: None,
        reference_v: None,
        reference_resistance_ohm: 0.0,
        environment: Environment::default(),
        target: Target { gain: GainWish::Ratio(10.0), prefer: Prefer::default() },
        converter: None,
        topology: Topology::Difference,
        stage_two_gain: None,
        resistors: Resistors {
            stock: Stock::Values(vec![]),
            parts: 1,
            grade: Grade { tolerance: 0.001, tempco_per_k: 0.0 },
            range: Default::default(),
            fixed: Default::default(),
            own_grade: Default::default(),
            networks: vec![],
            grades: vec![],
            noise_index_db: None,
            thermal_resistance_k_per_w: None,
        },
        opamps: Default::default(),
        candidates: vec![],
        chip: None,
        trimmer: Trimmer::default(),
        switch: Switch::default(),
        draw: Draw::default(),
        board: None,
        allow: Default::default(),
        limits: Limits::default(),
    }
}

fn quiet(noise_v: f64) -> OpAmp {
    OpAmp { voltage_noise_v_per_rthz: Some(noise_v), gain_bandwidth_hz: Some(1e8), ..OpAmp::default() }
}

#[test]
fn noise_uses_the_band_of_the_spec() {
    let stage = stage(&circuit(Topology::Difference, &difference(1e-3, 1e-2), &quiet(10e-9)));
    let rms = |question: &Question| noise::figure(question, &stage, 0.0).unwrap().figure.unwrap().rms_v.unwrap();
    let mut asked = question();
    let brick = rms(&asked);
    // Noise gain 11 over gain 10, the resistors silent, the band 0.1 Hz to 1 kHz.
    close(brick, 10e-9 * 1.1 * (1000.0_f64 - 0.1).sqrt(), 1e-6);
    asked.signal.single_pole_noise = true;
    close(rms(&asked), 10e-9 * 1.1 * (500.0 * std::f64::consts::PI - 0.1).sqrt(), 1e-6);
    asked.signal.noise_from_hz = Some(500.0);
    asked.signal.single_pole_noise = false;
    close(rms(&asked), 10e-9 * 1.1 * 500.0_f64.sqrt(), 1e-6);
}

#[test]
fn noise_is_told_at_the_calibration_temperature() {
    let stage = stage(&circuit(Topology::Difference, &difference(1e4, 1e4), &OpAmp::default()));
    let mut asked = question();
    let density =
        |question: &Question| noise::figure(question, &stage, 0.0).unwrap().figure.unwrap().density_v_per_rthz;
    let at_25 = density(&asked);
    asked.environment.calibrated_at_c = 125.0;
    close(density(&asked) / at_25, (398.15_f64 / 298.15).sqrt(), 1e-12);
}

#[test]
fn what_noise_lacks_is_told() {
    let stage = stage(&circuit(Topology::Difference, &difference(1e4, 1e5), &quiet(10e-9)));
    let mut asked = question();
    asked.signal.bandwidth_hz = None;
    let told = noise::figure(&asked, &stage, 0.0).unwrap();
    let figure = told.figure.unwrap();
    assert!(figure.density_v_per_rthz > 10e-9 && figure.rms_v.is_none() && figure.peak_to_peak_v.is_none());
    assert_eq!(
        (told.not_predicted[0].figure.as_str(), told.not_predicted[0].needs.as_str()),
        ("noise.rms_v", "signal.bandwidth")
    );
    asked.signal.noise_from_hz = Some(10.0);
    asked.signal.bandwidth_hz = Some(10.0);
    assert_eq!(noise::figure(&asked, &stage, 0.0).unwrap().not_predicted.len(), 1);
    asked.resistors.noise_index_db = Some(-20.0);
    asked.signal.common_mode = None;
    let told = noise::figure(&asked, &stage, 0.0).unwrap();
    assert_eq!((told.figure, told.not_predicted[0].figure.as_str()), (None, "noise"));
}

/// Noise index: the resistors see up to 3 V of common mode; without the key nothing changes.
#[test]
fn excess_noise_follows_the_largest_signal() {
    let stage = stage(&circuit(Topology::Difference, &difference(1e4, 1e4), &OpAmp::default()));
    let mut asked = question();
    asked.environment.calibrated_at_c = -273.15;
    let none = noise::figure(&asked, &stage, 0.0).unwrap().figure.unwrap();
    assert_eq!(none.rms_v, Some(0.0));
    asked.resistors.noise_index_db = Some(0.0);
    let figure = noise::figure(&asked, &stage, 0.0).unwrap().figure.unwrap();
    // R3 and R4: half of 3.05 V each; four decades of 1 µV/V; a gain of one half from R3 to its node, then two.
    let r3 = figure.causes.iter().find(|one| one.cause == "R3").unwrap().rms_v.unwrap();
    close(r3, 1.525e-6 * 4.0_f64.sqrt(), 1e-9);
}

/// CV-NZ-04 (ADI AD8421 data sheet Rev. 0 p. 24) as a chip: eni 3.2 nV, eno 60 nV, RG 100 Ω at a gain of 100, 0.2 pA,
/// sources of 4 kΩ and 1 kΩ. Published total 9.6; 9.760 with the exact constant, RG taken whole.
#[test]
fn a_chip_adds_up_as_published() {
    let mut b = Builder::new();
    let [p, n, r, pi, ni, out] = ["p", "n", "r", "pi", "ni", "out"].map(|name| b.node(name));
    let [positive, negative, reference] = [p, n, r].map(|node| b.source("EMF", node, GROUND));
    let legs = [b.resistor("RP", p, pi, 4e3), b.resistor("RN", n, ni, 1e3)];
    let value = AmplifierValue { inverse_gain: 0.01, ..AmplifierValue::default() };
    let amp = b.fixed_gain("A1", (pi, ni), (out, r), value);
    let current = OpAmp { current_noise_a_per_rthz: Some(0.2e-12), ..OpAmp::default() };
    let mut circuit: Circuit = circuit(Topology::SingleChip, &[(Designator::RG, 100.0)], &current);
    circuit.opamps.insert(Amp::A1, current);
    circuit.chip = Some(Chip {
        gain_constant_ohm: 9.9e3,
        base_gain: 1.0,
        noise_in_v_per_rthz: Some(3.2e-9),
        noise_out_v_per_rthz: Some(60e-9),
        ..Chip::default()
    });
    let stage = Stage {
        circuit,
        network: b.finish().unwrap(),
        ports: Ports { positive, negative, reference, output: out, inputs: (pi, ni) },
        roles: vec![
            (Role::SourceLeg(Leg::Positive), legs[0]),
            (Role::SourceLeg(Leg::Negative), legs[1]),
            (Role::Amp(Amp::A1), amp),
        ],
    };
    let asked = question();
    let figure = noise::figure(&asked, &stage, 0.0).unwrap().figure.unwrap();
    close(figure.density_v_per_rthz, 9.6e-9, 2e-2);
    close(figure.density_v_per_rthz, 9.760e-9, 1e-3);
    let of = |cause: &str| figure.causes.iter().find(|one| one.cause == cause).unwrap().density_v_per_rthz;
    close(of("RG"), 1.2832e-9 * 0.99, 1e-4);
    close(of("A1 output stage"), 0.6e-9, 1e-12);
}

#[test]
fn bandwidth_says_what_it_lacks() {
    let fast = OpAmp { gain_bandwidth_hz: Some(1e6), slew_rate_v_per_s: Some(1e6), ..OpAmp::default() };
    let stage = stage(&circuit(Topology::Difference, &difference(1e4, 1e5), &fast));
    let mut asked = question();
    let whole = bandwidth::figure(&asked, &stage).unwrap();
    let figure = whole.figure.unwrap();
    assert!(whole.not_predicted.is_empty() && whole.warnings.is_empty());
    // 0.2 V times 10: one volt of amplitude.
    close(figure.full_power.unwrap().limited.unwrap().hz, 1e6 / std::f64::consts::TAU, 1e-9);
    assert_eq!(figure.settling.iter().map(|one| one.to).collect::<Vec<_>>(), ["0.1 %", "0.01 %"]);
    let tau = 11.0 / std::f64::consts::TAU / 1e6;
    let slewing = 2.0 / 1e6 - tau;
    close(figure.settling[0].seconds.unwrap(), tau * libm::log(1e3) + slewing, 1e-6);
    asked.signal.differential = None;
    let told = bandwidth::figure(&asked, &stage).unwrap();
    assert_eq!(told.not_predicted.len(), 2);
    let figure = told.figure.unwrap();
    assert!(figure.full_power.is_none() && figure.settling.is_empty() && figure.small_signal_hz.is_some());
}

/// 12 bits over 5 V: half an LSB is 0.61 mV, of a step of 2 V.
#[test]
fn half_an_lsb_is_one_of_the_converter() {
    let fast = OpAmp { gain_bandwidth_hz: Some(1e6), ..OpAmp::default() };
    let stage = stage(&circuit(Topology::Difference, &difference(1e4, 1e5), &fast));
    let mut asked = question();
    asked.converter = Some(Converter { bits: 12, range_v: Span { low: 0.0, high: 5.0 } });
    let line = bandwidth::figure(&asked, &stage).unwrap().figure.unwrap().settling[2];
    assert_eq!(line.to, "half LSB");
    close(line.fraction, 5.0 / 4096.0 / 2.0 / 2.0, 1e-12);
    close(line.seconds.unwrap(), 11.0 / std::f64::consts::TAU / 1e6 * -libm::log(line.fraction), 1e-8);
}

fn large_feedback() -> Circuit {
    use Designator::{R1, R2, R3, R4, RF1, RF2, RG};
    let ohms = [(RG, 2e5), (RF1, 1e6), (RF2, 1e6), (R1, 1e4), (R2, 1e4), (R3, 1e4), (R4, 1e4)];
    let opamp = OpAmp { gain_bandwidth_hz: Some(1e7), input_capacitance_f: Some(8e-12), ..OpAmp::default() };
    circuit(Topology::ThreeOpAmp, &ohms, &opamp)
}

/// 1 MΩ of feedback and 8 pF at the node: the first stage peaks by more than ten decibels, the warning says
/// so, and what it advises does cure it.
#[test]
fn a_stage_that_peaks_is_cured() {
    let stage = stage(&large_feedback());
    let told = bandwidth::figure(&question(), &stage).unwrap();
    let figure = told.figure.unwrap();
    assert!(figure.peaking_db.unwrap() > 10.0, "{figure:?}");
    assert!(figure.phase_margin.unwrap().phase_margin_deg < 20.0);
    let warning = &told.warnings[0];
    assert_eq!(warning.code, "stage-peaks");
    let cure = peaking::cure(&stage).unwrap().unwrap();
    assert_eq!(cure.capacitors.iter().map(|one| one.across).collect::<Vec<_>>(), [Designator::RF1, Designator::RF2]);
    assert_eq!(cure.capacitors[0].farad, cure.capacitors[1].farad);
    assert!(cure.phase_margin_deg.unwrap() >= 45.0 && cure.peaking_db <= 1.0, "{cure:?}");
    assert!(warning.advice.contains("across RF1") && warning.advice.contains("across RF2"), "{}", warning.advice);
    // By hand, with the source's zero and pole far from the crossing: 60° takes about √3/(2π·f_c·RF),
    // f_c the crossing of the uncured loop or above it; so some tenths of a picofarad.
    assert!((0.05e-12..2e-12).contains(&cure.capacitors[0].farad), "{cure:?}");
}

/// A difference stage gets one across R4 as well, so that the two sides stay alike.
#[test]
fn a_difference_stage_is_cured_on_both_sides() {
    let opamp = OpAmp { gain_bandwidth_hz: Some(1e7), input_capacitance_f: Some(20e-12), ..OpAmp::default() };
    let cure = peaking::cure(&stage(&circuit(Topology::Difference, &difference(1e6, 1e6), &opamp))).unwrap().unwrap();
    assert_eq!(cure.capacitors.iter().map(|one| one.across).collect::<Vec<_>>(), [Designator::R2, Designator::R4]);
}

#[test]
fn a_calm_stage_is_not_warned_of() {
    let mut calm = large_feedback();
    for (name, ohm) in [(Designator::RG, 200.0), (Designator::RF1, 1e3), (Designator::RF2, 1e3)] {
        calm.ohms.set(name, Some(ohm));
    }
    let told = bandwidth::figure(&question(), &stage(&calm)).unwrap();
    assert_eq!(told.warnings, vec![], "{:?}", told.figure);
}

/// An infinitely fast op amp with a capacitor at its node has a gain that grows for ever.
#[test]
fn what_grows_without_bound_is_said() {
    let mut fast = large_feedback();
    for opamp in fast.opamps.values_mut() {
        opamp.gain_bandwidth_hz = None;
    }
    let told = bandwidth::figure(&question(), &stage(&fast)).unwrap();
    let figure = told.figure.unwrap();
    assert_eq!((figure.peaking_db, figure.small_signal_hz, figure.phase_margin), (None, None, None));
    assert!(told.warnings[0].advice.contains("gain_bandwidth"));
}

/// Inputs of the op amp taken the wrong way round: latches up; nothing is predicted, and it is said.
#[test]
fn what_oscillates_is_not_predicted() {
    let mut b = Builder::new();
    let [p, n, r, minus, out] = ["p", "n", "r", "minus", "out"].map(|name| b.node(name));
    let [positive, negative, reference] = [p, n, r].map(|node| b.source("EMF", node, GROUND));
    let value = AmplifierValue { inverse_gain: 1e-5, inverse_gbw_s: 1e-6, ..AmplifierValue::default() };
    let amp = b.op_amp("A1", (minus, p), out, value);
    let roles = vec![
        (Role::Resistor(Designator::R1), b.resistor("R1", n, minus, 1e3)),
        (Role::Resistor(Designator::R2), b.resistor("R2", minus, out, 1e3)),
        (Role::Amp(Amp::A1), amp),
    ];
    let stage = Stage {
        circuit: circuit(Topology::Difference, &difference(1e3, 1e3), &OpAmp::default()),
        network: b.finish().unwrap(),
        ports: Ports { positive, negative, reference, output: out, inputs: (p, minus) },
        roles,
    };
    let told = bandwidth::figure(&question(), &stage).unwrap();
    assert_eq!(told.figure, None);
    assert_eq!(told.not_predicted[0].figure, "bandwidth");
    assert_eq!(told.warnings[0].code, "unstable");
    assert_eq!(noise::figure(&question(), &stage, 0.0).unwrap().not_predicted[0].figure, "noise");
}
