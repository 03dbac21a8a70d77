//! The chosen set against every set there is, each designed whole as `fixed` and held against the limits.
use crate::{designed, ohm, question};
use evenkeel::designator::{Designator, Ohms, Topology};
use evenkeel::part::Fixed;
use evenkeel::study::{Design, Limits, Question};
use evenkeel::textbook::{WhiteNoise, white_noise};
use std::cmp::Ordering;

/// A bridge on a single supply: little room below, so that the split of gain matters.
const SPEC: &str = "[signal]\ndifferential = \"0 V .. 20 mV\"\ncommon_mode = \"0.6 V\"\nbandwidth = \"1 kHz\"\n\
    [supply]\npositive = \"3.3 V\"\nnegative = \"0 V\"\nreference = \"0.2 V\"\n\
    [resistors]\nTAKEtolerance = \"0.1 %\"\ntempco = \"0 ppm/K\"\n\
    [opamp.all]\nrejection = \"100 dB\"\noffset = \"100 µV\"\nbias_current = \"20 nA\"\nvoltage_noise = \"6 nV/√Hz\"\n\
    current_noise = \"0.3 pA/√Hz\"\ngain_bandwidth = \"5 MHz\"\n\
    output_swing = { from_negative = \"0.05 V\", from_positive = \"0.05 V\" }\n\
    input_range = { from_negative = \"0 V\", from_positive = \"1.2 V\" }\n";

/// Amplifiers whose data stand in the spec, for the noise by the book.
const NOISE: WhiteNoise = WhiteNoise { voltage: [6e-9; 3], current: [0.3e-12; 3], kelvin: 298.15 };

struct Case<'a> {
    topology: Topology,
    gain: f64,
    prefer: &'static str,
    stock: &'a [f64],
    source: &'static str,
}

impl Case<'_> {
    fn spec(&self, limits: &str) -> String {
        let values: Vec<String> = self.stock.iter().map(|ohm| format!("\"{ohm}\"")).collect();
        let take = format!(
            "stock = [{}]\nrange = {{ RF = \"9k .. 100k\", R1 = \"9k .. 1M\", R2 = \"9k .. 1M\", R3 = \"9k .. 1M\", R4 = \"9k .. 1M\" }}\n",
            values.join(", ")
        );
        let take = match self.topology {
            // RF is no part of these
            Topology::ThreeOpAmp => take,
            _ => take.replace("RF = \"9k .. 100k\", ", ""),
        };
        let target = format!(
            "[target]\ngain = {}\nprefer = \"{}\"\n[circuit]\ntopology = \"{}\"\n{}",
            self.gain,
            self.prefer,
            self.topology.name(),
            self.source
        );
        format!("{target}{}[limits]\n{limits}", SPEC.replace("TAKE", &take))
    }
}

/// A set of values and all that is to be known of it.
struct Set {
    ohms: Ohms,
    design: Design,
    noise: f64,
    split: f64,
}

fn with(question: &Question, ohms: &Ohms) -> Question {
    let mut out = question.clone();
    for (name, ohm) in ohms.present() {
        out.resistors.fixed.insert(name, Fixed::Ohm(ohm));
    }
    out
}

