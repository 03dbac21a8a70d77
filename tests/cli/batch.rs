use crate::asked::{Ask, ask, narrow};
use evenkeel::cli::Desk;
use std::fs;
use std::path::Path;
use tempfile::{TempDir, tempdir};

fn spec(gain: &str, title: &str) -> String {
    format!("title = \"{title}\"\n[target]\ngain = {gain}\n[limits]\nrejection = \"40 dB\"\n")
}

fn folder(specs: &[(&str, String)]) -> TempDir {
    let folder = tempdir().expect("a folder");
    for (name, text) in specs {
        fs::write(folder.path().join(name), text).expect("written");
    }
    folder
}

fn batch(path: &Path, line: &str) -> Ask {
    ask("batch").arg(path).args(line).desk(Desk::default())
}

fn rows(text: &str) -> Vec<serde_json::Value> {
    text.lines().map(|line| serde_json::from_str(line).expect("a line of JSON")).collect()
}

/// A row of CSV as another reader would cut it.
fn cells(line: &str) -> Vec<String> {
    let (mut all, mut cell, mut quoted) = (Vec::new(), String::new(), false);
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => all.push(std::mem::take(&mut cell)),
            c => cell.push(c),
        }
    }
    all.push(cell);
    all
}

#[test]
fn one_bad_spec_stops_no_other_and_order_stays() {
    let folder = folder(&[
        ("a.toml", spec("10", "A")),
        ("b.toml", "[target]\ngian = 1\n".to_owned()),
        ("c.toml", spec("100", "C")),
    ]);
    for threads in ["1", "2", "7"] {
        let told = batch(folder.path(), "--format json --threads").arg(threads).run();
        assert_eq!((told.status, told.stderr.as_str()), (2, ""));
        let rows = rows(&told.stdout);
        assert_eq!(rows.iter().map(|row| row["title"].as_str().expect("told")).collect::<Vec<_>>(), ["A", "", "C"]);
        assert!(rows.iter().all(|row| row["schema"] == "evenkeel.batch.v1"));
        assert!(rows[1]["met"].is_null() && rows[1]["message"].as_str().is_some_and(|why| why.contains("gian")));
        assert_eq!((&rows[0]["met"], &rows[2]["topology"]), (&true.into(), &"three-op-amp".into()));
        for key in [
            "RG_ohm",
            "RF1_ohm",
            "gain_nominal",
            "gain_error_low",
            "gain_error_high",
            "rejection_worst_db",
            "rejection_predicted",
        ] {
            assert!(rows[0][key].is_f64(), "{key}");
        }
    }
}

#[test]
fn a_row_says_what_the_design_says() {
    let text = "[target]\ngain = 100\n[interference]\nfrequency = \"50 Hz\"\n[supply]\npositive = \"5 V\"\n[signal]\n\
                differential = \"± 18 mV\"\ncommon_mode = \"2.5 V\"\nbandwidth = \"100 Hz\"\n[opamp.all]\nrejection = \"100 dB\"\n\
                gain_bandwidth = \"1 MHz\"\noffset = \"50 µV\"\nvoltage_noise = \"10 nV/√Hz\"\nslew_rate = \"1 V/µs\"\n[output]\n\
                adc_bits = 12\nadc_range = \"0 V .. 5 V\"\n[limits]\ngain_error = \"3 %\"\nrejection = \"70 dB\"\n\
                rejection_at_interference = \"60 dB\"\nheadroom = \"0.1 V\"\noffset = \"1 mV\"\nnoise = \"10 µV\"\n\
                bandwidth = \"1 kHz\"\ndifferential_impedance = \"1 MΩ\"\ntotal_error = \"5 %\"\n";
    let folder = folder(&[("a.toml", text.to_owned())]);
    let design =
        ask("design").arg(folder.path().join("a.toml")).desk(Desk::default()).arg("--format").arg("json").run();
    let design: serde_json::Value = serde_json::from_str(&design.stdout).expect("JSON");
    let row = &rows(&batch(folder.path(), "--format json").run().stdout)[0];
    assert_eq!((&row["met"], &row["gain_nominal"]), (&design["met"], &design["gain"]["nominal"]));
    assert_eq!(row["rejection_worst_db"], design["rejection"]["worst_db"]);
    let limits = design["limits"].as_array().expect("a list");
    assert_eq!(limits.len(), 9);
    for line in limits {
        let name = line["limit"].as_str().expect("named");
        assert_eq!(row[format!("{name}_predicted")], line["predicted"], "{name}");
    }
}

