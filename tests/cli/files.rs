use crate::asked::ask;
use std::fs;
use tempfile::{TempDir, tempdir};

const SPEC: &str = "title = \"Hook load\"\n[target]\ngain = 100\n";

fn folder() -> TempDir {
    tempdir().expect("a folder for the test")
}

fn names(folder: &TempDir) -> Vec<String> {
    let entries = fs::read_dir(folder.path()).expect("listed");
    let mut names: Vec<_> = entries.filter_map(|one| one.ok()?.file_name().into_string().ok()).collect();
    names.sort();
    names
}

#[test]
fn the_name_of_the_file_tells_the_format() {
    let folder = folder();
    for (name, start) in [
        ("a.json", "{\n"),
        ("b.md", "# Hook load\n"),
        ("c.txt", "1 of 5"),
        ("d", "1 of 5"),
        ("f.html", "<!DOCTYPE html>"),
    ] {
        let path = folder.path().join(name);
        assert_eq!(ask("design - --out").arg(&path).stdin(SPEC).answers(0), "");
        let made = fs::read_to_string(&path).expect("written");
        assert!(made.starts_with(start), "{made}");
    }
    let path = folder.path().join("e.txt");
    ask("design - --format json --out").arg(&path).stdin(SPEC).answers(0);
    assert!(fs::read_to_string(&path).expect("written").starts_with('{'));
    ask("new --out").arg(folder.path().join("mine.toml")).answers(0);
    assert_eq!(names(&folder), ["a.json", "b.md", "c.txt", "d", "e.txt", "f.html", "mine.toml"]);
}

#[test]
fn a_name_that_tells_no_format_overwrites_nothing() {
    let folder = folder();
    let spec = folder.path().join("spec.toml");
    fs::write(&spec, SPEC).expect("written");
    let told = ask("design").arg(&spec).arg("--out").arg(&spec).run();
    assert_eq!(told.status, 2);
    assert!(told.stderr.contains("--format markdown"), "{}", told.stderr);
    assert_eq!(fs::read_to_string(&spec).expect("there"), SPEC);
}

#[test]
fn an_existing_file_survives_a_failure() {
    let folder = folder();
    let path = folder.path().join("report.txt");
    fs::write(&path, "before").expect("written");
    let told = ask("design - --out").arg(&path).stdin("[target]\ngian = 1\n").run();
    assert_eq!((told.status, fs::read_to_string(&path).expect("there")), (2, "before".to_owned()));
    let mut rights = fs::metadata(&path).expect("there").permissions();
    rights.set_readonly(true);
    fs::set_permissions(&path, rights).expect("set");
    let told = ask("design - --out").arg(&path).stdin(SPEC).run();
    assert_eq!((told.status, fs::read_to_string(&path).expect("there")), (2, "before".to_owned()));
    assert!(told.stderr.contains("read-only"), "{}", told.stderr);
    assert_eq!(names(&folder), ["report.txt"], "nothing half-written is left");
}

#[test]
fn a_folder_that_is_not_there_is_told() {
    let folder = folder();
    let told = ask("series --out").arg(folder.path().join("none/report.txt")).run();
    assert_eq!((told.status, told.stdout.as_str()), (2, ""));
    assert!(told.stderr.contains("report.txt` could not be written"), "{}", told.stderr);
    let told = ask("series --out").arg(folder.path()).arg("--format").arg("text").run();
    assert_eq!(told.status, 2);
}

#[test]
fn specs_are_read_from_paths_of_any_letters() {
    let folder = folder();
    let path = folder.path().join("Kran 7 – µV.toml");
    fs::write(&path, format!("\u{feff}{}", SPEC.replace('\n', "\r\n"))).expect("written");
    assert!(ask("design").arg(&path).answers(0).contains("Hook load"));
}

