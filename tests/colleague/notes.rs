//! Review notes, each on a spec that deserves it and on one that just does not.
use crate::desk::{BATTERY, GEOPHONE, HOOK_LOAD, designed};
use evenkeel::study::Warning;

/// Notes that belong to a figure's own working, told elsewhere.
const OF_FIGURES: [&str; 11] = [
    "headroom",
    "headroom-corners",
    "headroom-rails-assumed",
    "filter-differential-capacitor",
    "filter-bandwidth",
    "filter-protection",
    "stage-peaks",
    "unstable",
    "offset-current-not-given",
    "chip-gain-beyond-list",
    "chip-gain-just-below-listed",
];

fn noted(text: &str) -> Vec<Warning> {
    designed(text).warnings.into_iter().filter(|one| !OF_FIGURES.contains(&one.code)).collect()
}

fn codes(text: &str) -> Vec<&'static str> {
    noted(text).into_iter().map(|one| one.code).collect()
}

#[track_caller]
fn both_sides(code: &str, deserves: &str, does_not: &str) {
    assert!(codes(deserves).contains(&code), "{code} is missing: {:?}", codes(deserves));
    assert!(!codes(does_not).contains(&code), "{code} cries wolf: {:?}", noted(does_not));
}

/// A spec from `key = value` lines by section.
fn spec(sections: &[(&str, &str)]) -> String {
    let mut text = String::new();
    for (section, lines) in sections {
        text += &format!("[{section}]\n{lines}\n");
    }
    text
}

#[test]
fn the_examples_raise_none_but_the_one_that_is_due() {
    assert_eq!(codes(HOOK_LOAD), [""; 0], "{:?}", noted(HOOK_LOAD));
    assert_eq!(codes(GEOPHONE), [""; 0], "{:?}", noted(GEOPHONE));
    // 58 V away from the reference at 70 dB are 17 mV of a span of 150 mV: no wolf
    assert_eq!(codes(BATTERY), ["static-common-mode"], "{:?}", noted(BATTERY));
}

#[test]
fn every_note_has_numbers_and_advice() {
    let poor = spec(&[
        ("signal", "differential = \"± 20 mV\"\ncommon_mode = \"4 V .. 6 V\"\nbandwidth = \"20 kHz\""),
        ("source", "resistance = \"10 kΩ\"\nimbalance = \"2 kΩ\"\nfloating = true\ncable_capacitance = \"1 nF\""),
        ("interference", "frequency = \"1 kHz\"\namplitude = \"0 V\""),
        ("supply", "positive = \"12 V\"\nnegative = \"-12 V\"\nreference = \"0 V\"\nreference_resistance = \"1 kΩ\""),
        ("target", "gain = 100"),
        ("limits", "noise = \"1 µV\"\nrejection = \"100 dB\""),
        (
            "opamp.all",
            "gain_bandwidth = \"1 MHz\"\nslew_rate = \"0.1 V/µs\"\noffset = \"10 µV\"\nbias_current = \"100 nA\"",
        ),
    ]);
    let all = noted(&poor);
    assert!(all.len() >= 7, "{all:?}");
    for one in all {
        assert!(one.message.chars().any(|c| c.is_ascii_digit()) || one.code == "no-bias-path", "{one:?}");
        assert!(one.advice.len() > 20 && !one.message.ends_with('.') && !one.advice.ends_with('.'), "{one:?}");
        assert!(one.code.chars().all(|c| c.is_ascii_lowercase() || c == '-'), "{one:?}");
    }
}

#[test]
fn a_floating_source_needs_a_way_for_the_bias_current() {
    let of = |more: &str| spec(&[("source", &format!("resistance = \"100 Ω\"\n{more}")), ("target", "gain = 10")]);
    both_sides("no-bias-path", &of("floating = true"), &of("floating = true\nbias_return = \"1 MΩ\""));
    both_sides("no-bias-path", &of("floating = true"), &of("floating = false"));
}

/// 2 nA·(R - 200 Ω) each, against 2·20 µV: equal at R - RF/G1 = 10 kΩ.
#[test]
fn bias_current_that_makes_most_of_the_offset() {
    let of = |ohm: &str, more: &str| {
        spec(&[
            ("source", &format!("resistance = \"{ohm}\"")),
            ("target", "gain = 100"),
            ("circuit", "stage_two_gain = 1"),
            ("limits", more),
            ("opamp.all", "offset = \"20 µV\"\nbias_current = \"2 nA\"\noffset_current = \"0 A\""),
        ])
    };
    both_sides("bias-current-dominates", &of("11 kΩ", ""), &of("9.9 kΩ", ""));
    both_sides("bias-current-dominates", &of("11 kΩ", "offset = \"120 µV\""), &of("11 kΩ", "offset = \"200 µV\""));
}

