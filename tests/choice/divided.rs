//! R5 and R6, which divide a common mode that the supply can't bear: the chosen set against every set there is.
use crate::{designed, ohm, question};
use Designator::{R1, R2, R3, R4, R5, R6};
use evenkeel::designator::{Designator, Ohms};
use evenkeel::part::Fixed;
use evenkeel::study::{Design, Question};
use evenkeel::textbook::{WhiteNoise, white_noise};
use std::cmp::Ordering;

/// A shunt high above the supply of its amplifier.
const SPEC: &str = "[signal]\ndifferential = \"± 50 mV\"\ncommon_mode = \"LOW .. HIGH\"\nbandwidth = \"1 kHz\"\n\
    [supply]\npositive = \"5 V\"\nnegative = \"0 V\"\nreference = \"2.5 V\"\n[target]\ngain = 10\n\
    [circuit]\ntopology = \"difference\"\n[resistors]\nTAKEtolerance = \"0.1 %\"\ntempco = \"0 ppm/K\"\n\
    [opamp.all]\nrejection = \"100 dB\"\noffset = \"100 µV\"\nbias_current = \"20 nA\"\nvoltage_noise = \"6 nV/√Hz\"\n\
    current_noise = \"0.3 pA/√Hz\"\ngain_bandwidth = \"50 MHz\"\n\
    output_swing = { from_negative = \"0.05 V\", from_positive = \"0.05 V\" }\n\
    input_range = { from_negative = \"0 V\", from_positive = \"1.2 V\" }\n[limits]\n";

const NOISE: WhiteNoise = WhiteNoise { voltage: [6e-9; 3], current: [0.3e-12; 3], kelvin: 298.15 };

const DRAWER: [f64; 15] =
    [1e3, 1.5e3, 2.2e3, 3.3e3, 4.7e3, 6.8e3, 10e3, 11e3, 15e3, 22e3, 47e3, 100e3, 110e3, 220e3, 470e3];

fn spec(common: (&str, &str), stock: &[f64], limits: &str) -> String {
    let values: Vec<String> = stock.iter().map(|ohm| format!("\"{ohm}\"")).collect();
    let take = format!("stock = [{}]\n", values.join(", "));
    SPEC.replace("LOW", common.0).replace("HIGH", common.1).replace("TAKE", &take) + limits
}

struct Set {
    design: Design,
    ohms: Ohms,
    noise: f64,
}

fn with(question: &Question, ohms: &Ohms) -> Question {
    let mut out = question.clone();
    for (name, ohm) in ohms.present() {
        out.resistors.fixed.insert(name, Fixed::Ohm(ohm));
    }
    out
}

/// Every set near the gain, by plain loops; R1 to R4 from 10 kΩ to 1 MΩ, R5 = R6 absent or from 100 Ω.
fn every_set(question: &Question, stock: &[f64]) -> Vec<Set> {
    let high: Vec<f64> = stock.iter().copied().filter(|ohm| *ohm >= 10e3).collect();
    let mut all = Vec::new();
    for &r1 in &high {
        for &r2 in high.iter().filter(|r2| (*r2 / r1 / 10.0 - 1.0).abs() < 0.03) {
            let four: Ohms = [(R1, r1), (R3, r1), (R2, r2), (R4, r2)].into_iter().collect();
            all.push(four);
            for &divider in stock {
                let mut six = four;
                six.set(R5, Some(divider));
                six.set(R6, Some(divider));
                all.push(six);
            }
        }
    }
    let judged = |ohms: Ohms| Set {
        design: designed(&with(question, &ohms)),
        noise: white_noise(question.topology, &ohms, &NOISE).expect("values"),
        ohms,
    };
    let sets: Vec<Set> = all.into_iter().map(judged).collect();
    for set in &sets {
        // the book's noise is that of the network: no source, no corners, far below the bandwidth
        let density = set.design.noise.as_ref().expect("a bandwidth is given").density_v_per_rthz;
        assert!((density / set.noise - 1.0).abs() < 2e-3, "{:?}: {density} {}", set.ohms, set.noise);
    }
    sets
}

