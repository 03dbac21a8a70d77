use crate::asked::{Ask, ask, narrow};
use evenkeel::cli::Desk;
use evenkeel::study::StudyFault;

const ONE: &str = "title = \"Hook-load channel\"\n[target]\ngain = 100\n";
const TWO: &str = "[target]\ngain = 100\n[[channel]]\ntitle = \"Boom angle\"\n[[channel]]\ntitle = \"Hook load\"\n\
                   [channel.limits]\nrejection = \"95 dB\"\n";

fn two(line: &str) -> Ask {
    ask(line).stdin(TWO)
}

#[test]
fn a_spec_from_standard_input_in_every_format() {
    let told = ask("design -").stdin(ONE).answers(0);
    assert!(told.starts_with("1 of 5 limits missed, 1 not predicted.\nHook-load channel\n"), "{told}");
    let told = ask("design - --format markdown").stdin(ONE).run();
    assert!(told.stdout.starts_with("# Hook-load channel\n"), "{}", told.stdout);
    let told = ask("design -").stdin(ONE).answers_json(0, "evenkeel.design.v1");
    assert_eq!((&told["title"], &told["topology"]), (&"Hook-load channel".into(), &"three-op-amp".into()));
}

#[test]
fn json_has_the_keys_of_the_contract_and_full_precision() {
    let told = ask("design -").stdin(ONE).answers_json(0, "evenkeel.design.v1");
    let keys = [
        "title",
        "topology",
        "met",
        "resistors",
        "gain",
        "rejection",
        "limits",
        "not_predicted",
        "warnings",
        "cautions",
        "assumed_ideal",
    ];
    for key in keys {
        assert!(told.get(key).is_some(), "{key}");
    }
    let resistor = &told["resistors"][0];
    for key in ["name", "kind", "ohm", "parts_ohm", "marking", "tolerance", "tempco_per_k", "chosen"] {
        assert!(resistor.get(key).is_some(), "{key}");
    }
    for key in ["target", "nominal", "error_nominal", "error_low", "error_high"] {
        assert!(told["gain"][key].is_f64(), "{key}");
    }
    let rejection = &told["rejection"];
    assert_eq!(rejection["worst_db"].as_f64(), Some(91.234_567));
    assert!(rejection["nominal_db"].is_null());
    assert_eq!((&rejection["method"], &rejection["at_interference"]["method"]), (&"proven".into(), &"corners".into()));
    assert_eq!(rejection["causes"][0], serde_json::json!({"cause": "ratio resistors", "alone_db": 93.98}));
    assert_eq!(rejection["sweep"].as_array().map(Vec::len), Some(61));
    for key in ["hz", "nominal_db", "worst_db", "rti_db", "rough"] {
        assert!(rejection["sweep"][60].get(key).is_some(), "{key}");
    }
    let mets: Vec<_> = told["limits"].as_array().expect("limits").iter().map(|line| line["met"].as_bool()).collect();
    assert_eq!(mets, [Some(true), Some(false), Some(true), Some(true), None]);
    assert_eq!(told["not_predicted"][0], serde_json::json!({"figure": "noise", "needs": "signal.bandwidth"}));
}

#[test]
fn a_missed_limit_is_status_1() {
    ask("design -").stdin("[target]\ngain = 100\n[limits]\nrejection = \"95 dB\"\n").answers(1);
}

#[test]
fn the_sweep_is_passed_on_and_checked() {
    let told = ask("design - --sweep 10Hz..1kHz").stdin(ONE).answers_json(0, "evenkeel.design.v1");
    assert_eq!(told["rejection"]["sweep"].as_array().map(Vec::len), Some(21));
    for bad in ["1kHz..10Hz", "0Hz..1kHz", "-1Hz..1kHz", "10..", "x"] {
        let told = ask("design - --sweep").arg(bad).stdin(ONE).refuses();
        assert!(told.contains("--sweep"), "{told}");
    }
}

#[test]
fn several_channels_want_a_title() {
    let told = two("design -").refuses();
    assert!(told.contains("--channel TITLE") && told.contains("`Boom angle`, `Hook load`"), "{told}");
    assert_eq!(two("design -").refuses_json()[0]["code"], "several-channels");
    let told = two("design - --channel").arg("Boom angle").answers(0);
    assert!(told.contains("\nBoom angle\n"), "{told}");
    two("design - --channel").arg("Hook load").answers(1);
    let told = two("design - --channel").arg("- boom").refuses();
    assert!(told.contains("`- boom`") && told.contains("`Boom angle`"), "{told}");
    assert_eq!(two("design - --channel x").refuses_json()[0]["code"], "unknown-channel");
}