/// Two op amps of 80 dB each leave 5000:1; 55 µV of offset is 0.275 V of common mode.
#[test]
fn a_static_common_mode_that_is_more_than_the_offset() {
    let of = |volt: &str| {
        spec(&[
            ("signal", &format!("common_mode = \"{volt}\"")),
            ("supply", "positive = \"5 V\"\nnegative = \"-5 V\"\nreference = \"0 V\""),
            ("target", "gain = 1000"),
            ("circuit", "stage_two_gain = 1"),
            ("resistors", "tolerance = \"0 %\"\ntempco = \"0 ppm/K\""),
            ("opamp.all", "rejection = \"80 dB\"\noffset = \"27.445 µV\""),
        ])
    };
    both_sides("static-common-mode", &of("0.3 V"), &of("0.25 V"));
}

#[test]
fn a_reference_through_ohms() {
    let of = |ohm: &str, limit: &str| {
        spec(&[
            (
                "supply",
                &format!(
                    "positive = \"5 V\"\nnegative = \"-5 V\"\nreference = \"0 V\"\nreference_resistance = \"{ohm}\""
                ),
            ),
            ("target", "gain = 10"),
            ("circuit", "stage_two_gain = 1"),
            ("resistors", "tolerance = \"0.1 %\"\nfixed = { R1 = \"10k\" }"),
            ("limits", limit),
        ])
    };
    // resistors 4·0.1 % = 40 Ω of 10 kΩ; a quarter of the whole is 13.3 Ω
    both_sides("reference-soft", &of("15 Ω", ""), &of("12 Ω", ""));
    both_sides("reference-soft", &of("15 Ω", "rejection = \"68 dB\""), &of("15 Ω", "rejection = \"60 dB\""));
}

#[test]
fn a_reference_that_is_heard() {
    let of = |ohm: &str| {
        spec(&[
            ("signal", "bandwidth = \"1 kHz\""),
            (
                "supply",
                &format!(
                    "positive = \"5 V\"\nnegative = \"-5 V\"\nreference = \"0 V\"\nreference_resistance = \"{ohm}\""
                ),
            ),
            ("target", "gain = 0.1"),
            ("circuit", "topology = \"difference\""),
            ("resistors", "fixed = { R1 = \"10k\" }"),
        ])
    };
    // at the output, beside R2 and R4 of 1 kΩ: 0.95·300 Ω of 2.49 kΩ, 0.96·250 Ω of 2.44 kΩ
    both_sides("reference-noisy", &of("300 Ω"), &of("250 Ω"));
}

/// The op amps of `n` dB leave n - 6 dB; a match of 0.01 % leaves 20·log10(100·2/200 ppm) = 120 dB.
#[test]
fn matching_that_buys_nothing() {
    let of = |rejection: &str| {
        spec(&[
            ("target", "gain = 100"),
            ("circuit", "stage_two_gain = 1"),
            ("resistors", "tolerance = \"0.1 %\""),
            ("[resistors.network]", "members = [\"R1\", \"R2\", \"R3\", \"R4\"]\nmatch = \"0.01 %\""),
            ("opamp.all", &format!("rejection = \"{rejection}\"")),
        ])
    };
    both_sides("match-wasted", &of("105 dB"), &of("107 dB"));
    let alone = of("105 dB")
        .replace("[[resistors.network]]", "[resistors.part.R1]")
        .replace("members = [\"R1\", \"R2\", \"R3\", \"R4\"]\nmatch = \"0.01 %\"", "tolerance = \"0.1 %\"");
    both_sides("match-wasted", &of("105 dB"), &alone);
}

#[test]
fn gain_in_stage_two_that_stage_one_could_have() {
    let of = |second: &str, supply: &str| {
        spec(&[
            ("signal", "differential = \"± 20 mV\"\ncommon_mode = \"0 V\""),
            ("supply", &format!("positive = \"{supply}\"\nnegative = \"-{supply}\"\nreference = \"0 V\"")),
            ("target", "gain = 100"),
            ("circuit", &format!("stage_two_gain = {second}")),
            ("opamp.all", "output_swing = { from_negative = \"0 V\", from_positive = \"0 V\" }"),
        ])
    };
    both_sides("stage-two-gain", &of("2.5", "5 V"), &of("1.9", "5 V"));
    let high_common = of("2.5", "2.5 V").replace("common_mode = \"0 V\"", "common_mode = \"1.6 V\"");
    // at 1.6 V a gain of 100 in stage one swings 1 V more and has 0.9 V left
    both_sides("stage-two-gain", &of("2.5", "2.5 V"), &high_common);
}