/// Every set the ranges allow, by plain loops.
fn every_set(case: &Case<'_>, question: &Question) -> Vec<Set> {
    use Designator::{R1, R2, R3, R4, RF1, RF2, RG};
    let high: Vec<f64> = case.stock.iter().copied().filter(|ohm| *ohm >= 9e3).collect();
    let feedback: Vec<f64> = high.iter().copied().filter(|ohm| *ohm <= 100e3).collect();
    let mut all: Vec<(f64, Ohms)> = Vec::new();
    match case.topology {
        Topology::ThreeOpAmp => {
            for &r1 in &high {
                for &r2 in high.iter().filter(|r2| **r2 >= r1 && **r2 / r1 <= case.gain) {
                    for &rf in &feedback {
                        for &rg in case.stock {
                            let row = [(R1, r1), (R3, r1), (R2, r2), (R4, r2), (RF1, rf), (RF2, rf), (RG, rg)];
                            all.push((r2 / r1, row.into_iter().collect()));
                        }
                    }
                }
            }
        }
        Topology::TwoOpAmp => {
            for &outer in &high {
                for &inner in high.iter().filter(|inner| outer >= **inner && outer / **inner <= case.gain - 1.0) {
                    for &rg in case.stock {
                        let row = [(R1, outer), (R4, outer), (R2, inner), (R3, inner), (RG, rg)];
                        all.push((outer / inner, row.into_iter().collect()));
                    }
                }
            }
        }
        _ => {
            for &r1 in &high {
                for &r2 in &high {
                    all.push((1.0, [(R1, r1), (R3, r1), (R2, r2), (R4, r2)].into_iter().collect()));
                }
            }
        }
    }
    // what is far from the gain is no answer
    let near = |ohms: &Ohms| {
        let gain = evenkeel::textbook::gains(case.topology, ohms).expect("values").differential;
        (gain / case.gain - 1.0).abs() < 0.12
    };
    let judged = |(split, ohms): (f64, Ohms)| Set {
        split,
        ohms,
        design: designed(&with(question, &ohms)),
        noise: white_noise(case.topology, &ohms, &NOISE).expect("values"),
    };
    all.into_iter().filter(|(_, ohms)| near(ohms)).map(judged).collect()
}

/// Every limit, held against the figures of the whole design.
fn holds(set: &Set, limits: &Limits) -> bool {
    let d = &set.design;
    let most = |limit: Option<f64>, value: Option<f64>| limit.is_none_or(|limit| value.is_some_and(|x| x <= limit));
    let least = |limit: Option<f64>, value: Option<f64>| limit.is_none_or(|limit| value.is_none_or(|x| x >= limit));
    let headroom = d.headroom.as_ref().map(|figure| figure.margin_v).expect("supplies are given");
    most(limits.gain_error, Some(d.gain.error_low.abs().max(d.gain.error_high.abs())))
        && least(limits.rejection_db, d.rejection.worst_db)
        && headroom >= limits.headroom_v.unwrap_or(0.0)
        && most(limits.offset_v, d.offset.as_ref().map(|figure| figure.rti_worst_v))
        && most(limits.noise_v, d.noise.as_ref().and_then(|figure| figure.rms_v))
        && least(limits.bandwidth_hz, d.bandwidth.as_ref().and_then(|figure| figure.small_signal_hz))
        && least(limits.differential_impedance_ohm, d.impedance.and_then(|figure| figure.differential_ohm))
}

/// The order of the contract, by code of its own.
fn before(a: &Set, b: &Set, equal: f64, noise_first: bool) -> Ordering {
    let close = |x: f64, y: f64| {
        if (x - y).abs() <= 1e-8 * x.abs().max(y.abs()) { Ordering::Equal } else { x.total_cmp(&y) }
    };
    let class = |set: &Set| {
        let error = set.design.gain.error_nominal.abs();
        if error <= equal { 0.0 } else { error }
    };
    // fewest different values among R1 to R4: one reel, the better match
    let mixed = |set: &Set| {
        let all = [Designator::R1, Designator::R2, Designator::R3, Designator::R4].map(|name| set.ohms.get(name));
        all.iter().collect::<Vec<_>>().windows(2).any(|pair| pair[0] != pair[1])
    };
    let (error, noise) = (close(class(a), class(b)), close(a.noise, b.noise));
    let values = mixed(a).cmp(&mixed(b));
    if noise_first { noise.then(error).then(values) } else { error.then(values).then(noise) }
}

