//! compare, trim, gains and the parts list, with the real studies behind them.
use crate::asked::{Ask, ask};
use evenkeel::cli::Desk;

const SPEC: &str = "title = \"Keel bolt\"\n[signal]\ndifferential = \"± 18 mV\"\ncommon_mode = \"2.45 V .. 2.55 V\"\n\
    bandwidth = \"200 Hz\"\n[supply]\npositive = \"5 V\"\nnegative = \"0 V\"\nreference = \"2.5 V\"\n[target]\ngain = 100\n\
    [resistors]\ntolerance = \"0.1 %\"\ntempco = \"25 ppm/K\"\n[opamp.all]\nrejection = \"110 dB\"\n\
    output_swing = { from_negative = \"0.1 V\", from_positive = \"0.1 V\" }\n[limits]\nrejection = \"80 dB\"\n";

fn real(line: &str) -> Ask {
    ask(line).stdin(SPEC).desk(Desk::default())
}

#[test]
fn compare_lists_every_topology() {
    let told = real("compare -").answers_json(0, "evenkeel.compare.v1");
    let options = told["options"].as_array().expect("options");
    let names: Vec<&str> = options.iter().filter_map(|one| one["topology"].as_str()).collect();
    assert_eq!(names, ["difference", "buffered-difference", "three-op-amp", "two-op-amp", "single-chip"]);
    for key in [
        "opamp",
        "gain",
        "rejection",
        "impedance",
        "headroom",
        "noise",
        "parts",
        "price",
        "adjustable_by_one",
        "limits_met",
        "limits_missed",
        "when",
    ] {
        assert!(options[2].get(key).is_some(), "{key}");
    }
    assert!(options[4]["missing"].as_str().is_some_and(|text| text.contains("[chip]")), "{}", options[4]);
    assert_eq!((&options[2]["adjustable_by_one"], &options[0]["adjustable_by_one"]), (&true.into(), &false.into()));
    real("compare -").answers(0);
    assert!(real("compare - --format markdown").run().stdout.starts_with("# Keel bolt\n"));
    let hard = SPEC.replace("80 dB", "170 dB");
    let told = ask("compare -").stdin(&hard).desk(Desk::default()).answers_json(1, "evenkeel.compare.v1");
    assert_eq!(told["options"][2]["limits_missed"], serde_json::json!(["rejection"]));
}

#[test]
fn compare_ignores_what_is_fixed() {
    let fixed = SPEC.replace("tempco =", "fixed = { RG = \"1k\", RF = \"47k\" }\ntempco =");
    let told = ask("compare -").stdin(&fixed).desk(Desk::default()).answers_json(0, "evenkeel.compare.v1");
    assert_eq!(told, real("compare -").answers_json(0, "evenkeel.compare.v1"));
}

/// A shunt at 50 V below a supply of 15 V: the dividing pair is what makes it possible, and it is never chosen.
#[test]
fn compare_keeps_the_dividing_pair_where_it_belongs() {
    let spec = std::fs::read_to_string("examples/battery-shunt.toml").expect("an example");
    let told = ask("compare -").stdin(&spec).desk(Desk::default()).answers_json(0, "evenkeel.compare.v1");
    let options = told["options"].as_array().expect("options");
    let names = |at: usize| -> Vec<&str> {
        let all = options[at]["resistors"].as_array().expect("values");
        all.iter().filter_map(|one| one["name"].as_str()).collect()
    };
    assert!(names(0).contains(&"R5") && names(0).contains(&"R6"), "{:?}", names(0));
    assert!(!names(2).contains(&"R5"), "{:?}", names(2));
    assert_eq!((&options[0]["limits_met"], &options[2]["limits_met"]), (&true.into(), &false.into()));
}

const CHIP: &str =
    "[chip]\ngain_constant = \"50k\"\nrejection = [{ gain = 1, at = \"90 dB\" }, { gain = 90, at = \"110 dB\" }]\n";