#[test]
fn wiring_that_is_part_of_rg() {
    let of = |ohm: &str, tolerance: &str| {
        spec(&[
            ("target", "gain = 100"),
            ("circuit", "stage_two_gain = 1"),
            ("resistors", &format!("tolerance = \"{tolerance}\"\ntempco = \"0 ppm/K\"\nfixed = {{ RG = \"{ohm}\" }}")),
        ])
    };
    // 10 mΩ of 100 Ω are 0.01 %
    both_sides("rg-wiring", &of("100 Ω", "0.09 %"), &of("100 Ω", "0.11 %"));
    both_sides("rg-wiring", &of("95 Ω", "0.1 %"), &of("102 Ω", "0.1 %"));
    let stated = of("1k", "0.1 %") + "[strays]\nrg_resistance = \"0.2 Ω\"\n";
    both_sides("rg-wiring", &stated, &stated.replace("0.2 Ω", "0.05 Ω"));
}

#[test]
fn resistors_louder_than_everything_else() {
    let of = |ohm: &str, limit: &str| {
        spec(&[
            ("signal", "bandwidth = \"1 kHz\""),
            ("target", "gain = 1"),
            ("circuit", "topology = \"difference\""),
            ("limits", limit),
            ("resistors", &format!("fixed = {{ R1 = \"{ohm}\" }}")),
            ("opamp.all", "voltage_noise = \"10 nV/√Hz\""),
        ])
    };
    // 4kT·4R against (2·10 nV)²: equal at 6.07 kΩ
    both_sides("resistor-noise", &of("6.8k", ""), &of("5.6k", ""));
    both_sides("resistor-noise", &of("6.8k", "noise = \"1 µV\""), &of("6.8k", "noise = \"10 µV\""));
}

#[test]
fn bandwidth_and_slew_rate_short_of_the_signal() {
    let of = |hz: &str, slew: &str| {
        spec(&[
            ("signal", &format!("differential = \"± 1 V\"\nbandwidth = \"{hz}\"")),
            ("target", "gain = 1"),
            ("circuit", "topology = \"difference\""),
            ("opamp.all", &format!("gain_bandwidth = \"1 MHz\"\nslew_rate = \"{slew}\"")),
        ])
    };
    // 1 MHz at a noise gain of 2 is 500 kHz
    both_sides("bandwidth-short", &of("170 kHz", "100 V/µs"), &of("165 kHz", "100 V/µs"));
    // 2·pi·1 V: 0.2 V/µs make 31.8 kHz
    both_sides("slew-rate-short", &of("17 kHz", "0.2 V/µs"), &of("15 kHz", "0.2 V/µs"));
}

#[test]
fn interference_near_the_rejection_corner() {
    let of = |hz: &str, limit: &str| {
        spec(&[
            ("interference", &format!("frequency = \"{hz}\"\namplitude = \"0 V\"")),
            ("target", "gain = 10"),
            ("resistors", "tolerance = \"0 %\"\ntempco = \"0 ppm/K\""),
            ("limits", limit),
            ("opamp.all", "rejection = \"80 dB\"\nrejection_corner = \"100 Hz\""),
        ])
    };
    // 2 dB are lost at 76.5 Hz
    both_sides("rejection-corner", &of("78 Hz", ""), &of("75 Hz", ""));
    let limit = "rejection_at_interference = \"60 dB\"";
    both_sides("rejection-corner", &of("78 Hz", ""), &of("78 Hz", limit));
}

/// Open-loop gain of n dB against op amps of 80 dB, which leave 74 dB.
#[test]
fn open_loop_gains_that_differ() {
    let of = |gain: &str, limit: &str| {
        spec(&[
            ("target", "gain = 1000"),
            ("circuit", "stage_two_gain = 1"),
            ("resistors", "tolerance = \"0 %\"\ntempco = \"0 ppm/K\""),
            ("limits", limit),
            ("opamp.A1", &format!("open_loop_gain = \"{gain}\"\nrejection = \"80 dB\"")),
            ("opamp.A2", &format!("open_loop_gain = \"{gain}\"\nrejection = \"80 dB\"")),
        ])
    };
    both_sides("open-loop-gain-mismatch", &of("73 dB", ""), &of("75 dB", ""));
    both_sides("open-loop-gain-mismatch", &of("73 dB", ""), &of("73 dB", "rejection = \"60 dB\""));
}

