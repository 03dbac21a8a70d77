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
    assert!(told.contains("74.00 dB was measured") && told.contains("no size does"), "{told}");
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
