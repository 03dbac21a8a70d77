//! Budgets drawn up from questions.
use crate::chip::list;
use crate::drawing::{random, wire};
use crate::nodal::{Dice, near};
use crate::question::question;
use evenkeel::corners::{self, WorstCase};
use evenkeel::designator::{Amp, Designator, Ohms, Topology};
use evenkeel::part::{Chip, Fixed, Grade, OpAmp};
use evenkeel::stage::{Circuit, Lot, Source, Stage, Strays, Surroundings};
use evenkeel::study::{
    BudgetFigure, Converter, DesignOptions, Environment, Interference, Question, Span, Supply, Told, bandwidth, budget,
    chip, design, offset, self_heating,
};
use evenkeel::topology::build;
use std::collections::BTreeMap;

/// Runs what a design runs before its budget.
fn drawn_up(question: &Question, stage: &Stage, lot: &Lot, target: f64, noise: Option<f64>) -> Told<BudgetFigure> {
    let offset = offset::figure(question, stage).unwrap().figure;
    let dc = corners::at_dc(stage, &stage.quantities(lot, 0.0)).unwrap();
    let at_interference: Option<WorstCase> = question.interference.map(|one| {
        corners::at_frequency(stage, &stage.quantities(lot, one.frequency_hz), one.frequency_hz, 16).unwrap()
    });
    let basis = budget::Basis {
        stage,
        lot,
        target_gain: target,
        reference_v: question.reference_v.unwrap_or(0.0),
        dc: &dc,
        at_interference: at_interference.as_ref(),
        offset: offset.as_ref(),
        noise_peak_to_peak_v: noise,
    };
    budget::figure(question, &basis).unwrap()
}

fn line(budget: &BudgetFigure, cause: &str) -> Option<(f64, f64)> {
    budget.lines.iter().find(|line| line.cause == cause).map(|line| (line.ppm, line.ppm_after_calibration))
}

/// ADI MT-066 Rev. 0, fig. 1, this time from the parts: AD620B with 499 Ω, 350 Ω of source in each leg,
/// 50 µV + 500 µV/G of offset (from memory of the part's sheet; the figure prints their sum, 55 µV).
fn load_cell() -> (Question, Circuit) {
    let chip = Chip {
        gain_constant_ohm: 49.4e3,
        base_gain: 1.0,
        gain_error: list(&[(100.0, 1.5e-3)]),
        rejection: list(&[(100.0, 1e6)]),
        nonlinearity: Some(40e-6),
        offset_in_v: Some(50e-6),
        offset_out_v: Some(500e-6),
        ..Chip::default()
    };
    let mut asked = question(Topology::SingleChip, 100.0);
    asked.signal.differential = Some(Span { low: 0.0, high: 0.1 });
    asked.signal.common_mode = Some(Span::point(5.0));
    let source = Source { resistance_ohm: 350.0, ..Source::default() };
    let mut ohms = Ohms::default();
    ohms.set(Designator::RG, Some(499.0));
    let shared = OpAmp { offset_current_a: Some(0.5e-9), ..OpAmp::default() };
    let circuit = Circuit {
        topology: Topology::SingleChip,
        ohms,
        opamps: BTreeMap::from([(Amp::A1, shared)]),
        chip: Some(chip),
        surroundings: Surroundings { source, ..Surroundings::default() },
    };
    (asked, circuit)
}

#[test]
fn a_published_budget_from_its_parts() {
    let (asked, circuit) = load_cell();
    let stage = build(&circuit).unwrap();
    let gain = 1.0 + 49.4e3 / 499.0;
    let told = drawn_up(&asked, &stage, &Lot::default(), gain, Some(280e-9));
    assert_eq!(told.not_predicted, []);
    let budget = told.figure.unwrap();
    for (cause, ppm) in [
        ("gain", 1500.0),
        ("offset", 550.0),
        ("bias current", 1.75),
        ("common mode", 50.0),
        ("nonlinearity", 40.0),
        ("noise", 2.8),
    ] {
        near(line(&budget, cause).unwrap().0, ppm, ppm, 1e-5);
    }
    near(budget.sum_ppm, 2144.55, 2144.55, 1e-5);
    near(budget.sum_after_calibration_ppm, 42.8, 42.8, 1e-9);
    // Stimuli that were not mentioned make no line.
    assert!(line(&budget, "interference").is_none() && line(&budget, "ripple").is_none());
    // 99.998 is just below the only listed 100: the ends of both lists, and notes.
    let notes = chip::warnings(&stage);
    assert_eq!(notes.iter().map(|one| one.code).collect::<Vec<_>>(), ["chip-gain-beyond-list"; 2]);
    assert!(notes[1].message.contains("gain 99.998 lies outside `chip.rejection` (100 only)"), "{}", notes[1].message);
}