#[test]
fn every_combination_of_varied_keys() {
    let folder = folder(&[("a.toml", spec("10", "A"))]);
    let told =
        batch(folder.path(), "--format csv --vary target.gain=10..30:3 --vary resistors.tolerance=0.1%,1%").run();
    assert_eq!((told.status, told.stderr.as_str()), (0, ""));
    let lines: Vec<Vec<String>> = told.stdout.lines().map(cells).collect();
    assert_eq!(lines.len(), 7);
    assert!(lines.iter().all(|line| line.len() == lines[0].len()));
    let at = |name: &str| lines[0].iter().position(|head| head == name).expect("a column");
    let (gain, tolerance) = (at("target.gain"), at("resistors.tolerance"));
    let pairs: Vec<_> = lines[1..].iter().map(|line| (line[gain].as_str(), line[tolerance].as_str())).collect();
    assert_eq!(pairs, [("10", "0.1%"), ("10", "1%"), ("20", "0.1%"), ("20", "1%"), ("30", "0.1%"), ("30", "1%")]);
    let error = |line: &[String]| line[at("gain_error_high")].parse::<f64>().expect("a number");
    assert!(error(&lines[2]) > error(&lines[1]));
}

/// A title that is varied is the title of the row, and no second column of that name.
#[test]
fn a_varied_title_has_one_column() {
    let folder = folder(&[("a.toml", spec("10", "A"))]);
    let told = batch(folder.path(), "--format csv --vary title=B,C").run();
    let lines: Vec<Vec<String>> = told.stdout.lines().map(cells).collect();
    assert_eq!(lines[0].iter().filter(|head| *head == "title").count(), 1);
    assert_eq!(lines[1..].iter().map(|line| line[2].as_str()).collect::<Vec<_>>(), ["B", "C"]);
    let told = batch(folder.path(), "--format json --vary title=B").run();
    assert_eq!((told.stdout.matches("\"title\"").count(), &rows(&told.stdout)[0]["title"]), (1, &"B".into()));
}

#[test]
fn keys_that_cannot_be_varied_are_told() {
    let folder = folder(&[("a.toml", spec("10", "A"))]);
    for (vary, code) in [
        ("target.gian=1,2", "unknown-key"),
        ("target=1", "unknown-key"),
        ("target.gain", "bad-variation"),
        ("target.gain=1..9:0", "bad-variation"),
        ("target.gain=1..9:1", "bad-variation"),
        ("resistors.tolerance=1,2", "bad-quantity"),
        ("target.gain=-1,2", "out-of-range"),
        ("resistors.stock=100", "unknown-key"),
    ] {
        let told = batch(folder.path(), "--vary").arg(vary).refuses_json();
        assert_eq!(told[0]["code"], code, "{vary}");
    }
    let told = batch(folder.path(), "--format json --vary resistors.network.match=0.1%").run();
    assert_eq!(told.status, 2);
    assert!(rows(&told.stdout)[0]["message"].as_str().is_some_and(|why| why.contains("[[resistors.network]]")));
}

#[test]
fn channels_are_rows_and_reports_are_written() {
    let text = "[[channel]]\ntitle = \"Boom / angle\"\n[channel.target]\ngain = 10\n[[channel]]\ntitle = \"=2+5\"\n[channel.target]\ngain = 20\n";
    let folder = folder(&[("two boards.toml", text.to_owned())]);
    let reports = folder.path().join("out/reports");
    let told = batch(&folder.path().join("two boards.toml"), "--format csv --reports").arg(&reports).run();
    assert_eq!((told.status, told.stderr.as_str()), (0, ""));
    assert!(told.stdout.contains(",\"'=2+5\",\"'=2+5\","), "{}", told.stdout);
    let mut names: Vec<_> =
        fs::read_dir(&reports).expect("made").filter_map(|one| one.ok()?.file_name().into_string().ok()).collect();
    names.sort();
    assert_eq!(names, ["two-boards-1-Boom-angle.md", "two-boards-2-2-5.md"]);
}

#[test]
fn patterns_and_names_of_any_letters() {
    let folder = folder(&[
        ("Kran – µV 1.toml", spec("10", "A")),
        ("Kran 2.toml", spec("20", "B")),
        ("other.toml", spec("30", "C")),
    ]);
    let told = batch(&folder.path().join("Kran*.toml"), "--format json").run();
    assert_eq!((told.status, rows(&told.stdout).len()), (0, 2));
    assert_eq!(batch(&folder.path().join("nothing*.toml"), "").refuses_json()[0]["code"], "no-files");
    let told = batch(folder.path(), "").run();
    assert_eq!(told.status, 0);
    narrow(&told.stdout);
    assert!(told.stdout.ends_with("3 designs: 3 meet their limits, 0 do not, 0 not answered\n"), "{}", told.stdout);
}

