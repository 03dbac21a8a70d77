//! Where no standard value can do it, that is the answer: status 1 with the reason, whatever the command.
use crate::asked::{Told, ask};
use evenkeel::cli::Desk;
use std::fs;
use tempfile::TempDir;

/// Stage two alone makes 1: less can't be had, whatever RG.
const TOO_LOW: &str =
    "title = \"A\"\n[target]\ngain = 0.5\n[circuit]\nstage_two_gain = 1\n[limits]\nrejection = \"40 dB\"\n";
/// No value of E96 lies in the range: 10.0 and 10.2 are the nearest.
const NO_STOCK: &str = "title = \"A\"\n[target]\ngain = 10\n[resistors]\nrange = { RF = \"10.05k .. 10.15k\" }\n\
                        [limits]\nrejection = \"40 dB\"\n";
const SPEC: &str = "title = \"A\"\n[target]\ngain = 10\n[circuit]\nstage_two_gain = 1\n";
const READINGS: &str = "differential,common_mode,output\n-0.1,0,-0.05\n0.1,0,0.05\n0,1,0\n0,-1,0\n";

const COMMANDS: [(&str, &str); 8] = [
    ("design SPEC", "design"),
    ("yield SPEC", "yield"),
    ("trim SPEC", "trim"),
    ("gains 0.5 SPEC", "gains"),
    ("explain SPEC", "explain"),
    ("explain SPEC rejection --measured 60dB", "explain"),
    ("verify SPEC READINGS", "verify"),
    ("verify SPEC --plan", "verify-plan"),
];

fn place(spec: &str) -> TempDir {
    let place = tempfile::tempdir().expect("a folder");
    fs::write(place.path().join("s.toml"), spec).expect("written");
    fs::write(place.path().join("r.csv"), READINGS).expect("written");
    place
}

fn told(line: &str, place: &TempDir) -> Told {
    let words = line.split(' ').map(|word| match word {
        "SPEC" => place.path().join("s.toml").into_os_string(),
        "READINGS" => place.path().join("r.csv").into_os_string(),
        word => word.into(),
    });
    words.fold(ask("").desk(Desk::default()), |asked, word| asked.arg(word)).run()
}

#[test]
fn every_command_about_one_design_says_why() {
    for (spec, key) in [(TOO_LOW, "target.gain"), (NO_STOCK, "resistors.range")] {
        let place = place(spec);
        for (line, name) in COMMANDS {
            let told = told(&format!("{line} --format json"), &place);
            assert_eq!((told.status, told.stderr.as_str()), (1, ""), "{line}");
            let json: serde_json::Value = serde_json::from_str(&told.stdout).expect("JSON");
            assert_eq!(json["schema"], format!("evenkeel.{name}.v1"), "{line}");
            assert_eq!((&json["met"], &json["key"]), (&false.into(), &key.into()), "{line}");
            assert!(json["reason"].as_str().is_some_and(|why| why.len() > 20), "{line}: {json}");
        }
    }
}

#[test]
fn people_read_it_as_a_sentence_and_a_table_stays_unwritten() {
    let place = place(TOO_LOW);
    for (line, _) in COMMANDS {
        let told = told(line, &place);
        assert!(told.status == 1 && told.stdout.contains("No standard value can do it."), "{line}: {}", told.stdout);
    }
    let sheet = place.path().join("sheet.csv");
    let told = told(&format!("verify SPEC --plan --out {}", sheet.display()), &place);
    assert_eq!((told.status, told.stdout.as_str(), sheet.exists()), (1, "", false));
    assert!(told.stderr.contains("0.5"), "{}", told.stderr);
}

/// The string is of the resistors there are; one value at hand makes none for these two gains.
#[test]
fn gains_that_no_string_makes_and_some_feedback_makes() {
    let tapped = place(&format!("{SPEC}[resistors]\nstock = [\"10k\"]\n"));
    let string = told("gains 3,10 SPEC --format json", &tapped);
    assert_eq!(string.status, 1, "{}{}", string.stdout, string.stderr);
    // one feedback of the range can't make 1000 from the RG allowed, another can
    let some = place(&format!("{SPEC}[resistors]\nrange = {{ RG = \"100 Ω .. 1 kΩ\", RF = \"20k .. 100k\" }}\n"));
    let told = told("gains 100,1000 SPEC --form separate --format json", &some);
    let json: serde_json::Value = serde_json::from_str(&told.stdout).expect("JSON");
    assert_eq!((told.status, json["gains"].as_array().map(Vec::len)), (0, Some(2)), "{}", told.stdout);
    for line in json["gains"].as_array().expect("two") {
        let (target, gain) = (line["target"].as_f64(), line["gain"].as_f64());
        assert!(target.zip(gain).is_some_and(|(target, gain)| (gain / target - 1.0).abs() < 0.02), "{line}");
    }
}

#[test]
fn what_is_no_question_stays_status_2() {
    let place = place(SPEC);
    for line in ["gains 0 SPEC", "gains -1 SPEC", "verify SPEC none.csv", "explain SPEC nothing"] {
        assert_eq!(told(line, &place).status, 2, "{line}");
    }
}
