//! Random circuits, assembled apart: own netlists from the drawing, own equations, solved by nalgebra.
//! Shares nothing with the crate but the circuit's values.
use crate::bench::{close, stage};
use crate::netlist::{C, Net, at, each, wide};
use evenkeel::designator::Amp;
use evenkeel::predict::{Motion, amplifier_sources, loop_margins, noise, response, settling, thermal_sources};
use evenkeel::stage::Circuit;
use nalgebra::DVector;
use std::f64::consts::PI;

/// Every second of them with an infinitely fast first op amp.
fn partly_ideal(circuit: &Circuit, count: &mut usize) -> Circuit {
    let mut circuit = circuit.clone();
    *count += 1;
    if let (0, Some(first)) = (*count % 2, circuit.opamps.get_mut(&Amp::A1)) {
        first.gain_bandwidth_hz = None;
        first.open_loop_gain = None;
    }
    circuit
}

#[test]
fn gain_over_frequency() {
    let mut count = 0;
    each(1, 40, |circuit, net| {
        let circuit = &partly_ideal(circuit, &mut count);
        let stage = stage(circuit);
        let motion = Motion::of(&stage.network).unwrap();
        let gain = motion.transfer(&stage.differential(), stage.ports.output);
        let (g, c) = net.matrices(circuit, None);
        for hz in [0.0, 1.0, 1e3, 3e4, 1e6, 2e7, 1e9] {
            let apart = at(&g, &c, hz).lu().solve(&wide(&net.drive())).unwrap()[net.output - 1];
            let here = gain.at(hz);
            let off = libm::hypot(here.re - apart.re, here.im - apart.im);
            let size = libm::hypot(apart.re, apart.im);
            assert!(off <= 1e-10 * size + 1e-13 * gain.dc.abs(), "{hz}: {here} {apart} {circuit:?}");
        }
    });
}

/// Strays and input capacitances a thousand times too large: some of these circuits do oscillate.
#[test]
fn poles_and_stability() {
    let mut unstable = 0;
    each(2, 300, |circuit, _| {
        let mut circuit = circuit.clone();
        circuit.surroundings.strays.rg_capacitance_f *= 1e3;
        for (k, opamp) in circuit.opamps.values_mut().enumerate() {
            opamp.input_capacitance_f = opamp.input_capacitance_f.map(|farad| farad * if k == 1 { 1e3 } else { 10.0 });
        }
        let net = Net::of(&circuit);
        let stage = stage(&circuit);
        let motion = Motion::of(&stage.network).unwrap();
        let (g, c) = net.matrices(&circuit, None);
        let apart = g.lu().solve(&c).unwrap().complex_eigenvalues();
        let apart: Vec<C> = apart.iter().copied().filter(|mu| libm::hypot(mu.re, mu.im) > 1e-15).collect();
        let poles = motion.poles();
        for pole in &poles {
            let mu = C::new(-1.0, 0.0) / C::new(pole.re, pole.im);
            let off = |one: &C| libm::hypot(one.re - mu.re, one.im - mu.im);
            let nearest = apart.iter().map(off).fold(f64::INFINITY, f64::min);
            let largest = 1.0 / libm::hypot(poles[0].re, poles[0].im);
            // Nearly repeated eigenvalues move by the root of the rounding error.
            assert!(nearest <= 1e-6 * libm::hypot(mu.re, mu.im) + 1e-12 * largest, "{pole} {apart:?}");
        }
        let stable = motion.is_stable();
        assert_eq!(stable, apart.iter().all(|mu| mu.re > 0.0));
        // An oscillation shows in the margin of some loop, and a negative margin only there.
        let negative = loop_margins(&stage, &motion).unwrap().iter().any(|one| one.phase_margin_deg < 0.0);
        assert_eq!(negative, !stable);
        unstable += usize::from(!stable);
    });
    assert!(unstable >= 3, "{unstable}");
}