#[test]
fn a_missed_limit_is_status_1_and_a_file_takes_the_rows() {
    let folder = folder(&[("a.toml", spec("1", "A").replace("40 dB", "140 dB"))]);
    let out = folder.path().join("rows.csv");
    assert_eq!(batch(&folder.path().join("a.toml"), "--out").arg(&out).answers(1), "");
    assert!(fs::read_to_string(&out).expect("written").contains("required 140.00 dB"));
    let told = ask("batch -").stdin(&spec("10", "A")).desk(Desk::default()).args("--format json").run();
    assert_eq!(rows(&told.stdout)[0]["file"], "standard input");
}

/// What `design` buys is what the row holds its limits against: grades and op amps on offer, cheapest first.
#[test]
fn a_row_buys_as_the_design_does() {
    let text = "[target]\ngain = 20\n[circuit]\ntopology = \"difference\"\n[supply]\npositive = \"5 V\"\nreference = \"2.5 V\"\n\
                [signal]\ndifferential = \"± 50 mV\"\ncommon_mode = \"2.5 V\"\nbandwidth = \"100 Hz\"\n\
                [opamp.all]\ncandidates = \"parts/\"\n[limits]\nrejection = \"70 dB\"\noffset = \"200 µV\"\nnoise = \"3 µV\"\n\
                bandwidth = \"20 kHz\"\nheadroom = \"0.2 V\"\n[[resistors.grade]]\ntolerance = \"1 %\"\ntempco = \"100 ppm/K\"\nprice = 0.01\n\
                [[resistors.grade]]\ntolerance = \"0.1 %\"\ntempco = \"25 ppm/K\"\nprice = 0.05\n";
    let part = |offset: &str, price: &str| {
        format!(
            "open_loop_gain = \"120 dB\"\ngain_bandwidth = \"1 MHz\"\nrejection = \"100 dB\"\noffset = \"{offset}\"\n\
             voltage_noise = \"20 nV/√Hz\"\nprice = {price}\noutput_swing = {{ from_negative = \"0.1 V\", from_positive = \"0.1 V\" }}\n"
        )
    };
    let folder = folder(&[("a.toml", text.to_owned())]);
    fs::create_dir(folder.path().join("parts")).expect("made");
    fs::write(folder.path().join("parts/cheap.toml"), part("3 mV", "0.2")).expect("written");
    fs::write(folder.path().join("parts/good.toml"), part("100 µV", "1.5")).expect("written");
    let design = ask("design").arg(folder.path().join("a.toml")).desk(Desk::default());
    let design = design.answers_json(0, "evenkeel.design.v1");
    let line = |limit: &str| {
        let all = design["limits"].as_array().expect("a list");
        all.iter().find(|line| line["limit"] == limit).expect("a limit")["predicted"].clone()
    };
    // one op amp with 100 µV in front of both divider ratios: (1 + 1/20) of it, and not of 3 mV
    assert!((line("offset").as_f64().expect("told") - 105e-6).abs() < 1e-6, "the better op amp is taken: {design}");
    let row = &rows(&batch(&folder.path().join("a.toml"), "--format json").run().stdout)[0];
    assert_eq!(row["met"], true);
    for limit in ["rejection", "offset", "noise", "bandwidth", "headroom"] {
        assert_eq!(row[format!("{limit}_predicted")], line(limit), "{limit}");
    }
    for resistor in design["resistors"].as_array().expect("a list") {
        assert_eq!(row[format!("{}_ohm", resistor["name"].as_str().expect("named"))], resistor["ohm"]);
    }
}

#[test]
fn a_gain_that_no_value_can_do_is_a_row_that_is_not_met() {
    let folder = folder(&[("a.toml", spec("10", "A")), ("b.toml", spec("0.5", "B"))]);
    let told = batch(folder.path(), "--format json").run();
    let rows = rows(&told.stdout);
    assert_eq!((told.status, &rows[0]["met"], &rows[1]["met"]), (1, &true.into(), &false.into()));
    assert!(rows[1]["message"].as_str().is_some_and(|why| why.contains("b.toml") && why.contains("at least")));
    let told = batch(folder.path(), "--format csv").run();
    let lines: Vec<Vec<String>> = told.stdout.lines().map(cells).collect();
    assert_eq!((told.status, lines[2].len(), lines[2][lines[2].len() - 2].as_str()), (1, lines[0].len(), "false"));
    assert!(batch(folder.path(), "").run().stdout.contains("no value"));
}
