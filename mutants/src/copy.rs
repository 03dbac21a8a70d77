//! The copy of the crate that holds the mutants, and its building.
use crate::list::Mutant;
use crate::weave::{Refused, blamed, weave};
use serde::Deserialize;
use std::collections::{BTreeMap, HashMap, HashSet};
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

const SWITCH: &str = include_str!("switch.rs");
/// Test programs that are asked; those of the command line are too slow to be.
const PROGRAMS: [&str; 5] = ["proof", "statics", "dynamics", "budget", "choice"];
/// Rooms above all that is asked: without them the copy builds in half the time.
const LEFT_OUT: [&str; 2] = ["cli", "report"];

pub struct Copy {
    root: PathBuf,
    pub tree: PathBuf,
}

#[derive(Deserialize)]
struct Message {
    reason: String,
    message: Option<Diagnostic>,
    executable: Option<PathBuf>,
    target: Option<Target>,
    profile: Option<Profile>,
}

#[derive(Deserialize)]
struct Target {
    name: String,
}

#[derive(Deserialize)]
struct Profile {
    test: bool,
}

#[derive(Deserialize)]
struct Diagnostic {
    level: String,
    message: String,
    spans: Vec<Spot>,
}

#[derive(Deserialize)]
struct Spot {
    file_name: String,
    byte_start: usize,
    is_primary: bool,
    line_start: usize,
    line_end: usize,
    expansion: Option<Box<Expansion>>,
}

#[derive(Deserialize)]
struct Expansion {
    span: Spot,
}

impl Spot {
    /// Where the macro stands that this is written by.
    fn outermost(&self) -> &Self {
        self.expansion.as_ref().map_or(self, |from| from.span.outermost())
    }
}

fn put(path: &Path, bytes: &[u8]) {
    // A file that is the same keeps its time, so that it isn't built again.
    if std::fs::read(path).is_ok_and(|there| there == bytes) {
        return;
    }
    std::fs::create_dir_all(path.parent().expect("a folder")).expect("the copy can be written");
    std::fs::write(path, bytes).expect("the copy can be written");
}

impl Copy {
    pub fn new(root: &Path) -> Self {
        Self { root: root.to_owned(), tree: root.join("target/mutants/tree") }
    }

    fn read(&self, file: &str) -> String {
        std::fs::read_to_string(self.root.join(file)).expect("a file of the crate")
    }

    /// Every file that is kept or new, but for those with mutants.
    fn files(&self, woven: &BTreeMap<String, Vec<&Mutant>>) {
        let output = Command::new("git")
            .current_dir(&self.root)
            .args(["ls-files", "-co", "--exclude-standard"])
            .output()
            .expect("git runs");
        for file in String::from_utf8_lossy(&output.stdout)
            .lines()
            .filter(|file| !woven.contains_key(*file) && *file != "src/main.rs")
        {
            if let Ok(mut bytes) = std::fs::read(self.root.join(file)) {
                if file == "src/lib.rs" {
                    let text = String::from_utf8_lossy(&bytes);
                    let rooms =
                        text.lines().filter(|line| !LEFT_OUT.iter().any(|room| *line == format!("pub mod {room};")));
                    bytes = format!("{}\n#[doc(hidden)]\npub mod mutant;\n", rooms.collect::<Vec<_>>().join("\n"))
                        .into_bytes();
                } else if file == "Cargo.toml" {
                    bytes.extend_from_slice(b"\n[profile.test.package.evenkeel]\ndebug = 0\n");
                }
                put(&self.tree.join(file), &bytes);
            }
        }
        put(&self.tree.join("src/mutant.rs"), SWITCH.as_bytes());
    }

    fn cargo(&self, arguments: &[&str]) -> Output {
        let mut command = Command::new("cargo");
        command.current_dir(&self.tree).env("CARGO_INCREMENTAL", "0");
        command.env("CARGO_TARGET_DIR", self.root.join("target")).args(arguments).arg("--message-format=json");
        command.output().expect("cargo runs")
    }