#[test]
fn what_dominates_at_the_interference() {
    let of = |what: &str, op_amp: &str, limit: &str| {
        spec(&[
            ("interference", "frequency = \"50 Hz\"\namplitude = \"0 V\""),
            ("target", "gain = 100"),
            ("circuit", "stage_two_gain = 1"),
            ("resistors", "tolerance = \"0 %\"\ntempco = \"0 ppm/K\""),
            ("limits", limit),
            ("opamp.all", op_amp),
        ]) + what
    };
    let ideal = "rejection = \"86 dB\"";
    // two op amps of 86 dB leave 80 dB: 1e-4
    let imbalance = |farad: &str| {
        format!(
            "[source]\nresistance = \"10 kΩ\"\nimbalance = \"100 Ω\"\ncable_capacitance = \"{farad}\"\ncable_tolerance = \"0 %\"\n"
        )
    };
    both_sides("source-imbalance", &of(&imbalance("3.4 nF"), ideal, ""), &of(&imbalance("3 nF"), ideal, ""));
    let cable = |percent: &str| {
        format!("[source]\nresistance = \"1 kΩ\"\ncable_capacitance = \"1 nF\"\ncable_tolerance = \"{percent}\"\n")
    };
    both_sides("cable-mismatch", &of(&cable("17 %"), ideal, ""), &of(&cable("15 %"), ideal, ""));
    let filter = |percent: &str| {
        format!(
            "[input_filter]\nresistor = \"1k\"\ncommon_capacitor = \"1 nF\"\ndifferential_capacitor = \"10 nF\"\nresistor_tolerance = \"0 %\"\ncapacitor_tolerance = \"{percent}\"\n"
        )
    };
    both_sides("filter-mismatch", &of(&filter("17 %"), ideal, ""), &of(&filter("15 %"), ideal, ""));
    let limit = "rejection_at_interference = \"60 dB\"";
    both_sides("filter-mismatch", &of(&filter("17 %"), ideal, ""), &of(&filter("17 %"), ideal, limit));
    // 50 Hz·(1/(0.7·GBW) - 1/(1.3·GBW)) = 33/GBW
    let speed = |hz: &str| format!("{ideal}\ngain_bandwidth = \"{hz}\"\ngain_bandwidth_tolerance = \"30 %\"");
    both_sides("speed-mismatch", &of("", &speed("300 kHz"), ""), &of("", &speed("360 kHz"), ""));
}

#[test]
fn two_op_amps_at_a_low_gain() {
    let of = |gain: &str| spec(&[("target", &format!("gain = {gain}")), ("circuit", "topology = \"two-op-amp\"")]);
    both_sides("two-op-amp-low-gain", &of("1.5"), &of("2"));
    let range = |volt: &str| {
        spec(&[
            ("signal", &format!("differential = \"± 1 mV\"\ncommon_mode = \"{volt}\"")),
            ("supply", "positive = \"5 V\"\nnegative = \"-5 V\"\nreference = \"0 V\""),
            ("target", "gain = 10"),
            ("circuit", "topology = \"two-op-amp\""),
            // Decided, or other ratios are chosen so that A1 can follow.
            ("resistors", "fixed = { R1 = \"10k\", R2 = \"10k\" }"),
        ])
    };
    both_sides("two-op-amp-common-mode", &range("2.6 V"), &range("2.4 V"));
}

#[test]
fn limits_that_rest_on_ideal_parts() {
    let of = |limit: &str, op_amp: &str| {
        spec(&[
            ("signal", "bandwidth = \"1 kHz\""),
            ("interference", "frequency = \"50 Hz\"\namplitude = \"0 V\""),
            ("target", "gain = 10"),
            ("limits", limit),
            ("opamp.all", op_amp),
        ])
    };
    let rows = [
        ("gain_error = \"1 %\"", "open_loop_gain = \"100 dB\""),
        ("rejection = \"40 dB\"", "rejection = \"90 dB\""),
        (
            "rejection_at_interference = \"40 dB\"",
            "rejection = \"90 dB\"\nrejection_corner = \"1 kHz\"\ngain_bandwidth = \"1 MHz\"",
        ),
        ("noise = \"1 mV\"", "voltage_noise = \"10 nV/√Hz\""),
        ("bandwidth = \"1 kHz\"", "gain_bandwidth = \"1 MHz\""),
    ];
    for (limit, given) in rows {
        both_sides("ideal-assumed", &of(limit, ""), &of(limit, given));
    }
    assert!(!codes(&of("", "")).contains(&"ideal-assumed"));
}
