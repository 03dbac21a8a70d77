use crate::asked::{Ask, ask};
use evenkeel::cli::Desk;
use std::fs;
use tempfile::{TempDir, tempdir};

const SPEC: &str = "title = \"Hook load & <co>\"\n[target]\ngain = 100\n[circuit]\nstage_two_gain = 1\n[resistors]\n\
                    tolerance = \"0.1 %\"\nfixed = { RG = \"499\", RF = \"24.9k\", R1 = \"10k\", R2 = \"10k\", R3 = \"10k\", \
                    R4 = \"10k\" }\n[limits]\nrejection = \"70 dB\"\n";
const BOARD: &str = "[board]\nbom = \"bom.csv\"\ndesignators = { RG = \"R101\", RF1 = \"R102\", RF2 = \"R103\" }\n";
const BILL: &str = "Designator;Value\nR101;499R 0.1% 0603\n\"R102,R103\";24k9 0.1%\n";

struct Place(TempDir);

impl Place {
    fn new(spec: &str, bill: &str) -> Self {
        let place = Self(tempdir().expect("a folder"));
        place.write("board.toml", spec);
        place.write("bom.csv", bill);
        place
    }
    fn write(&self, name: &str, text: &str) {
        fs::write(self.0.path().join(name), text).expect("written");
    }
    fn ask(&self, line: &str) -> Ask {
        ask("check").arg(self.0.path().join("board.toml")).desk(Desk::default()).args(line)
    }
    fn path(&self, name: &str) -> std::path::PathBuf {
        self.0.path().join(name)
    }
}

fn codes(told: &serde_json::Value) -> Vec<String> {
    let all = told["boards"][0]["findings"].as_array().expect("a list");
    all.iter()
        .map(|one| format!("{} {}", one["code"].as_str().unwrap_or(""), one["designator"].as_str().unwrap_or("-")))
        .collect()
}

#[test]
fn a_board_that_is_what_the_spec_says() {
    let place = Place::new(&format!("{SPEC}{BOARD}"), BILL);
    let told = place.ask("").answers_json(0, "evenkeel.check.v1");
    assert_eq!(told["met"], true);
    assert_eq!(codes(&told), ["unlisted R1", "unlisted R2", "unlisted R3", "unlisted R4"]);
    let line = &told["boards"][0]["limits"][0];
    assert_eq!((&line["limit"], &line["met"]), (&"rejection".into(), &true.into()));
    assert!(told["boards"][0]["channel"].is_null());
    place.ask("").answers(0);
    assert!(place.ask("--format markdown").run().stdout.contains("Hook load &amp; &lt;co&gt;"));
}

#[test]
fn a_part_that_disagrees_wins_and_is_status_1() {
    let place = Place::new(&format!("{SPEC}{BOARD}"), &BILL.replace("499R 0.1%", "510R 1%"));
    let told = place.ask("").answers_json(1, "evenkeel.check.v1");
    assert_eq!(codes(&told)[..2], ["disagrees RG", "looser-grade RG"]);
    let tighter = Place::new(&format!("{SPEC}{BOARD}"), &BILL.replace("499R 0.1%", "499R 0.05%"));
    assert_eq!(codes(&tighter.ask("").answers_json(0, "evenkeel.check.v1"))[0], "tighter-grade RG");
    // 1 % resistors can't guarantee 70 dB at a gain of one: what is listed counts in the prediction.
    let spec = SPEC
        .replace("RG = \"499\", RF = \"24.9k\", ", "RG = \"open\", RF = \"24.9k\", ")
        .replace("gain = 100", "gain = 1");
    let bill = "Ref,Value,Tol\nR1,10k,1%\nR2,10k,1%\nR3,10k,1%\nR4,10k,1%\n";
    let told =
        Place::new(&format!("{spec}[board]\nbom = \"bom.csv\"\n"), bill).ask("").answers_json(1, "evenkeel.check.v1");
    // (1 + 1)/(4 · 0.01) = 50, 34 dB: the handbook's estimate for four resistors of 1 %.
    let predicted = told["boards"][0]["limits"][0]["predicted"].as_f64().expect("told");
    assert!((predicted - 34.0).abs() < 0.3, "{predicted}");
}

