use crate::asked::{Ask, ask};
use std::fs;
use tempfile::{TempDir, tempdir};

const SPEC: &str = "title = \"Hook load\"\n[signal]\ndifferential = \"± 18 mV\"\ncommon_mode = \"1.5 V .. 3.5 V\"\n[supply]\npositive = \"5 V\"\n\
                    reference = \"2.5 V\"\n[target]\ngain = 100\n[resistors]\ntolerance = \"0.1 %\"\nfixed = { RG = \"499\", RF = \"24.9k\", R1 = \
                    \"10k\", R2 = \"10k\", R3 = \"10k\", R4 = \"10k\" }\n[opamp.all]\noffset = \"50 µV\"\n[limits]\ngain_error = \"1 %\"\n";

fn verify(readings: &str, line: &str) -> (TempDir, Ask) {
    let folder = tempdir().expect("a folder");
    fs::write(folder.path().join("s.toml"), SPEC).expect("written");
    fs::write(folder.path().join("r.csv"), readings).expect("written");
    let ask = ask("verify").arg(folder.path().join("s.toml")).arg(folder.path().join("r.csv")).args(line);
    (folder, ask)
}

const GOOD: &str = "differential [mV],common_mode,output,u_output\n-18,2.5,0.6856,10 µV\n18,2.5,4.3144,10 µV\n0,2.5,2.5,10 µV\n\
                    0,1.5,2.4999,10 µV\n0,3.5,2.5001,10 µV\n0,2.5,2.5,10 µV\n";

#[test]
fn readings_of_a_good_board_are_within() {
    let (_folder, ask) = verify(GOOD, "");
    let told = ask.answers_json(0, "evenkeel.verify.v1");
    // 3.6288 V over 36 mV; 200 µV over 2 V of common mode: 100.8/1e-4 is 120.07 dB.
    assert!((told["gain"]["value"].as_f64().expect("told") - 100.8).abs() < 1e-9);
    assert!((told["rejection_db"]["value"].as_f64().expect("told") - 120.069).abs() < 1e-3);
    for figure in ["gain", "offset_v", "rejection_db"] {
        assert_eq!(told[figure]["verdict"], "within", "{figure}");
        for key in ["value", "low", "high", "predicted_low", "predicted_high", "verdict"] {
            assert!(told[figure].get(key).is_some(), "{figure} {key}");
        }
    }
    // u(A_d) = 10 µV/√(2·18² mV²) = 0.39 mV/V, k = 1.96.
    let half = told["gain"]["high"].as_f64().expect("told") - 100.8;
    assert!((half - 1.96 * 10e-6 / (2.0_f64.sqrt() * 18e-3)).abs() < 1e-6, "{half}");
    assert!(told["next_reading"].is_null());
    verify(GOOD, "").1.answers(0);
}

#[test]
fn a_gain_outside_is_status_1_and_a_coarse_meter_leaves_a_bound() {
    let (_folder, ask) = verify(&GOOD.replace("4.3144", "4.4").replace("0.6856", "0.6"), "");
    assert_eq!(ask.answers_json(1, "evenkeel.verify.v1")["gain"]["verdict"], "outside");
    let (_folder, ask) = verify(&GOOD.replace("10 µV", "10 mV"), "");
    let told = ask.answers_json(0, "evenkeel.verify.v1");
    assert_eq!((&told["rejection_is_bound"], &told["rejection_db"]["verdict"]), (&true.into(), &"undecided".into()));
    assert!(told["rejection_db"]["high"].is_null() && told["rejection_db"]["low"].is_f64());
    assert_eq!(told["next_reading"]["decides"], "rejection_db");
    let (_folder, ask) = verify(&GOOD.replace("10 µV", "10 mV"), "");
    assert!(ask.answers(0).contains("better than"));
}

#[test]
fn without_common_mode_there_is_no_rejection() {
    let (_folder, ask) = verify("differential,output\n-18 mV,0.6856\n18 mV,4.3144\n0 V,2.5\n0 V,2.5001\n", "");
    let told = ask.answers_json(0, "evenkeel.verify.v1");
    assert!(told.get("rejection_db").is_none());
    assert_eq!(told["not_measured"][0]["figure"], "rejection_db");
}

#[test]
fn what_cannot_tell_a_gain_is_not_answered() {
    for (readings, code) in [
        ("differential,output\n0,2.5\n", "too-few-readings"),
        ("differential,output\n0,2.5\n0,2.5\n0,2.5\n", "difference-not-varied"),
        ("differential,output\n0,2.5\n0.018,4.3\n", "no-uncertainty"),
        ("differential,output\n0,\n", "empty-cell"),
    ] {
        let (_folder, ask) = verify(readings, "");
        assert_eq!(ask.refuses_json()[0]["code"], code);
    }
    assert!(ask("verify -").stdin(SPEC).refuses().contains("READINGS.csv"));
}

#[test]
fn the_sheet_is_filled_in_and_read_back() {
    let sheet = ask("verify - --plan --format csv").stdin(SPEC).run();
    assert_eq!((sheet.status, sheet.stderr.as_str()), (0, ""));
    let mut table = csv::Reader::from_reader(sheet.stdout.as_bytes());
    let mut filled = csv::Writer::from_writer(Vec::new());
    filled.write_record(table.headers().expect("a heading")).expect("written");
    for row in table.records() {
        let mut cells: Vec<String> = row.expect("a row").iter().map(str::to_owned).collect();
        let number = |at: usize| cells[at].parse::<f64>().expect("a number");
        let output = 2.5 + 100.8 * (number(2) - number(3));
        assert!(number(7) < output && output < number(8), "{cells:?}");
        (cells[4], cells[5]) = (output.to_string(), "10 µV".to_owned());
        filled.write_record(&cells).expect("written");
    }
    let filled = String::from_utf8(filled.into_inner().expect("flushed")).expect("text");
    let (_folder, ask_back) = verify(&filled, "--at 25C");
    let told = ask_back.answers_json(0, "evenkeel.verify.v1");
    assert_eq!((&told["readings"], &told["gain"]["verdict"]), (&10.into(), &"within".into()));
    let plan = ask("verify - --plan --at 40C").stdin(SPEC).answers_json(0, "evenkeel.verify-plan.v1");
    assert_eq!(plan["steps"].as_array().map(Vec::len), Some(10));
    let node = &plan["steps"][1]["nodes"][0];
    // A1 carries the negative input: 2.5 V + 9 mV + 24.9k·18 mV/499 Ω = 3.407 V.
    assert_eq!(node["name"], "A1 output");
    assert!((node["nominal_v"].as_f64().expect("told") - 3.407_196_4).abs() < 1e-6, "{node}");
    ask("verify - --plan").stdin(SPEC).answers(0);
    assert!(ask("verify - r.csv --format csv").stdin(SPEC).refuses().contains("--plan"));
}
