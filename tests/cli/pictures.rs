//! `--pictures DIR`: the pictures of a markdown report as files beside it.
use crate::asked::ask;
use crate::fixture;
use evenkeel::report;
use std::fs;
use std::path::Path;

const ALL: [&str; 7] = ["budget", "causes", "circuit", "rejection", "window", "yield-gain-error", "yield-rejection"];

const SPEC: &str = "title = \"Hook load\"\n[target]\ngain = 100\n";

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("listed");
    let mut names: Vec<_> = entries.filter_map(|one| one.ok()?.file_name().into_string().ok()).collect();
    names.sort();
    names
}

#[test]
fn pictures_are_files_that_the_report_links() {
    let home = tempfile::tempdir().expect("a folder");
    let (out, folder) = (home.path().join("report.md"), home.path().join("my pictures"));
    let told = ask("design - --out").arg(&out).arg("--pictures").arg(&folder).stdin(SPEC).answers(0);
    assert_eq!(told, "");
    assert_eq!(names(&folder), ALL.map(|name| format!("{name}.svg")));
    let markdown = fs::read_to_string(&out).expect("written");
    for name in ALL {
        assert!(markdown.contains(&format!("](<my%20pictures/{name}.svg>)\n")), "{name} in {markdown}");
    }
    assert!(!markdown.contains("RG 503.02 Ω   RF1"), "a picture takes the place of its characters");
    ask("design - --out").arg(&out).arg("--pictures").arg(&folder).stdin(SPEC).answers(0);
    assert_eq!(names(&folder).len(), ALL.len(), "nothing half-written is left");
    let told = ask("design - --format markdown --pictures").arg(&folder).stdin(SPEC).run();
    assert!(told.stdout.contains(&format!("](<{}/window.svg>)", folder.display().to_string().replace(' ', "%20"))));
    ask("design - --out").arg(home.path().join("a.md")).arg("--pictures").arg(home.path()).stdin(SPEC).answers(0);
    assert!(fs::read_to_string(home.path().join("a.md")).expect("written").contains("](<./window.svg>)"));
}

#[test]
fn only_markdown_has_pictures_of_its_own() {
    for format in ["text", "json", "html"] {
        let home = tempfile::tempdir().expect("a folder");
        let folder = home.path().join("pictures");
        let told = ask("design - --format").arg(format).arg("--pictures").arg(&folder).stdin(SPEC).run();
        assert_eq!((told.status, folder.exists()), (2, false), "{format}");
        assert!(told.stderr.contains("--format markdown"), "{}", told.stderr);
    }
}

#[test]
fn a_folder_that_cannot_be_is_told() {
    let home = tempfile::tempdir().expect("a folder");
    let file = home.path().join("taken");
    fs::write(&file, "").expect("written");
    let told = ask("design - --format markdown --pictures").arg(&file).stdin(SPEC).refuses();
    assert!(told.contains("--pictures"), "{told}");
}

/// Elements opened and closed in pairs, nothing left open: enough of XML for what a picture is made of.
fn balanced(svg: &str) -> bool {
    let mut open = Vec::new();
    for tag in svg.split('<').skip(1) {
        let name = tag.split([' ', '>']).next().unwrap_or_default();
        match name.strip_prefix('/') {
            Some(closed) if open.pop() != Some(closed) => return false,
            Some(_) => {}
            None => open.push(name),
        }
    }
    open.is_empty()
}

#[test]
fn a_picture_stands_alone_and_says_what_it_shows() {
    let document = report::design(&fixture::design("x"));
    assert_eq!(document.pictures().len(), ALL.len());
    for picture in document.pictures() {
        let svg = picture.to_svg();
        assert!(svg.starts_with("<svg ") && svg.ends_with("</svg>\n") && balanced(&svg), "{svg}");
        assert!(svg.contains("xmlns=\"http://www.w3.org/2000/svg\"") && svg.contains("role=\"img\""));
        assert!(svg.contains(&format!("<title id=\"{}-title\">{}</title>", picture.name, picture.caption)), "{svg}");
        assert!(!svg.contains("url(") && !svg.contains("<image") && !svg.contains("<script"));
    }
}

#[test]
fn the_circuit_has_every_value_and_voltage_of_the_answer() {
    let design = fixture::design("x");
    let document = report::design(&design);
    let circuit = document.pictures()[0].to_svg();
    for words in [
        "RG",
        "503.02 Ω",
        "RF1",
        "24.9 kΩ",
        "R1",
        "10 kΩ",
        "A1",
        "A2",
        "A3",
        "1.6 V",
        "3.4 V",
        "2.95 V",
        "4.3 V",
        // before the inputs
        "SRC −",
        "2.491 V",
        "RS1",
        "RS2",
        "175 Ω",
        "CW1",
        "1 nF",
        "RI1",
        "1 kΩ",
        "CC2",
        "470 pF",
        "CD",
        "4.7 nF",
        "RB1",
        "10 MΩ",
        "IN +",
        "2.509 V",
        "via 10 Ω",
    ] {
        assert!(circuit.contains(&format!(">{words}</text>")), "{words}");
    }
}