#[test]
fn what_is_neither_fixed_nor_listed_is_chosen() {
    let spec = SPEC.replace("R1 = \"10k\", R2 = \"10k\", R3 = \"10k\", R4 = \"10k\"", "R1 = \"10k\"");
    let told = Place::new(&spec, "").ask("").answers_json(0, "evenkeel.check.v1");
    assert!(codes(&told).iter().all(|code| code.starts_with("chosen ")), "{told}");
    assert!(codes(&told).contains(&"chosen R2".to_owned()));
}

#[test]
fn a_board_that_no_value_can_complete_is_status_1() {
    let spec = "title = \"A\"\n[target]\ngain = 0.5\n[circuit]\nstage_two_gain = 1\n[limits]\nrejection = \"40 dB\"\n";
    let place = Place::new(spec, "");
    let told = place.ask("--junit").arg(place.path("j.xml")).answers_json(1, "evenkeel.check.v1");
    assert_eq!((codes(&told), &told["boards"][0]["met"]), (vec!["no-value -".to_owned()], &false.into()));
    assert_eq!(valid(&fs::read_to_string(place.path("j.xml")).expect("there")).1, 1);
}

#[test]
fn missing_and_double_designators_are_not_answered() {
    let place = Place::new(&format!("{SPEC}{BOARD}"), "Designator;Value\nR101;499\nR101;499\nR102;24k9\n");
    let errors = place.ask("--junit").arg(place.path("j.xml")).refuses_json();
    let told: Vec<_> = errors.iter().map(|one| (one["code"].as_str().unwrap_or(""), one["line"].as_u64())).collect();
    assert!(
        told.contains(&("listed-twice", Some(3))) && told.iter().any(|one| one.0 == "missing-designator"),
        "{told:?}"
    );
    assert!(errors[0]["file"].as_str().is_some_and(|name| name.ends_with("bom.csv")));
    assert!(!place.path("j.xml").exists());
    let outside = Place::new(&format!("{SPEC}[board]\nbom = \"../bom.csv\"\n"), "");
    outside.ask("").refuses_json();
    let gone = Place::new(&format!("{SPEC}[board]\nbom = \"none.csv\"\n"), "");
    assert_eq!(gone.ask("").refuses_json()[0]["code"], "unreadable-file");
}

#[test]
fn another_bill_by_flag() {
    let place = Place::new(&format!("{SPEC}{BOARD}"), "nonsense");
    place.write("rev b.csv", BILL);
    place.ask("--bom").arg(place.path("rev b.csv")).answers(0);
}

#[test]
fn figures_that_moved_against_a_baseline() {
    let place = Place::new(SPEC, "");
    let base = place.path("base.json");
    let design =
        || ask("design").arg(place.path("board.toml")).desk(Desk::default()).args("--format json --out").arg(&base);
    design().answers(0);
    assert_eq!(codes(&place.ask("--against").arg(&base).answers_json(0, "evenkeel.check.v1")), [""; 0]);
    // 500 Ω in place of 499 Ω: the gain falls by 0.198 %.
    place.write("board.toml", &SPEC.replace("\"499\"", "\"500\""));
    let told = place.ask("--against").arg(&base).answers_json(1, "evenkeel.check.v1");
    assert!(codes(&told).contains(&"moved -".to_owned()));
    let moved = &told["boards"][0]["moved"][0];
    assert_eq!(moved["figure"], "gain");
    let (before, now) = (moved["before"].as_f64().expect("told"), moved["now"].as_f64().expect("told"));
    assert!((before - 100.799_598_2).abs() < 1e-6 && (now - 100.6).abs() < 1e-9, "{before} {now}");
    let allow = |allow: &str| format!("{}[check]\nallow = {{ {allow} }}\n", SPEC.replace("\"499\"", "\"500\""));
    place.write("board.toml", &allow("gain = \"1 %\""));
    place.ask("--against").arg(&base).answers_json(0, "evenkeel.check.v1");
    place.write("board.toml", &allow("gain = \"10 ppm\""));
    place.ask("--against").arg(&base).answers_json(1, "evenkeel.check.v1");
    place.write("other.json", "{\"schema\":\"evenkeel.size.v1\"}");
    assert_eq!(place.ask("--against").arg(place.path("other.json")).refuses_json()[0]["code"], "bad-baseline");
}