#[test]
fn faults_of_a_spec_have_place_caret_and_help() {
    let told = ask("design -").stdin("[target]\ngian = 100\n").refuses();
    assert!(told.contains("--> standard input:2:1\n"), "{told}");
    assert!(told.contains("2 | gian = 100\n  | ^^^^ "), "{told}");
    assert!(told.contains("did you mean `gain`?"), "{told}");
    let spec = "[target]\ngian = 100\n[signal]\nbandwith = \"200 Hz\"\n";
    let errors = ask("design -").stdin(spec).refuses_json();
    let places: Vec<_> = errors.iter().map(|e| (e["line"].as_u64(), e["column"].as_u64())).collect();
    assert!(places.contains(&(Some(2), Some(1))) && places.contains(&(Some(4), Some(1))), "{places:?}");
    assert!(errors.iter().all(|error| error["file"] == "standard input"));
}

#[test]
fn a_fault_of_the_study_has_the_place_of_its_key() {
    let desk = Desk {
        design: |_, _| {
            Err(StudyFault {
                code: "no-values",
                key: "target.gain".to_owned(),
                message: "no values reach this gain".to_owned(),
                help: "ask for less".to_owned(),
            })
        },
        ..Desk::default()
    };
    let told = ask("design -").stdin(ONE).desk(desk).refuses_json();
    assert_eq!((told[0]["line"].as_u64(), &told[0]["code"]), (Some(3), &"no-values".into()));
    assert!(ask("design -").stdin(ONE).desk(desk).refuses().contains("gain = 100\n"));
}

/// `three-op-amp` amplifies by one at least; the contract has status 1 where no standard value can do it.
#[test]
fn a_gain_that_no_value_can_do_is_an_answer() {
    let little = "title = \"Too little\"\n[target]\ngain = 0.5\n[circuit]\nstage_two_gain = 1\n";
    let narrow_range = "[target]\ngain = 100\n[resistors]\nrange = { RG = \"101 .. 101.5\" }\n";
    let far = "[target]\ngain = 1e9\n";
    for (spec, words) in [(little, "at least"), (narrow_range, "no value for RG"), (far, "RG = ")] {
        let asked = || ask("design -").stdin(spec).desk(Desk::default());
        let told = asked().answers_json(1, "evenkeel.design.v1");
        assert_eq!(told["met"], false);
        assert!(told["reason"].as_str().is_some_and(|reason| reason.contains(words)), "{told}");
        assert!(told["help"].is_string() && told["key"].is_string() && told["resistors"].is_null());
        assert!(asked().answers(1).starts_with("No standard value can do it.\n"));
        asked().args("--format html").run();
    }
    // a target that can't be read is no answer
    ask("design -").stdin("[target]\ngain = 0\n").desk(Desk::default()).refuses();
}

#[test]
fn every_starter_is_a_spec() {
    for topology in ["difference", "buffered-difference", "three-op-amp", "two-op-amp", "single-chip"] {
        let starter = ask("new").arg(topology).run();
        assert_eq!((starter.status, starter.stderr.as_str()), (0, ""));
        let told = ask("design -").stdin(&starter.stdout).run();
        assert_eq!(told.stderr, "", "{topology}");
        let told = ask("new").arg(topology).answers_json(0, "evenkeel.new.v1");
        assert_eq!((&told["topology"], &told["spec"]), (&topology.into(), &starter.stdout.into()));
    }
    assert_eq!(ask("new").run().stdout, ask("new three-op-amp").run().stdout);
    assert!(ask("new seven-op-amp").refuses().contains("three-op-amp"));
}

#[test]
fn a_terminal_gets_colour_and_the_same_words() {
    let plain = ask("design -").stdin(ONE).answers(0);
    let told = ask("design -").stdin(ONE).on_a_terminal().run().stdout;
    assert!(told.contains('\u{1b}'));
    let mut stripped = anstream::StripStream::new(Vec::new());
    std::io::Write::write_all(&mut stripped, told.as_bytes()).expect("memory takes all");
    assert_eq!(String::from_utf8(stripped.into_inner()).expect("UTF-8"), plain);
    narrow(&plain);
}
