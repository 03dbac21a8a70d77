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