fn compare(case: &Case<'_>, sets: &[Set], limits: &str) -> bool {
    let asked = question(&case.spec(limits));
    // the spread of the set nearest to the gain at the least split
    let least = sets.iter().map(|set| set.split).fold(f64::INFINITY, f64::min);
    let usual = sets.iter().filter(|set| set.split == least);
    let error = |set: &&Set| set.design.gain.error_nominal.abs();
    let nearest = usual.min_by(|a, b| error(a).total_cmp(&error(b)).then(a.noise.total_cmp(&b.noise))).expect("sets");
    let spread = nearest.design.gain.error_high - nearest.design.gain.error_low;
    let admitted = asked.limits.gain_error.unwrap_or(0.02).max(error(&nearest));
    let noise_first = case.prefer == "noise";
    let best = sets
        .iter()
        .filter(|set| holds(set, &asked.limits) && error(set) <= admitted * (1.0 + 1e-9))
        .min_by(|a, b| before(a, b, 0.1 * spread, noise_first));
    let found = designed(&asked);
    let told = format!("{} {} {limits}: {:?}", case.topology, case.gain, found.search);
    let Some(best) = best else {
        assert!(!found.met || found.headroom.is_some_and(|figure| !figure.fits), "{told}: nothing holds");
        return false;
    };
    assert!(found.met, "{told}: {:?} holds every limit", best.ohms);
    assert!(found.search.proven, "{told}");
    let ohms: Ohms = found.resistors.iter().filter_map(|line| Some((line.name, line.ohm?))).collect();
    let chosen = sets.iter().find(|set| set.ohms == ohms).unwrap_or_else(|| panic!("{told}: {ohms:?} is no set"));
    let order = before(chosen, best, 0.1 * spread, noise_first);
    assert!(order != Ordering::Greater, "{told}: {:?}, but {:?} is better", chosen.ohms, best.ohms);
    true
}

/// Limits at which only some of the sets hold, one by one and together.
const LIMITS: [&str; 12] = [
    "headroom = \"20 mV\"\n",
    "headroom = \"0.12 V\"\n",
    "rejection = \"80 dB\"\n",
    "rejection = \"86 dB\"\n",
    "offset = \"0.6 mV\"\n",
    "noise = \"0.65 µV\"\n",
    "bandwidth = \"200 kHz\"\n",
    "gain_error = \"1 %\"\n",
    "headroom = \"80 mV\"\nrejection = \"78 dB\"\n",
    "headroom = \"0.1 V\"\noffset = \"0.9 mV\"\ngain_error = \"2 %\"\n",
    "headroom = \"0.2 V\"\nrejection = \"90 dB\"\n",
    "bandwidth = \"150 kHz\"\nnoise = \"0.75 µV\"\ngain_error = \"3 %\"\n",
];

const DRAWER: [f64; 14] = [220.0, 330.0, 470.0, 510.0, 680.0, 1e3, 1.5e3, 2.2e3, 10e3, 12e3, 15e3, 22e3, 33e3, 47e3];

#[test]
fn three_op_amps() {
    let mut held = 0;
    for (gain, prefer) in [(40.0, "gain"), (60.0, "noise"), (47.0, "parts")] {
        let case = Case { topology: Topology::ThreeOpAmp, gain, prefer, stock: &DRAWER, source: "" };
        let sets = every_set(&case, &question(&case.spec("")));
        held += LIMITS.iter().filter(|limits| compare(&case, &sets, limits)).count();
    }
    assert!(held > 15, "{held}: the limits are too hard to show anything");
}

#[test]
fn two_op_amps() {
    let mut held = 0;
    for (gain, prefer) in [(40.0, "gain"), (25.0, "noise")] {
        let case = Case { topology: Topology::TwoOpAmp, gain, prefer, stock: &DRAWER, source: "" };
        let sets = every_set(&case, &question(&case.spec("")));
        held += LIMITS.iter().filter(|limits| compare(&case, &sets, limits)).count();
    }
    assert!(held > 6, "{held}");
}

