use crate::asked::ask;

const SPEC: &str = "title = \"Hook-load channel\"\n[signal]\ndifferential = \"± 18 mV\"\ncommon_mode = \"2.5 V\"\n\
                    [supply]\npositive = \"5 V\"\nnegative = \"0 V\"\n[target]\ngain = 100\n\
                    [opamp.all]\nrejection = \"100 dB\"\noffset = \"20 µV\"\n";

#[test]
fn one_figure_in_text_markdown_and_json() {
    let told = ask("explain - gain").stdin(SPEC).answers(0);
    assert!(told.starts_with("Gain: ") && told.contains("\nHook-load channel\n"), "{told}");
    assert!(told.contains("  G1 = 1 + (RF1 + RF2)/RG"), "{told}");
    assert!(told.contains("where it is from"), "{told}");
    let told = ask("explain - gain --format markdown").stdin(SPEC).run();
    assert_eq!((told.status, told.stderr.as_str()), (0, ""));
    assert!(told.stdout.contains("```text\nG1 = 1 + (RF1 + RF2)/RG"), "{}", told.stdout);
    let told = ask("explain - gain").stdin(SPEC).answers_json(0, "evenkeel.explain.v1");
    assert_eq!((&told["figure"], &told["topology"]), (&"gain".into(), &"three-op-amp".into()));
    let steps = told["steps"].as_array().expect("steps");
    for step in steps {
        let keys: Vec<&str> = step.as_object().expect("an object").keys().map(String::as_str).collect();
        assert_eq!(keys, ["equation", "exact", "printed", "result", "source", "text", "with_values"]);
    }
    let whole = steps.iter().find(|step| step["equation"] == "G = G1·G2").expect("the whole gain");
    assert!(whole["result"].is_f64() && whole["source"].as_str().is_some_and(|s| s.starts_with("theory (10): ")));
    let exact = told["exact"].as_f64().expect("exact");
    let result = told["result"].as_f64().expect("result");
    assert_eq!(told["difference"].as_f64(), Some(exact - result));
}

#[test]
fn all_figures_and_what_is_missing() {
    let told = ask("explain -").stdin(SPEC).answers(0);
    for heading in ["Why this circuit", "Gain", "Common-mode rejection", "Headroom", "Input impedance", "Offset"] {
        assert!(told.contains(&format!("\n{heading}\n")), "{heading}: {told}");
    }
    let told = ask("explain -").stdin("[target]\ngain = 100\n").answers_json(0, "evenkeel.explain.v1");
    let figures: Vec<_> =
        told["figures"].as_array().expect("figures").iter().map(|one| one["figure"].clone()).collect();
    assert!(figures.contains(&"gain".into()) && !figures.contains(&"headroom".into()), "{figures:?}");
    let missing = told["not_predicted"].as_array().expect("a list");
    assert!(missing.iter().any(|one| one["figure"] == "headroom"), "{missing:?}");
}

#[test]
fn a_figure_that_can_t_be_told_says_what_it_needs() {
    let told = ask("explain - headroom").stdin("[target]\ngain = 100\n").refuses();
    assert!(told.contains("supply") && told.contains("headroom"), "{told}");
    let told = ask("explain - brightness").stdin(SPEC).refuses();
    assert!(told.contains("`brightness`") && told.contains("rejection"), "{told}");
}

#[test]
fn measured_tells_the_size_of_each_cause() {
    let told = ask("explain - rejection --measured 74dB").stdin(SPEC).answers(0);
    assert!(told.contains("74.00 dB was measured") && told.contains("none it can have"), "{told}");
    let told = ask("explain - rejection --measured 74dB").stdin(SPEC).answers_json(0, "evenkeel.explain.v1");
    let sizes = told["sizes"].as_array().expect("sizes");
    let ratio = sizes.iter().find(|one| one["cause"] == "ratio resistors").expect("ratio resistors");
    for key in ["cause", "quantity", "size", "by_hand", "given", "source"] {
        assert!(ratio.get(key).is_some(), "{key}");
    }
    for wrong in ["explain - gain --measured 74dB", "explain - rejection --measured 74"] {
        let told = ask(wrong).stdin(SPEC).refuses();
        assert!(told.contains("--measured"), "{told}");
    }
}

/// A spec with everything that makes a key.
const CROWDED: &str = "[signal]\ndifferential = \"± 18 mV\"\ncommon_mode = \"2.4 V .. 2.6 V\"\nbandwidth = \"200 Hz\"\n\
    [supply]\npositive = \"5 V\"\nnegative = \"0 V\"\nreference = \"2.5 V\"\n[target]\ngain = 100\n\
    [source]\nresistance = \"175 Ω\"\nimbalance = \"2 Ω\"\nbias_return = \"10 MΩ\"\ncable_capacitance = \"1 nF\"\n\
    [interference]\nfrequency = \"50 Hz\"\namplitude = \"0.2 V\"\n[resistors]\ntolerance = \"0.1 %\"\n\
    [input_filter]\nresistor = \"1k\"\ncommon_capacitor = \"470 pF\"\ndifferential_capacitor = \"4.7 nF\"\n\
    [opamp.all]\nrejection = \"110 dB\"\nrejection_corner = \"100 Hz\"\noffset = \"15 µV\"\ngain_bandwidth = \"1 MHz\"\n\
    gain_bandwidth_tolerance = \"30 %\"\nvoltage_noise = \"10 nV/√Hz\"\n";

#[test]
fn the_input_filter_is_a_figure_of_its_own() {
    let told = ask("explain - input_filter").stdin(CROWDED).answers_json(0, "evenkeel.explain.v1");
    // 1/(2·π·R·(2·CD + CC)) with R = 1 kΩ, CD = 4.7 nF, CC = 470 pF, by hand: 16.1251 kHz
    let alone = told["steps"][1]["result"].as_f64().expect("a corner");
    assert!((alone - 16_125.1).abs() < 0.1, "{alone}");
    let told = ask("explain - input_filter").stdin(SPEC).refuses();
    assert!(told.contains("input_filter"), "{told}");
    assert!(!ask("explain -").stdin(SPEC).answers(0).contains("Input filter"));
}

/// The rejection at the interference ends in a total, and the headline is the one that can be counted on.
#[test]
fn the_rejection_is_told_with_every_cause_at_dc_and_at_the_interference() {
    let told = ask("explain - rejection").stdin(CROWDED).answers_json(0, "evenkeel.explain.v1");
    let number = |value: &serde_json::Value| value.as_f64().expect("a number");
    assert!((number(&told["result"]) - number(&told["exact"])).abs() < 0.05, "{told}");
    let there = &told["further"][0];
    assert_eq!(there["what"], "worst rejection at the interference");
    assert!((number(&there["result"]) - number(&there["exact"])).abs() < 0.05, "{there}");
    let steps = told["steps"].as_array().expect("steps");
    let named = |name: &str| {
        let begins = format!("{name} = ");
        let found = steps.iter().find(|one| one["equation"].as_str().is_some_and(|text| text.starts_with(&begins)));
        number(&found.unwrap_or_else(|| panic!("{name}"))["result"])
    };
    // by hand: 50/1e6·(1/0.7 - 1/1.3), and 2·π·50·175·200e-12
    assert!((named("q_GBW") - 32.967e-6).abs() < 1e-9);
    assert!((named("q_cab") - 10.9956e-6).abs() < 1e-9);
}