    /// Weaves until the compiler takes all that is left; name and path of each test program.
    pub fn weave(&self, all: &mut [Mutant]) -> Vec<(String, PathBuf)> {
        let given = all.to_vec();
        // What was refused before need not be tried again.
        let kept = self.tree.with_file_name("refused.json");
        let known: HashSet<(String, String)> =
            std::fs::read(&kept).ok().and_then(|bytes| serde_json::from_slice(&bytes).ok()).unwrap_or_default();
        let mut refused = Refused::default();
        let before = given.iter().filter(|mutant| known.contains(&(mutant.file.clone(), mutant.key.clone())));
        refused.mutants.extend(before.map(|mutant| mutant.id));
        refused.constant.extend(known.iter().filter(|(file, _)| file.is_empty()).map(|(_, name)| name.clone()));
        let mut by_file: BTreeMap<String, Vec<&Mutant>> = BTreeMap::new();
        given.iter().for_each(|mutant| by_file.entry(mutant.file.clone()).or_default().push(mutant));
        self.files(&by_file);
        loop {
            let mut texts = HashMap::new();
            let mut sites = HashMap::new();
            for (file, mutants) in &by_file {
                let (text, built) = weave(&self.read(file), mutants, &refused);
                put(&self.tree.join(file), text.as_bytes());
                texts.insert(file.clone(), text);
                sites.extend(built);
            }
            all.iter_mut().for_each(|mutant| mutant.site = sites.get(&mutant.id).copied());
            let output = self.tests();
            if output.status.success() {
                return programs(&output);
            }
            let before = (refused.mutants.len(), refused.constant.len());
            for diagnostic in messages(&output).into_iter().filter_map(|message| message.message) {
                refuse(
                    &diagnostic,
                    &by_file.values().flatten().copied().collect::<Vec<_>>(),
                    &texts,
                    &sites,
                    &mut refused,
                );
            }
            let now = (refused.mutants.len(), refused.constant.len());
            let mutants = given.iter().filter(|mutant| refused.mutants.contains(&mutant.id));
            let mutants = mutants.map(|mutant| (mutant.file.clone(), mutant.key.clone()));
            let constant = refused.constant.iter().map(|name| (String::new(), name.clone()));
            crate::run::save(&kept, &mutants.chain(constant).collect::<HashSet<_>>());
            eprintln!("refused: {} mutants, {} functions stay const", now.0, now.1);
            assert!(now != before, "{}", String::from_utf8_lossy(&output.stderr));
        }
    }

    /// Builds the tests, as far as the compiler takes them.
    fn tests(&self) -> Output {
        let mut arguments = vec!["test", "--no-run", "--lib"];
        PROGRAMS.iter().for_each(|program| arguments.extend(["--test", program]));
        self.cargo(&arguments)
    }
}

/// Name and path of each test program.
fn programs(output: &Output) -> Vec<(String, PathBuf)> {
    let built =
        messages(output).into_iter().filter(|message| message.profile.as_ref().is_some_and(|profile| profile.test));
    built.filter_map(|message| Some((message.target?.name, message.executable?))).collect()
}

fn messages(output: &Output) -> Vec<Message> {
    let text = String::from_utf8_lossy(&output.stdout);
    text.lines()
        .filter_map(|line| serde_json::from_str(line).ok())
        .filter(|message: &Message| message.reason.starts_with("compiler-"))
        .collect()
}

/// What to give up where the compiler points at no mutant: arms of a match that lost its last, or what is on the lines.
fn suspects<'a>(spot: &Spot, message: &str, all: &[&'a Mutant]) -> Vec<&'a Mutant> {
    let here = all.iter().copied().filter(|mutant| mutant.file == spot.file_name);
    if message.starts_with("non-exhaustive") {
        let arms: Vec<&Mutant> =
            here.filter(|mutant| mutant.genre == "MatchArm" && mutant.line >= spot.line_start).collect();
        let function = |mutant: &Mutant| mutant.key.split(": ").next().unwrap_or_default().to_owned();
        let first = arms.iter().min_by_key(|mutant| mutant.line).map(|mutant| function(mutant));
        return arms.into_iter().filter(|mutant| Some(function(mutant)) == first).collect();
    }
    here.filter(|mutant| (spot.line_start..=spot.line_end).contains(&mutant.line)).collect()
}

fn refuse(
    diagnostic: &Diagnostic,
    all: &[&Mutant],
    texts: &HashMap<String, String>,
    sites: &HashMap<u32, u32>,
    refused: &mut Refused,
) {
    if diagnostic.level != "error" {
        return;
    }
    // "cannot call non-const method `Place::name` in constants"
    if diagnostic.message.starts_with("cannot call non-const") {
        let called = diagnostic.message.split('`').nth(1).unwrap_or_default();
        let name = called.split("::").last().unwrap_or_default().split(['<', '(']).next().unwrap_or_default();
        refused.constant.insert(name.to_owned());
        return;
    }
    for spot in diagnostic.spans.iter().filter(|spot| spot.is_primary).map(Spot::outermost) {
        let blame = texts.get(&spot.file_name).and_then(|text| blamed(text, spot.byte_start));
        match blame {
            Some((id, true)) => drop(refused.mutants.insert(id)),
            Some((id, false)) => {
                let place = sites.get(&id).copied();
                refused.mutants.extend(sites.iter().filter(|(_, site)| Some(**site) == place).map(|(id, _)| *id));
            }
            None => {
                let suspects = suspects(spot, &diagnostic.message, all);
                eprintln!(
                    "{}:{}: {}: {} given up",
                    spot.file_name,
                    spot.line_start,
                    diagnostic.message,
                    suspects.len()
                );
                refused.mutants.extend(suspects.iter().map(|mutant| mutant.id));
            }
        }
    }
}