#[test]
fn part_files_are_read_beside_the_spec_and_nowhere_else() {
    let folder = folder();
    fs::create_dir_all(folder.path().join("board/parts")).expect("made");
    let part = "title = \"Quiet one\"\nopen_loop_gain = \"120 dB\"\n";
    fs::write(folder.path().join("board/parts/quiet.toml"), part).expect("written");
    fs::write(folder.path().join("outside.toml"), part).expect("written");
    let spec = folder.path().join("board/spec.toml");
    let with = |from: &str| {
        fs::write(&spec, format!("{SPEC}[opamp.all]\nfrom = \"{from}\"\n")).expect("written");
        ask("design").arg(&spec).run()
    };
    assert_eq!(with("parts/quiet.toml").stderr, "");
    assert_eq!(with("parts/none.toml").status, 2);
    assert_eq!(with("../outside.toml").status, 2);
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink("../../outside.toml", folder.path().join("board/parts/link.toml")).expect("linked");
        let told = with("parts/link.toml");
        assert_eq!(told.status, 2);
        assert!(told.stderr.contains("outside the folder"), "{}", told.stderr);
    }
}

#[test]
fn what_cannot_be_read_is_told() {
    let folder = folder();
    let errors = ask("design").arg(folder.path().join("none.toml")).refuses_json();
    assert_eq!(errors[0]["code"], "unreadable-file");
    assert!(errors[0]["file"].as_str().is_some_and(|name| name.ends_with("none.toml")));
    assert_eq!(ask("design").arg(folder.path()).refuses_json()[0]["code"], "unreadable-file");
    let path = folder.path().join("latin.toml");
    fs::write(&path, b"[target]\ntitle = \"\xb5V\"\n").expect("written");
    let errors = ask("design").arg(&path).refuses_json();
    assert_eq!((&errors[0]["code"], errors[0]["line"].as_u64()), (&"not-utf8".into(), Some(2)));
    assert_eq!(errors[0]["column"].as_u64(), Some(10));
    let path = folder.path().join("large.toml");
    fs::write(&path, " ".repeat((4 << 20) + 1)).expect("written");
    assert!(ask("design").arg(&path).run().stderr.contains("4 MiB"));
}

#[cfg(unix)]
#[test]
fn a_replaced_file_keeps_its_rights_and_a_link_its_target() {
    use std::os::unix::fs::{PermissionsExt as _, symlink};
    let folder = folder();
    let path = folder.path().join("report.txt");
    fs::write(&path, "before").expect("written");
    fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).expect("set");
    let link = folder.path().join("latest.txt");
    symlink("report.txt", &link).expect("linked");
    ask("series --out").arg(&link).answers(0);
    assert!(fs::symlink_metadata(&link).expect("there").is_symlink());
    assert_eq!(fs::metadata(&path).expect("there").permissions().mode() & 0o777, 0o640);
    assert!(fs::read_to_string(&path).expect("there").contains("E96"));
}

/// The disk fills in the middle of a report: a limit on the size of files stands for it, as the shell sets it.
#[cfg(unix)]
#[test]
fn a_report_is_never_half_there() {
    let folder = folder();
    let path = folder.path().join("report.html");
    fs::write(&path, "before").expect("written");
    let line = format!(
        "trap '' XFSZ; ulimit -f 8; exec '{}' design examples/battery-shunt.toml --out '{}'",
        env!("CARGO_BIN_EXE_evenkeel"),
        path.display()
    );
    let told = std::process::Command::new("sh").args(["-c", &line]).output().expect("a shell");
    assert_eq!(told.status.code(), Some(2), "{}", String::from_utf8_lossy(&told.stderr));
    assert!(String::from_utf8_lossy(&told.stderr).contains("report.html` could not be written"));
    assert_eq!(fs::read_to_string(&path).expect("there"), "before");
    assert_eq!(names(&folder), ["report.html"], "nothing half-written is left");
}

/// A folder in which nobody may make a file, not even root.
#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_takes_no_file_is_told() {
    for (line, flag) in [
        ("series --out /proc/self/none.txt", "--out"),
        ("design - --out /proc/self/none.html", "--out"),
        ("design - --pictures /proc/self/none --out /dev/null --format markdown", "--pictures"),
        ("design - --parts-list /proc/self/none.csv", "--parts-list"),
        ("check - --junit /proc/self/none.xml", "--junit"),
        ("batch - --reports /proc/self/none", "--reports"),
        ("batch - --format csv --out /proc/self/none.csv", "--out"),
    ] {
        let told = ask(line).stdin(SPEC).run();
        assert_eq!((told.status, told.stdout.as_str()), (2, ""), "{line}");
        assert!(told.stderr.contains(flag) && told.stderr.contains("/proc/self/none"), "{line}: {}", told.stderr);
    }
}