#[test]
fn compare_takes_a_chip_beside_op_amps() {
    let spec = format!("{SPEC}{CHIP}");
    let told = ask("compare -").stdin(&spec).desk(Desk::default()).answers_json(0, "evenkeel.compare.v1");
    let chip = &told["options"][4];
    assert_eq!(chip["resistors"][0]["name"], "RG", "{chip}");
    assert!(chip["rejection"]["worst_db"].as_f64().is_some_and(|db| (db - 110.0).abs() < 0.1), "{chip}");
    assert!(told["options"][2]["resistors"].is_array());
}

#[test]
fn gains_and_trim_know_a_chip() {
    let spec = format!(
        "[target]\ngain = 100\n[circuit]\ntopology = \"single-chip\"\n[resistors]\ntolerance = \"0.1 %\"\n{CHIP}"
    );
    let text = ask("gains 1,101 - --form separate").stdin(&spec).desk(Desk::default()).answers(0);
    assert!(text.contains("RG2") && text.contains("110.0"), "{text}");
    let text = ask("trim -").stdin(&spec).desk(Desk::default()).answers(0);
    assert!(text.contains("trimmed by its maker") && text.contains("Gain trim"), "{text}");
}

#[test]
fn trim_has_the_keys_of_the_contract() {
    let told = real("trim -").answers_json(0, "evenkeel.trim.v1");
    for part in ["gain", "rejection"] {
        for key in ["fixed_ohm", "trimmer_ohm", "range_low", "range_high", "spare", "resolution", "after"] {
            assert!(told[part].get(key).is_some(), "{part} {key}");
        }
    }
    assert!(told["steps"].as_array().is_some_and(|steps| steps.len() >= 6));
    let text = real("trim -").answers(0);
    assert!(text.contains("\n1. Fit ") && text.contains("moved by 1.8 V"), "{text}");
    assert!(real("trim - --format markdown").run().stdout.starts_with("# Keel bolt\n"));
}

#[test]
fn gains_has_the_keys_of_the_contract() {
    for form in ["tapped", "separate"] {
        // gain 1 has less rejection than the limit: it is judged at each gain
        let told = real("gains 1,10,100 - --form").arg(form).answers_json(1, "evenkeel.gains.v1");
        assert_eq!(told["form"], form);
        for key in ["target", "gain", "error_low", "error_high", "rejection", "headroom"] {
            assert!(told["gains"][1][key].is_f64(), "{key}");
        }
        assert!(told["resistors"].as_array().is_some_and(|list| list.len() >= 5));
        let text = real("gains 1,10,100 - --form").arg(form).answers(1);
        assert!(text.contains("Gains\n"), "{text}");
    }
}

#[test]
fn gains_refuses_what_is_no_gain() {
    for bad in ["0,10", "x", "-1", ""] {
        let told = ask("gains").arg(bad).arg("-").stdin(SPEC).desk(Desk::default()).run();
        assert_eq!((told.status, told.stdout.as_str()), (2, ""), "{bad}");
    }
}

#[test]
fn the_parts_list_is_harmless_csv() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("parts.csv");
    real("design - --parts-list").arg(path.as_os_str()).answers(0);
    let mut table = csv::Reader::from_path(&path).expect("CSV");
    let heading: Vec<String> = table.headers().expect("a heading").iter().map(str::to_owned).collect();
    assert_eq!(heading, ["Designator", "Value", "Marking", "Tolerance", "Tempco", "Power [mW]", "Count"]);
    let mut count = 0;
    for row in table.records() {
        let row = row.expect("a row");
        assert!(row.iter().all(|cell| !cell.starts_with(['=', '+', '-', '@'])), "{row:?}");
        count += row[6].parse::<usize>().expect("a count");
        let resistor = row[1].ends_with('Ω') && row[3].ends_with('%') && row[5].parse::<f64>().is_ok();
        assert!(resistor || row[0] == *"A1,A2,A3", "{row:?}");
    }
    // seven resistors, three op amps
    assert_eq!(count, 10);
    let told = real("design - --parts-list").arg(folder.path().join("no/such.csv").as_os_str()).run();
    assert_eq!(told.status, 2);
    assert!(told.stderr.contains("--parts-list"), "{}", told.stderr);
}