#[test]
fn a_gain_just_below_a_listed_one_is_told() {
    let (_, mut circuit) = load_cell();
    let chip = circuit.chip.as_mut().unwrap();
    chip.rejection = list(&[(1.0, 1e4), (100.0, 1e6)]);
    chip.gain_error = list(&[(1.0, 5e-4), (100.0, 1.5e-3)]);
    let stage = build(&circuit).unwrap();
    assert_eq!(stage.circuit.opamp(Amp::A1).rejection, Some(1e4));
    assert_eq!(chip::warnings(&stage).iter().map(|one| one.code).collect::<Vec<_>>(), ["chip-gain-just-below-listed"]);
}

#[test]
fn drift_interference_ripple_and_imbalance_from_the_network() {
    let (mut asked, mut circuit) = load_cell();
    asked.environment = Environment { temperature_c: Span { low: -20.0, high: 70.0 }, calibrated_at_c: 25.0 };
    asked.interference = Some(Interference { frequency_hz: 50.0, amplitude_v: 0.2 });
    asked.supply = Some(Supply { positive_v: 5.0, negative_v: -5.0, ripple_v: 0.01, ripple_frequency_hz: Some(100.0) });
    asked.converter = Some(Converter { bits: 12, range_v: Span { low: 0.0, high: 5.0 } });
    asked.signal.common_mode = Some(Span { low: 2.0, high: 3.0 });
    asked.reference_v = Some(2.5);
    circuit.surroundings.source.imbalance_ohm = 20.0;
    let chip = circuit.chip.as_mut().unwrap();
    (chip.rejection_corner_hz, chip.gain_drift_per_k) = (Some(25.0), Some(10e-6));
    chip.offset_in_drift_v_per_k = Some(0.5e-6);
    let data = circuit.opamps.get_mut(&Amp::A1).unwrap();
    (data.supply_rejection, data.supply_rejection_corner_hz) = (Some(1e4), Some(50.0));
    (data.bias_current_a, data.bias_current_doubling_k) = (Some(2e-9), Some(15.0));
    let stage = build(&circuit).unwrap();
    let gain = 1.0 + 49.4e3 / 499.0;
    let grade = Grade { tolerance: 1e-3, tempco_per_k: 25e-6 };
    let lot = Lot { grades: [(Designator::RG, grade)].into(), reach_k: 45.0, ..Lot::default() };
    let told = drawn_up(&asked, &stage, &lot, gain, None);
    let needs: Vec<&str> = told.not_predicted.iter().map(|one| one.figure.as_str()).collect();
    assert_eq!(needs, ["budget.noise"]);
    let budget = told.figure.unwrap();
    let share = 49.4e3 / 499.0 / gain;
    let high = |e: f64, g: f64| (1.0 - share + share / (1.0 - e)) * (1.0 + g) - 1.0;
    let still = high(1e-3, 1.5e-3);
    let warm = high(1e-3 + 25e-6 * 45.0, 1.5e-3 + 10e-6 * 45.0);
    let (hot, cold) = (2_f64.powf(45.0 / 15.0), 1.0 - 2_f64.powf(-45.0 / 15.0));
    assert!(hot - 1.0 > cold);
    // Balanced sources: the bias current itself cancels, offset current and imbalance do not.
    let current = 350.0 * 0.5e-9 + 2e-9 * 20.0;
    // The greatest |A_cm| is that of the greatest gain.
    let interference = 0.2e-6 * 5_f64.sqrt() * (1.0 + warm) / 0.1;
    for (cause, before, after) in [
        ("gain", still, 0.0),
        ("gain drift", warm - still, warm - still),
        ("offset drift", 0.5e-6 * 45.0 / 0.1, 0.5e-6 * 45.0 / 0.1),
        ("bias current", current * hot / 0.1, current * (hot - 1.0) / 0.1),
        ("common mode", 0.5e-6 / 0.1, 1e-6 / 0.1),
        ("interference", interference, interference),
        ("ripple", 0.01 * 1e-4 * 5_f64.sqrt() / 0.1, 0.01 * 1e-4 * 5_f64.sqrt() / 0.1),
    ] {
        let read = line(&budget, cause).unwrap_or_else(|| panic!("no line {cause}"));
        near(read.0, before * 1e6, before * 1e6, 1e-6);
        near(read.1, after * 1e6, before * 1e6, 1e-6);
    }
    near(budget.lsb_v.unwrap(), 5.0 / 4096.0 / gain, 1e-5, 1e-9);
}