/// Every source carried to the output by a solution of its own; the band by Simpson's rule.
#[test]
fn noise_source_by_source() {
    each(3, 6, |circuit, net| {
        let stage = stage(circuit);
        let kelvin = 310.0;
        let mut sources = thermal_sources(&stage, kelvin);
        sources.extend(amplifier_sources(&stage));
        let (low, high) = (0.3, 3e5);
        let found = noise(&stage, &sources, Some((low, high))).unwrap();
        let (g, c) = net.matrices(circuit, None);
        let dc = at(&g, &c, 0.0).lu().solve(&wide(&net.drive())).unwrap()[net.output - 1].re;
        let density = |hz: f64| {
            let lu = at(&g, &c, hz).lu();
            let carried = |row: Option<usize>, other: Option<usize>| {
                let mut b = DVector::<C>::zeros(net.size());
                if let Some(row) = row {
                    b[row] += C::new(1.0, 0.0);
                }
                if let Some(other) = other {
                    b[other] -= C::new(1.0, 0.0);
                }
                lu.solve(&b).unwrap()[net.output - 1].norm_sqr()
            };
            let node = |node: usize| node.checked_sub(1);
            let mut sum = 0.0;
            for &(a, b, ohm, _) in net.resistors.iter().filter(|one| one.3) {
                sum += carried(node(a), node(b)) * 4.0 * 1.380_649e-23 * kelvin / ohm;
            }
            for (k, &(amp, plus, minus, _)) in net.amps.iter().enumerate() {
                let data = &circuit.opamps[&amp];
                let e = data.voltage_noise_v_per_rthz.unwrap_or(0.0);
                let i = data.current_noise_a_per_rthz.unwrap_or(0.0);
                sum += carried(Some(net.nodes + 3 + k), None)
                    * e
                    * e
                    * (1.0 + data.voltage_noise_corner_hz.unwrap_or(0.0) / hz);
                for input in [plus, minus] {
                    sum +=
                        carried(node(input), None) * i * i * (1.0 + data.current_noise_corner_hz.unwrap_or(0.0) / hz);
                }
            }
            sum / (dc * dc)
        };
        close(found.density_v_per_rthz, density(1e3).sqrt(), 1e-9);
        let intervals = 2000;
        let step = libm::log(high / low) / f64::from(intervals);
        let simpson: f64 = (0..=intervals)
            .map(|k| {
                let hz = low * libm::exp(step * f64::from(k));
                let weight = if k == 0 || k == intervals { 1.0 } else { f64::from(2 + 2 * (k % 2)) };
                weight * step / 3.0 * hz * density(hz)
            })
            .sum();
        close(found.rms_v.unwrap(), simpson.sqrt(), 1e-7);
    });
}

/// The loop really cut: the output held by a source of 1 V, `T = −A(f)·(v₊ − v₋)`.
#[test]
fn margins_of_a_cut_loop() {
    let mut told = 0;
    each(4, 12, |circuit, net| {
        let stage = stage(circuit);
        let motion = Motion::of(&stage.network).unwrap();
        let all = loop_margins(&stage, &motion).unwrap();
        for (k, &(amp, plus, minus, _)) in net.amps.iter().enumerate() {
            let (g, c) = net.matrices(circuit, Some(amp));
            let data = &circuit.opamps[&amp];
            let mut b = DVector::<C>::zeros(net.size());
            b[net.nodes + 3 + k] = C::new(1.0, 0.0);
            let ratio = |hz: f64| {
                let x = at(&g, &c, hz).lu().solve(&b).unwrap();
                let a =
                    C::new(data.open_loop_gain.map_or(0.0, |gain| 1.0 / gain), hz / data.gain_bandwidth_hz.unwrap());
                -(x[plus - 1] - x[minus - 1]) / a
            };
            let (mut least, mut phase) = (f64::INFINITY, 0.0);
            let mut last: Option<C> = None;
            for step in 0..4000 {
                let here = ratio(libm::pow(10.0, -1.0 + f64::from(step) * 11.0 / 4000.0));
                let turn = last.map_or(here, |last| here * last.conj());
                phase += libm::atan2(turn.im, turn.re) * 180.0 / PI;
                if last.is_some_and(|last| (last.norm_sqr() > 1.0) != (here.norm_sqr() > 1.0)) {
                    let wrapped = libm::atan2(here.im, here.re) * 180.0 / PI;
                    least = least.min(180.0 - if motion.is_stable() { wrapped } else { phase }.abs());
                }
                last = Some(here);
            }
            let found = all.iter().find(|one| one.amp == amp);
            match found {
                None => assert_eq!(least, f64::INFINITY),
                Some(found) => {
                    told += 1;
                    assert!((found.phase_margin_deg - least).abs() < 1.0, "{found:?} {least}");
                    let there = ratio(found.crossing_hz);
                    close(there.norm_sqr(), 1.0, 1e-6);
                    let exact = 180.0 - libm::atan2(there.im, there.re).abs() * 180.0 / PI;
                    if found.phase_margin_deg > 0.0 {
                        close(found.phase_margin_deg, exact, 1e-6);
                    }
                }
            }
        }
    });
    assert!(told > 70, "{told}");
}