/// The shape that build servers read, written down by hand (from memory): which elements stand in which,
/// which attributes they must have, and that the counts are those of the cases.
fn valid(xml: &str) -> (usize, usize) {
    let document = roxmltree::Document::parse(xml).expect("XML");
    let root = document.root_element();
    let has = |node: &roxmltree::Node<'_, '_>, names: &[&str]| {
        for name in names {
            assert!(node.has_attribute(*name), "{} lacks {name}", node.tag_name().name());
        }
    };
    let count = |node: &roxmltree::Node<'_, '_>, name: &str| {
        node.attribute(name).and_then(|n| n.parse::<usize>().ok()).expect("a count")
    };
    assert_eq!(root.tag_name().name(), "testsuites");
    let (mut tests, mut failures) = (0, 0);
    for suite in root.children().filter(roxmltree::Node::is_element) {
        assert_eq!(suite.tag_name().name(), "testsuite");
        has(&suite, &["name", "tests", "failures", "errors", "skipped", "time"]);
        let inner: Vec<_> = suite.children().filter(roxmltree::Node::is_element).collect();
        let cases: Vec<_> = inner.iter().filter(|one| one.tag_name().name() == "testcase").collect();
        assert!(inner.iter().all(|one| ["testcase", "system-out"].contains(&one.tag_name().name())));
        let failed = cases.iter().filter(|case| case.children().any(|one| one.has_tag_name("failure"))).count();
        for case in &cases {
            has(case, &["name", "classname", "time"]);
            let below: Vec<_> = case.children().filter(roxmltree::Node::is_element).collect();
            assert!(below.len() <= 1);
            below.iter().for_each(|one| has(one, &["message", "type"]));
        }
        assert_eq!((count(&suite, "tests"), count(&suite, "failures")), (cases.len(), failed));
        tests += cases.len();
        failures += failed;
    }
    assert_eq!((count(&root, "tests"), count(&root, "failures")), (tests, failures));
    (tests, failures)
}

#[test]
fn junit_is_read_by_another_parser() {
    let place = Place::new(&format!("{SPEC}{BOARD}"), &BILL.replace("499R 0.1%", "510R 1%"));
    place.ask("--junit").arg(place.path("j.xml")).answers(1);
    assert_eq!(valid(&fs::read_to_string(place.path("j.xml")).expect("there")), (3, 2));
    let title = SPEC
        .replace("Hook load & <co>", "]]> \\u0000\\\" ' & \\u001b[31m")
        .replace("\\u0000", "")
        .replace("\\u001b", "");
    let place = Place::new(&title, "");
    place.ask("--junit").arg(place.path("j.xml")).run();
    let xml = fs::read_to_string(place.path("j.xml")).expect("there");
    assert_eq!(valid(&xml), (1, 0));
    let document = roxmltree::Document::parse(&xml).expect("XML");
    let name = document
        .descendants()
        .find(|one| one.has_tag_name("testsuite"))
        .and_then(|one| one.attribute("name"))
        .expect("named")
        .to_owned();
    assert!(name.starts_with("]]> \" ' & [31m ("), "{name}");
}

/// A board that the baseline does not hold is not passed over in silence.
#[test]
fn a_board_without_a_baseline_says_so() {
    let folder = tempdir().expect("a folder");
    let baseline = folder.path().join("baseline.json");
    let design =
        ask("design").arg("examples/boards/crane.toml").desk(Desk::default()).args("--channel Hook --format json");
    fs::write(&baseline, design.run().stdout).expect("written");
    let told = ask("check").arg("examples/boards").desk(Desk::default()).arg("--against").arg(&baseline);
    let told = told.answers_json(0, "evenkeel.check.v1");
    let missed = |board: usize| {
        let findings = told["boards"][board]["findings"].as_array().expect("a list");
        findings.iter().any(|one| one["code"] == "no-baseline")
    };
    assert!(!missed(0) && missed(1), "{told}");
}