/// Every limit, held against the figures of the whole design.
fn holds(set: &Set, question: &Question) -> bool {
    let (d, limits) = (&set.design, &question.limits);
    let most = |limit: Option<f64>, x: Option<f64>| limit.is_none_or(|limit| x.is_some_and(|x| x <= limit));
    let margin = d.headroom.as_ref().expect("supplies are given").margin_v;
    most(limits.gain_error, Some(d.gain.error_low.abs().max(d.gain.error_high.abs())))
        && limits.rejection_db.is_none_or(|least| d.rejection.worst_db.is_none_or(|db| db >= least))
        && margin >= limits.headroom_v.unwrap_or(0.0)
        && most(limits.offset_v, d.offset.as_ref().map(|figure| figure.rti_worst_v))
        && most(limits.noise_v, d.noise.as_ref().and_then(|figure| figure.rms_v))
        && limits
            .differential_impedance_ohm
            .is_none_or(|least| d.impedance.and_then(|figure| figure.differential_ohm).is_none_or(|ohm| ohm >= least))
}

/// Without R5 and R6 first, then the order of the contract.
fn before(a: &Set, b: &Set, equal: f64) -> Ordering {
    let divided = |set: &Set| set.ohms.get(R5).is_some();
    let class = |set: &Set| {
        let error = set.design.gain.error_nominal.abs();
        if error <= equal { 0.0 } else { error }
    };
    let close = |x: f64, y: f64| {
        if (x - y).abs() <= 1e-8 * x.abs().max(y.abs()) { Ordering::Equal } else { x.total_cmp(&y) }
    };
    divided(a).cmp(&divided(b)).then(close(class(a), class(b))).then(close(a.noise, b.noise))
}

#[test]
fn the_best_division_of_all() {
    let (mut held, mut divided) = (0, 0);
    for common in [("0.5 V", "2 V"), ("8 V", "9 V"), ("20 V", "30 V"), ("42 V", "58 V"), ("-20 V", "-10 V")] {
        let every = every_set(&question(&spec(common, &DRAWER, "")), &DRAWER);
        for limits in [
            "",
            "headroom = \"0.3 V\"\n",
            "rejection = \"46 dB\"\n",
            "offset = \"2 mV\"\n",
            "noise = \"4 µV\"\n",
            "differential_impedance = \"40 kΩ\"\n",
            "headroom = \"0.5 V\"\nnoise = \"6 µV\"\ndifferential_impedance = \"25 kΩ\"\n",
            "gain_error = \"0.6 %\"\nrejection = \"40 dB\"\nheadroom = \"0.2 V\"\n",
        ] {
            let asked = question(&spec(common, &DRAWER, limits));
            let found = designed(&asked);
            let told = format!("{common:?} {limits}: {:?}", found.search);
            let error = |set: &&Set| set.design.gain.error_nominal.abs();
            let plain = every.iter().filter(|set| set.ohms.get(R5).is_none());
            let nearest = plain.min_by(|a, b| error(a).total_cmp(&error(b)).then(a.noise.total_cmp(&b.noise)));
            let nearest = nearest.expect("a set");
            let equal = 0.1 * (nearest.design.gain.error_high - nearest.design.gain.error_low);
            let admitted = asked.limits.gain_error.unwrap_or(0.02).max(error(&nearest)) * (1.0 + 1e-9);
            let good = every.iter().filter(|set| holds(set, &asked) && error(set) <= admitted);
            let Some(best) = good.min_by(|a, b| before(a, b, equal)) else {
                assert!(!found.met || !found.headroom.is_some_and(|figure| figure.fits), "{told}: nothing holds");
                continue;
            };
            held += 1;
            assert!(found.met && found.headroom.as_ref().is_some_and(|figure| figure.fits), "{told}: {:?}", best.ohms);
            assert!(found.search.proven, "{told}");
            let ohms: Ohms = found.resistors.iter().filter_map(|line| Some((line.name, line.ohm?))).collect();
            let chosen = every.iter().find(|set| set.ohms == ohms).unwrap_or_else(|| panic!("{told}: {ohms:?}"));
            assert!(before(chosen, best, equal) != Ordering::Greater, "{told}: {ohms:?}, but {:?}", best.ohms);
            divided += usize::from(ohms.get(R5).is_some());
        }
    }
    assert!(held > 15 && divided > 10, "{held} {divided}");
}