#[test]
fn what_is_not_stated_is_named() {
    let stage = wire(&random(Topology::ThreeOpAmp, &mut Dice(31)));
    let mut asked = question(Topology::ThreeOpAmp, 10.0);
    let told = drawn_up(&asked, &stage, &Lot::default(), 10.0, None);
    assert!(told.figure.is_none());
    assert_eq!(told.not_predicted[0].figure, "budget");
    assert!(told.not_predicted[0].needs.contains("signal.differential"));
    asked.signal.differential = Some(Span { low: -0.01, high: 0.01 });
    asked.supply = Some(Supply { positive_v: 5.0, negative_v: 0.0, ripple_v: 0.01, ripple_frequency_hz: None });
    asked.resistors.thermal_resistance_k_per_w = Some(100.0);
    let told = drawn_up(&asked, &stage, &Lot::default(), 10.0, Some(1e-6));
    let needs: Vec<&str> = told.not_predicted.iter().map(|one| one.figure.as_str()).collect();
    assert_eq!(needs, ["budget.common mode", "budget.ripple", "budget.nonlinearity"]);
    // Ideal op amps: no offset to tell.
    let mut ideal = stage.circuit.clone();
    ideal.opamps.clear();
    let told = offset::figure(&asked, &wire(&ideal)).unwrap();
    assert!(told.figure.is_none() && told.not_predicted[0].needs.contains("opamp.all.offset"));
}

#[test]
fn a_bias_current_alone_raises_a_note() {
    let mut circuit = random(Topology::TwoOpAmp, &mut Dice(33));
    let asked = question(Topology::TwoOpAmp, 10.0);
    assert!(offset::figure(&asked, &wire(&circuit)).unwrap().warnings.is_empty());
    circuit.opamps.get_mut(&Amp::A2).unwrap().offset_current_a = None;
    let told = offset::figure(&asked, &wire(&circuit)).unwrap();
    assert_eq!(told.warnings.iter().map(|one| one.code).collect::<Vec<_>>(), ["offset-current-not-given"]);
    assert!(told.warnings[0].message.starts_with("A2"));
}

#[test]
fn second_order_effects_change_nothing_when_absent() {
    let circuit = random(Topology::ThreeOpAmp, &mut Dice(35));
    let stage = wire(&circuit);
    let mut asked = question(Topology::ThreeOpAmp, 10.0);
    asked.signal.differential = Some(Span { low: -0.01, high: 0.01 });
    asked.signal.common_mode = Some(Span { low: 1.0, high: 2.0 });
    let told = self_heating::figure(&asked, &stage, 0.0).unwrap();
    assert!(told.figure.is_none() && told.not_predicted.is_empty());
    // Gradients without a coefficient, a coefficient without gradients.
    let plain = offset::figure(&asked, &stage).unwrap();
    for strays in [
        Strays { leg_gradient_k: 1.0, rg_gradient_k: 1.0, ..Strays::default() },
        Strays { thermal_emf_v_per_k: Some(1e-6), ..Strays::default() },
    ] {
        let mut other = circuit.clone();
        other.surroundings.strays = strays;
        assert_eq!(offset::figure(&asked, &wire(&other)).unwrap(), plain);
    }
}

#[test]
fn a_design_with_a_chip_has_every_figure() {
    // An invented part at a gain of 10: what each figure says follows from section 14 alone.
    let mut asked = question(Topology::SingleChip, 10.0);
    asked.chip = Some(Chip { stage_one_gain: Some(4.0), ..crate::chip::part() });
    asked.resistors.grade = Grade { tolerance: 1e-3, tempco_per_k: 0.0 };
    asked.resistors.fixed = BTreeMap::from([(Designator::RG, Fixed::Ohm(50e3 / 9.0))]);
    asked.supply = Some(Supply { positive_v: 5.0, negative_v: 0.0, ripple_v: 0.0, ripple_frequency_hz: None });
    asked.reference_v = Some(2.5);
    asked.signal.differential = Some(Span { low: -0.1, high: 0.1 });
    asked.signal.common_mode = Some(Span { low: 1.0, high: 4.9 });
    let design = design(&asked, &DesignOptions::default()).unwrap();
    near(design.gain.nominal, 10.0, 10.0, 1e-12);
    near(design.gain.error_high, (0.1 + 0.9 / 0.999) * 1.003 - 1.0, 1e-2, 1e-9);
    near(design.rejection.worst_db.unwrap(), 80.0, 80.0, 1e-9);
    // The upper inner node: 4.9 V + 4·50 mV is above the supply, the output's 3.5 V and the input's 4.95 V are not.
    let headroom = design.headroom.unwrap();
    near(headroom.margin_v, 5.0 - 5.1, 0.1, 1e-9);
    let stage = build(&Circuit {
        topology: Topology::SingleChip,
        ohms: [(Designator::RG, 50e3 / 9.0)].into_iter().collect(),
        opamps: BTreeMap::new(),
        chip: asked.chip.clone(),
        surroundings: Surroundings::default(),
    })
    .unwrap();
    let speed = bandwidth::figure(&asked, &stage).unwrap().figure.unwrap();
    near(speed.small_signal_hz.unwrap(), 1.2e11_f64.sqrt(), 560e3, 1e-9);
    assert!(speed.phase_margin.is_none(), "there is no loop to break");
    assert!(design.assumed_ideal.contains(&"chip.offset_in".to_owned()));
    assert!(!design.assumed_ideal.contains(&"chip.bandwidth".to_owned()));
}
