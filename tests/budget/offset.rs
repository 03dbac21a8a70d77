//! Offset, ripple and gain slopes against the independent assembly, cause by cause.
use crate::drawing::{Amiss, OUTPUT, WIRED, by_hand, random, wire};
use crate::nodal::{Dice, near, solve};
use evenkeel::designator::{Amp, Designator, Topology};
use evenkeel::network::{Excitation, GROUND};
use evenkeel::part::OpAmp;
use evenkeel::predict::{Excursion, OffsetSource, gain_slopes, offset, ripple};
use evenkeel::stage::{Circuit, Role};
use std::collections::BTreeMap;

fn output(circuit: &Circuit, amp: Amp, amiss: Amiss, hz: f64) -> nalgebra::Complex<f64> {
    solve(&by_hand(circuit, 0.0, 0.0, &BTreeMap::from([(amp, amiss)])), hz)[OUTPUT]
}

fn gain(circuit: &Circuit) -> f64 {
    solve(&by_hand(circuit, 0.5, -0.5, &BTreeMap::new()), 0.0)[OUTPUT].re
}

#[test]
fn every_cause_matches_an_independent_assembly() {
    let mut dice = Dice(3);
    for round in 0..40 {
        for topology in WIRED {
            let circuit = random(topology, &mut dice);
            let figure = offset(&wire(&circuit), Excursion::default()).unwrap();
            let gain = gain(&circuit);
            assert_eq!(figure.causes.len(), 3 * topology.amps().len(), "round {round}");
            let (mut sum, mut squares) = (0.0, 0.0);
            for cause in &figure.causes {
                let (amp, amiss, scale) = match cause.source {
                    OffsetSource::Voltage(amp) => {
                        let offset = circuit.opamps[&amp].offset_v.unwrap();
                        (amp, Amiss { offset, ..Amiss::default() }, 0.0)
                    }
                    OffsetSource::BiasCurrent(amp) => {
                        let i = circuit.opamps[&amp].bias_current_a.unwrap();
                        // What one input alone would do is the scale: the two may cancel.
                        let alone = Amiss { into_plus: i, ..Amiss::default() };
                        let alone = output(&circuit, amp, alone, 0.0).re;
                        (amp, Amiss { into_plus: i, into_minus: i, ..Amiss::default() }, alone)
                    }
                    OffsetSource::OffsetCurrent(amp) => {
                        let half = circuit.opamps[&amp].offset_current_a.unwrap() / 2.0;
                        (amp, Amiss { into_plus: half, into_minus: -half, ..Amiss::default() }, 0.0)
                    }
                    _ => panic!("nothing thermal was stated"),
                };
                let expected = (output(&circuit, amp, amiss, 0.0).re / gain).abs();
                near(cause.rti_v, expected, expected.max((scale / gain).abs()), 1e-8);
                sum += expected;
                squares += expected * expected;
            }
            near(figure.rti_worst_v, sum, sum, 1e-8);
            near(figure.rti_rss_v, squares.sqrt(), squares.sqrt(), 1e-8);
            let drift: f64 = topology
                .amps()
                .iter()
                .map(|&amp| {
                    let offset = circuit.opamps[&amp].offset_drift_v_per_k.unwrap();
                    (output(&circuit, amp, Amiss { offset, ..Amiss::default() }, 0.0).re / gain).abs()
                })
                .sum();
            near(figure.drift_v_per_k, drift, drift, 1e-8);
        }
    }
}

#[test]
fn causes_superpose() {
    let mut dice = Dice(5);
    for topology in WIRED {
        let circuit = random(topology, &mut dice);
        let stage = wire(&circuit);
        let solver = stage.network.at::<f64>(0.0).unwrap();
        let to_output = solver.adjoint(stage.ports.output);
        let (mut all, mut sum, mut size) = (Excitation::default(), 0.0, 0.0);
        for &amp in topology.amps() {
            let element = stage.element(Role::Amp(amp)).unwrap();
            let (plus, minus, _) = stage.network.pins(element).unwrap();
            let (volt, bias) = (dice.log(1e-5, 1e-3), dice.log(1e-10, 1e-7));
            let effects = [
                to_output.effect(&Excitation::default().and_offset(element, volt)),
                to_output.effect(&Excitation::default().and_current(plus, GROUND, bias)),
                to_output.effect(&Excitation::default().and_current(minus, GROUND, bias)),
            ];
            sum += effects.iter().sum::<f64>();
            size += effects.iter().map(|x| x.abs()).sum::<f64>();
            all = all.and_offset(element, volt).and_current(plus, GROUND, bias).and_current(minus, GROUND, bias);
        }
        near(solver.state(&all).voltage(stage.ports.output), sum, size, 1e-10);
    }
}