/// The bandwidth by a fine scan of the separate network.
#[test]
fn bandwidth_by_scanning() {
    each(5, 15, |circuit, net| {
        let stage = stage(circuit);
        let motion = Motion::of(&stage.network).unwrap();
        let found = response(&stage, &motion).unwrap();
        let (g, c) = net.matrices(circuit, None);
        let size = |hz: f64| at(&g, &c, hz).lu().solve(&wide(&net.drive())).unwrap()[net.output - 1].norm_sqr().sqrt();
        let dc = size(0.0);
        let grid: Vec<f64> = (0..6000).map(|k| libm::pow(10.0, f64::from(k) * 10.0 / 6000.0)).collect();
        let first = grid.iter().find(|&&hz| size(hz) < dc * 0.5_f64.sqrt());
        close(found.small_signal_hz.unwrap(), *first.unwrap(), 4e-3);
        close(size(found.small_signal_hz.unwrap()) / dc, 0.5_f64.sqrt(), 1e-7);
        let most = grid.iter().map(|&hz| size(hz) / dc).fold(1.0, f64::max);
        assert!((found.peaking_db.unwrap() - 20.0 * libm::log10(most)).abs() < 0.01, "{found:?} {most}");
    });
}

/// The step followed by an L-stable second-order method on the whole, unreduced equations.
#[test]
fn settling_by_small_steps() {
    let (mut seen, mut count) = (0, 0);
    each(6, 8, |circuit, net| {
        let circuit = &partly_ideal(circuit, &mut count);
        let stage = stage(circuit);
        let motion = Motion::of(&stage.network).unwrap();
        if !motion.is_stable() {
            return;
        }
        let fraction = 1e-3;
        let Some(time) = settling(&stage, &motion, 1.0, &[fraction]).unwrap().linear_s[0] else { return };
        let (g, c) = net.matrices(circuit, None);
        let b = net.drive();
        let end = g.clone().lu().solve(&b).unwrap()[net.output - 1];
        let steps = 20_000;
        let h = time * 2.0 / f64::from(steps);
        let gamma = 1.0 - 0.5_f64.sqrt();
        let lu = (&c + &g * (gamma * h)).lu();
        let mut x = DVector::zeros(net.size());
        let mut last = 0.0;
        for k in 1..=steps {
            let k1 = lu.solve(&(&b - &g * &x)).unwrap();
            let k2 = lu.solve(&(&b - &g * (&x + &k1 * ((1.0 - gamma) * h)))).unwrap();
            x += k1 * ((1.0 - gamma) * h) + k2 * (gamma * h);
            if (x[net.output - 1] / end - 1.0).abs() > fraction {
                last = h * f64::from(k);
            }
        }
        assert!((last - time).abs() < 2e-3 * time, "{last} {time}");
        seen += 1;
    });
    assert!(seen > 25, "{seen}");
}