/// By hand: the inputs see (v_cm + v_ref/G)/(1 + 1/G + R1/R5), which has to stay from 0 V to 3.8 V.
#[test]
fn the_least_division_that_fits() {
    let text = spec(("42 V", "58 V"), &DRAWER, "").replace(&spec_take(&DRAWER), "series = \"E96\"\n");
    let found = designed(&question(&text));
    let (r1, r2, r5) = (ohm(&found, "R1"), ohm(&found, "R2"), ohm(&found, "R5"));
    let at = |r5: f64| (58.05 + 2.5 * r1 / r2) / (1.0 + r1 / r2 + r1 / r5);
    assert!(at(r5) <= 3.8 + 0.05, "{r1} {r2} {r5}");
    // the next value up of E96 would not do
    assert!(at(r5 * 1.025) > 3.8, "{r1} {r2} {r5}: {}", at(r5 * 1.025));
    let warning = found.warnings.iter().find(|one| one.code == "common-mode-divided").expect("told");
    assert!(warning.advice.contains("the noise gain from 11"), "{warning:?}");
}

fn spec_take(stock: &[f64]) -> String {
    let values: Vec<String> = stock.iter().map(|ohm| format!("\"{ohm}\"")).collect();
    format!("stock = [{}]\n", values.join(", "))
}

#[test]
fn a_divided_design_put_back_as_fixed_is_the_same_design() {
    let asked = question(&spec(("42 V", "58 V"), &DRAWER, "noise = \"20 µV\"\n"));
    let first = designed(&asked);
    assert!(first.met && first.resistors.iter().any(|line| line.name == R5 && line.chosen), "{:?}", first.resistors);
    let mut again = asked.clone();
    for line in &first.resistors {
        again.resistors.fixed.insert(line.name, line.ohm.map_or(Fixed::Open, Fixed::Ohm));
    }
    let second = designed(&again);
    assert!(second.resistors.iter().all(|line| !line.chosen));
    assert_eq!((first.gain, &first.rejection), (second.gain, &second.rejection));
    assert_eq!((&first.headroom, &first.noise, &first.offset), (&second.headroom, &second.noise, &second.offset));
}

/// What is put into the drawer can only help.
#[test]
fn more_values_never_make_the_best_worse() {
    let more: Vec<f64> = DRAWER.iter().copied().chain([1.2e3, 1.8e3, 2.7e3, 12e3, 120e3, 3.9e3, 1.05e3]).collect();
    for limits in ["", "headroom = \"0.3 V\"\n", "differential_impedance = \"40 kΩ\"\n"] {
        let of = |stock: &[f64]| {
            let found = designed(&question(&spec(("42 V", "58 V"), stock, limits)));
            let ohms: Ohms = found.resistors.iter().filter_map(|line| Some((line.name, line.ohm?))).collect();
            (found, white_noise(evenkeel::designator::Topology::Difference, &ohms, &NOISE).expect("values"))
        };
        let ((few, few_noise), (many, many_noise)) = (of(&DRAWER), of(&more));
        assert!(many.met || !few.met, "{limits}");
        assert!(many_noise <= few_noise * (1.0 + 1e-9), "{limits}: {few_noise} {many_noise}");
    }
}

/// A circuit that is whole stays as it is, unless R5 and R6 are asked for.
#[test]
fn decided_resistors_are_left_alone() {
    let fixed = "fixed = { R1 = \"22k\", R2 = \"220k\" }\n";
    let text = spec(("42 V", "58 V"), &DRAWER, "");
    let alone = designed(&question(&text.replace("stock =", &format!("{fixed}stock ="))));
    assert!(alone.resistors.iter().all(|line| line.name != R5));
    let asked = format!("{fixed}range = {{ R5 = \"1k .. 10k\" }}\nstock =");
    let divided = designed(&question(&text.replace("stock =", &asked)));
    assert!(divided.headroom.as_ref().is_some_and(|figure| figure.fits), "{:?}", divided.resistors);
    assert_eq!((ohm(&divided, "R1"), ohm(&divided, "R5")), (22e3, ohm(&divided, "R6")));
}