#[test]
fn the_stated_bias_current_grows_toward_the_hot_end() {
    // Doubling every 10 K: a figure of speech of every FET op-amp text (from memory). 25 to 70 °C: 2^4.5.
    let mut circuit = random(Topology::ThreeOpAmp, &mut Dice(7));
    let still = offset(&wire(&circuit), Excursion { rise_k: 45.0, fall_k: 45.0 }).unwrap();
    for data in circuit.opamps.values_mut() {
        data.bias_current_doubling_k = Some(10.0);
    }
    let grown = offset(&wire(&circuit), Excursion { rise_k: 45.0, fall_k: 45.0 }).unwrap();
    for (before, after) in still.causes.iter().zip(&grown.causes) {
        let factor = if matches!(before.source, OffsetSource::Voltage(_)) { 1.0 } else { 22.627_416_997_969_52 };
        near(after.rti_v, before.rti_v * factor, before.rti_v * factor, 1e-12);
        near(after.after_calibration_v, before.rti_v * (factor - 1.0), before.rti_v, 1e-12);
        assert_eq!(before.after_calibration_v, 0.0);
    }
}

#[test]
fn thermal_emfs_add_where_they_stand() {
    // Three op amps, RF1 = RF2 = 20 k, RG = 1 k, G = 41: an EMF in a leg counts whole, one in series
    // with RG as (G - 1)/G. Derivation: the RG loop carries (v_d + E)/RG.
    let mut circuit = random(Topology::ThreeOpAmp, &mut Dice(9));
    let ohms = [Designator::RF1, Designator::RF2, Designator::R1, Designator::R2, Designator::R3, Designator::R4];
    circuit.ohms = ohms.map(|name| (name, 20e3)).into_iter().chain([(Designator::RG, 1e3)]).collect();
    circuit.opamps.clear();
    circuit.surroundings.source = evenkeel::stage::Source::default();
    let plain = offset(&wire(&circuit), Excursion::default()).unwrap();
    assert!(plain.causes.is_empty() && plain.rti_worst_v == 0.0);
    let strays = &mut circuit.surroundings.strays;
    (strays.thermal_emf_v_per_k, strays.leg_gradient_k, strays.rg_gradient_k) = (Some(40e-6), 0.1, 0.5);
    let figure = offset(&wire(&circuit), Excursion::default()).unwrap();
    let expected = [4e-6, 4e-6, 20e-6 * 40.0 / 41.0];
    // A leg's EMF is common mode too: the reference resistance lets a little of that through.
    for (cause, expected) in figure.causes.iter().zip(expected) {
        near(cause.rti_v, expected, expected, 2e-4);
        assert_eq!(cause.rti_v, cause.after_calibration_v);
    }
}

#[test]
fn ripple_matches_an_independent_assembly() {
    let mut dice = Dice(11);
    for _ in 0..20 {
        for topology in WIRED {
            let circuit = random(topology, &mut dice);
            let hz = dice.log(1.0, 1e5);
            let figure = ripple(&wire(&circuit), hz).unwrap();
            let mut sum = 0.0;
            for &(amp, read) in &figure.causes {
                let data = &circuit.opamps[&amp];
                let ratio = hz / data.supply_rejection_corner_hz.unwrap();
                let error = ((1.0 + ratio * ratio).sqrt() / data.supply_rejection.unwrap()).min(0.1);
                let carried = output(&circuit, amp, Amiss { offset: 1.0, ..Amiss::default() }, hz);
                let expected = error * carried.re.hypot(carried.im) / gain(&circuit).abs();
                near(read, expected, expected, 1e-8);
                sum += expected;
            }
            assert_eq!(figure.causes.len(), topology.amps().len());
            near(figure.rti_per_volt, sum, sum, 1e-8);
        }
    }
}

#[test]
fn gain_slopes_match_differences_of_an_independent_assembly() {
    let mut dice = Dice(13);
    for topology in WIRED {
        let circuit = random(topology, &mut dice);
        let slopes = gain_slopes(&wire(&circuit)).unwrap();
        assert_eq!(slopes.len(), topology.resistors().len());
        for (name, slope) in slopes {
            let moved = |by: f64| {
                let mut other = circuit.clone();
                other.ohms.set(name, circuit.ohms.get(name).map(|ohm| ohm * by));
                gain(&other)
            };
            let expected = (moved(1.0 + 1e-4) - moved(1.0 - 1e-4)) / 2e-4 / gain(&circuit);
            near(slope, expected, 1.0, 1e-6);
        }
    }
}

/// By the definition of doubling every 10 K: a board used colder than it was calibrated sees its currents halve.
#[test]
fn a_fall_halves_what_a_rise_doubles() {
    let opamp = OpAmp { bias_current_doubling_k: Some(10.0), ..OpAmp::default() };
    for (rise_k, fall_k, hot, change) in [
        (0.0, 20.0, 1.0, 0.75),
        (5.0, 30.0, std::f64::consts::SQRT_2, 0.875),
        (10.0, 30.0, 2.0, 1.0),
        (20.0, 0.0, 4.0, 3.0),
    ] {
        let told = Excursion { rise_k, fall_k }.growth(&opamp);
        assert!((told.0 - hot).abs() < 1e-15 && (told.1 - change).abs() < 1e-15, "{told:?}");
    }
    assert_eq!(Excursion { rise_k: 20.0, fall_k: 20.0 }.growth(&OpAmp::default()), (1.0, 0.0));
}