#[test]
fn difference_stages() {
    let mut held = 0;
    const STOCK: [f64; 14] =
        [10e3, 11e3, 12e3, 20e3, 22e3, 33e3, 47e3, 100e3, 110e3, 120e3, 200e3, 220e3, 330e3, 470e3];
    let source = "[source]\nresistance = \"100 Ω\"\nimbalance = \"20 Ω\"\n";
    for (topology, gain, prefer) in [
        (Topology::Difference, 10.0, "gain"),
        (Topology::Difference, 4.3, "noise"),
        (Topology::BufferedDifference, 10.0, "gain"),
        (Topology::BufferedDifference, 3.0, "noise"),
    ] {
        let case = Case { topology, gain, prefer, stock: &STOCK, source };
        let sets = every_set(&case, &question(&case.spec("")));
        held += LIMITS.iter().filter(|limits| compare(&case, &sets, limits)).count();
        for limits in
            ["differential_impedance = \"30 kΩ\"\n", "differential_impedance = \"50 kΩ\"\noffset = \"3 mV\"\n"]
        {
            held += usize::from(compare(&case, &sets, limits));
        }
    }
    assert!(held > 15, "{held}");
}

/// What is put into the drawer can only help.
#[test]
fn more_values_never_make_the_best_worse() {
    let more: Vec<f64> = DRAWER.iter().copied().chain([11e3, 13e3, 560.0, 620.0]).collect();
    for topology in [Topology::ThreeOpAmp, Topology::TwoOpAmp] {
        for limits in ["", LIMITS[0], LIMITS[3], LIMITS[8]] {
            let of = |stock: &[f64]| {
                let case = Case { topology, gain: 40.0, prefer: "gain", stock, source: "" };
                let found = designed(&question(&case.spec(limits)));
                let ohms: Ohms = found.resistors.iter().filter_map(|line| Some((line.name, line.ohm?))).collect();
                (found, white_noise(topology, &ohms, &NOISE).expect("values"))
            };
            let ((few, few_noise), (many, many_noise)) = (of(&DRAWER), of(&more));
            assert!(many.met || !few.met, "{topology} {limits}");
            if few.met {
                let (a, b) = (few.gain.error_nominal.abs(), many.gain.error_nominal.abs());
                // a tenth of the spread counts as equal; the spread itself hardly moves
                let equal = 0.1 * (few.gain.error_high - few.gain.error_low);
                assert!(b <= a.max(1.01 * equal), "{topology} {limits}: {a} {b}");
                let quieter = many_noise <= few_noise * (1.0 + 1e-9);
                let mixed = |found: &Design| ohm(found, "R1") != ohm(found, "R2");
                assert!(
                    quieter || a > 0.99 * equal || mixed(&few) && !mixed(&many),
                    "{topology} {limits}: {few_noise} {many_noise}"
                );
            }
        }
    }
}

/// Difference stages: the example that was missed when only the first few sets were tried.
#[test]
fn a_set_far_down_the_order_is_found() {
    let text = "[source]\nresistance = \"100 Ω\"\nimbalance = \"100 Ω\"\n[target]\ngain = 2\n[circuit]\ntopology = \"difference\"\n\
        [resistors]\ntolerance = \"0 %\"\ntempco = \"0 ppm/K\"\n[limits]\ndifferential_impedance = \"900 kΩ\"\nrejection = \"70 dB\"\n";
    let found = designed(&question(text));
    assert!(found.met && found.search.proven, "{:?} {:?}", found.limits, found.search);
    // 2·(R1 + Rs) at the inputs, with R2 up to 1 MΩ
    assert!(ohm(&found, "R1") >= 449.9e3, "{:?}", found.resistors);
}

#[test]
fn a_limit_out_of_reach_is_named_and_the_others_are_held() {
    let case = Case { topology: Topology::ThreeOpAmp, gain: 40.0, prefer: "gain", stock: &DRAWER, source: "" };
    let found = designed(&question(&case.spec("rejection = \"130 dB\"\nheadroom = \"0.1 V\"\n")));
    assert_eq!(found.search.out_of_reach, ["rejection"]);
    let missed: Vec<&str> = found.limits.iter().filter(|line| line.met == Some(false)).map(|line| line.limit).collect();
    assert_eq!(missed, ["rejection"]);
}