/// What the whole family was designed to be, in one file: `batch`, or `design` once for each channel.
#[test]
fn one_baseline_holds_every_channel() {
    let folder = tempdir().expect("a folder");
    let boards = folder.path().join("boards");
    fs::create_dir(&boards).expect("made");
    for name in ["crane.toml", "bom.csv"] {
        fs::copy(format!("examples/boards/{name}"), boards.join(name)).expect("copied");
    }
    fs::write(boards.join("other.toml"), SPEC.replace("Hook load & <co>", "Hook")).expect("written");
    let real = |line: &str| ask(line).desk(Desk::default());
    let rows = real("batch").arg(&boards).args("--format json").run().stdout;
    let channel = |title: &str| {
        let asked = real("design").arg(boards.join("crane.toml")).args("--format json --channel").arg(title);
        asked.run().stdout
    };
    let designs = format!("{}{}", channel("Hook"), channel("Boom"));
    let crane = fs::read_to_string(boards.join("crane.toml")).expect("there");
    // 4.42 kΩ in place of 4.32 kΩ: Boom alone moves
    let moved = crane.replace("4.42k", "4.32k").replace("bom = \"bom.csv\"", "");
    let base = folder.path().join("base.json");
    let codes = |told: &serde_json::Value, board: usize| -> Vec<String> {
        let all = told["boards"][board]["findings"].as_array().expect("a list");
        all.iter().filter_map(|one| Some(one["code"].as_str()?.to_owned())).collect()
    };
    let check = || real("check").arg(&boards).arg("--against").arg(&base);
    // of two boards with one title only the file tells, which a design does not
    fs::write(&base, &designs).expect("written");
    assert_eq!(check().refuses_json()[0]["code"], "unclear-baseline");
    fs::write(&base, &rows).expect("written");
    assert_eq!(codes(&check().answers_json(0, "evenkeel.check.v1"), 2), [""; 0]);
    fs::remove_file(boards.join("other.toml")).expect("removed");
    for text in [&rows, &designs] {
        fs::write(&base, text).expect("written");
        fs::write(boards.join("crane.toml"), &crane).expect("written");
        let told = check().answers_json(0, "evenkeel.check.v1");
        assert_eq!([codes(&told, 0), codes(&told, 1)], [[""; 0]; 2], "{told}");
        fs::write(boards.join("crane.toml"), &moved).expect("written");
        let told = check().answers_json(1, "evenkeel.check.v1");
        assert!(codes(&told, 0).is_empty() && codes(&told, 1).contains(&"moved".to_owned()), "{told}");
        assert_eq!(told["boards"][1]["moved"][0]["figure"], "gain");
        let before = told["boards"][1]["moved"][0]["before"].as_f64().expect("told");
        // 1 + 2·20/4.42, less what 120 dB of open-loop gain takes
        assert!((before / (1.0 + 40.0 / 4.42) - 1.0).abs() < 1e-4, "{before}");
    }
}

#[test]
fn a_baseline_that_is_none_of_them_or_holds_one_twice() {
    let place = Place::new(SPEC, "");
    let base = place.path("base.json");
    let keep = |line: &str| {
        let told = ask("batch").arg(place.path("board.toml")).desk(Desk::default()).args(line).run();
        fs::write(&base, told.stdout).expect("written");
    };
    let against = || place.ask("--against").arg(&base).refuses_json()[0]["code"].clone();
    keep("--format json --vary target.gain=100,101");
    assert_eq!(against(), "double-baseline");
    keep("--format json --vary title=A,B");
    assert_eq!(against(), "other-baseline");
    keep("--format csv");
    assert_eq!(against(), "bad-baseline");
    // nothing was designed
    fs::write(&base, "{\"schema\":\"evenkeel.batch.v1\",\"file\":\"x\",\"met\":null,\"message\":\"no\"}")
        .expect("written");
    assert_eq!(against(), "bad-baseline");
    keep("--format json");
    assert_eq!(codes(&place.ask("--against").arg(&base).answers_json(0, "evenkeel.check.v1")), [""; 0]);
}