#[test]
fn every_file_may_have_any_name() {
    let folder = folder();
    let home = folder.path().join("Kran 7 – µV = 起重机");
    fs::create_dir(&home).expect("made");
    let at = |name: &str| home.join(name);
    let spec = "title = \"Kran\"\n[target]\ngain = 100\n[resistors]\nfixed = { RG = \"499\", RF = \"24.9k\" }\n[board]\nbom = \"Stückliste 1.csv\"\n";
    fs::write(at("Kran 1.toml"), spec).expect("written");
    let bill = "\u{feff}Bezeichner;Designator;Value\r\na;RG;499\r\nb;\"RF1,RF2\";24k9\r\n";
    fs::write(at("Stückliste 1.csv"), bill).expect("written");
    fs::write(at("Messung µV.csv"), "\u{feff}differential [mV];output\r\n-18;-1.8\r\n18;1.8\r\n0;0\r\n")
        .expect("written");
    let real = |line: &str| ask(line).arg(at("Kran 1.toml")).desk(evenkeel::cli::Desk::default());
    assert_eq!(ask("design").arg(at("Kran 1.toml")).arg("--out").arg(at("Bericht 1.html")).answers(0), "");
    assert_eq!(
        ask("design")
            .arg(at("Kran 1.toml"))
            .arg("--out")
            .arg(at("Bericht.md"))
            .arg("--pictures")
            .arg(at("Bilder µ"))
            .answers(0),
        ""
    );
    real("check").arg("--junit").arg(at("Prüfung.xml")).answers(0);
    assert_eq!(real("verify").arg(at("Messung µV.csv")).run().status, 0);
    assert_eq!(real("batch").arg("--reports").arg(at("Berichte µ")).run().status, 0);
    for made in ["Bericht 1.html", "Bericht.md", "Prüfung.xml", "Berichte µ/Kran-1.md"] {
        assert!(at(made).is_file(), "{made}");
    }
    assert!(fs::read_dir(at("Bilder µ")).expect("made").count() > 0);
}

/// Names of files, titles, values and messages stand in tables: none of them may run there.
#[test]
fn no_cell_of_a_table_is_a_formula() {
    let folder = folder();
    let spec = |title: &str, gain: &str| format!("title = \"{title}\"\n[target]\ngain = {gain}\n");
    for (name, text) in [
        ("=1+2.toml", spec("=HYPERLINK(1)", "10")),
        ("@x.toml", spec("  +1", "0.5")),
        ("-7.toml", "[target]\ngian = 1\n".to_owned()),
        ("+8.toml", spec("＝1", "\"x\"")),
    ] {
        fs::write(folder.path().join(name), text).expect("written");
    }
    let told = std::process::Command::new(env!("CARGO_BIN_EXE_evenkeel"))
        .args([
            "batch",
            "--format",
            "csv",
            "--vary",
            "environment.temperature=-20 °C,-1 °C",
            "--",
            "=1+2.toml",
            "@x.toml",
            "-7.toml",
            "+8.toml",
        ])
        .current_dir(folder.path())
        .output()
        .expect("it runs");
    let mut rows = csv::ReaderBuilder::new().from_reader(told.stdout.as_slice());
    let mut texts = 0;
    for row in rows.records().map(|row| row.expect("a row")) {
        for cell in row.iter().filter(|cell| cell.parse::<f64>().is_err()) {
            assert!(!cell.trim_start().starts_with(['=', '+', '-', '@', '＝', '\t']), "{cell}");
            texts += 1;
        }
    }
    assert!(texts > 40, "{}", String::from_utf8_lossy(&told.stderr));
}

#[test]
fn a_baseline_that_is_nested_too_deep_is_told() {
    let folder = folder();
    let (spec, base) = (folder.path().join("s.toml"), folder.path().join("b.json"));
    fs::write(&spec, SPEC).expect("written");
    fs::write(&base, "[".repeat(100_000)).expect("written");
    let told = ask("check").arg(&spec).arg("--against").arg(&base).refuses_json();
    assert_eq!(told[0]["code"], "bad-baseline");
}
