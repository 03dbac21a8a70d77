//! Which tests reach which mutants, and which mutants they notice.
use crate::list::Mutant;
use crate::weave::line;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use std::collections::{HashMap, HashSet};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::Mutex;
use std::time::{Duration, Instant};

const JOBS: usize = 2;

#[derive(Clone, Serialize, Deserialize)]
struct Test {
    program: PathBuf,
    name: String,
    seconds: f64,
    sites: HashSet<u32>,
}

pub fn save<T: Serialize>(path: &Path, value: &T) {
    std::fs::write(path, serde_json::to_vec(value).expect("plain data")).expect("the target folder can be written");
}

pub fn load<T: DeserializeOwned>(path: &Path) -> T {
    let bytes =
        std::fs::read(path).unwrap_or_else(|_| panic!("{} is not there: build and reach come first", path.display()));
    serde_json::from_slice(&bytes).expect("what was saved")
}

/// Whether the test passed; none after the time.
fn passes(test: &Test, place: &Path, (key, value): (&str, &str), limit: Duration) -> Option<bool> {
    // Memory is bounded: a loop that never ends may also never stop to allocate.
    let mut child = Command::new("sh")
        .args(["-c", "ulimit -v 6000000; exec \"$0\" \"$@\""])
        .arg(&test.program)
        .args(["--exact", &test.name, "--test-threads", "1", "-q"])
        .current_dir(place.join("tree"))
        .env("CARGO_MANIFEST_DIR", place.join("tree"))
        .env("PROPTEST_MAX_SHRINK_ITERS", "0")
        .env(key, value)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("a test runs");
    let start = Instant::now();
    loop {
        if let Some(status) = child.try_wait().expect("a child can be waited for") {
            return Some(status.success());
        }
        if start.elapsed() > limit {
            let _ = child.kill();
            let _ = child.wait();
            return None;
        }
        std::thread::sleep(Duration::from_millis(if start.elapsed().as_millis() < 50 { 1 } else { 10 }));
    }
}

fn shared<T: Send>(work: Vec<T>, each: impl Fn(T) + Sync) {
    let queue = Mutex::new(work.into_iter());
    std::thread::scope(|scope| {
        for _ in 0..JOBS {
            scope.spawn(|| {
                loop {
                    let Some(next) = queue.lock().expect("no panic").next() else { return };
                    each(next);
                }
            });
        }
    });
}

/// Runs every test once and keeps what it reaches.
pub fn reach(place: &Path) {
    let programs: Vec<(String, PathBuf)> = load(&place.join("programs.json"));
    let mut names = Vec::new();
    for (_, program) in &programs {
        let output = Command::new(program)
            .current_dir(place.join("tree"))
            .args(["--list", "--format", "terse"])
            .output()
            .expect("a test lists");
        let text = String::from_utf8_lossy(&output.stdout).into_owned();
        names.extend(
            text.lines().filter_map(|line| line.strip_suffix(": test")).map(|name| (program.clone(), name.to_owned())),
        );
    }
    let tests = Mutex::new(Vec::new());
    shared(names.into_iter().enumerate().collect(), |(index, (program, name))| {
        let seen = place.join(format!("seen-{index}"));
        let mut test = Test { program, name, seconds: 0.0, sites: HashSet::new() };
        let start = Instant::now();
        let passed = passes(&test, place, ("MUTANTS_SEEN", &seen.to_string_lossy()), Duration::from_secs(45));
        test.seconds = start.elapsed().as_secs_f64();
        test.sites =
            std::fs::read_to_string(&seen).unwrap_or_default().lines().filter_map(|id| id.parse().ok()).collect();
        let _ = std::fs::remove_file(&seen);
        if passed != Some(true) {
            eprintln!("left out, as it fails in the copy or takes too long: {}", test.name);
        } else if !test.sites.is_empty() {
            tests.lock().expect("no panic").push(test);
        }
    });
    let mut tests = tests.into_inner().expect("no panic");
    tests.sort_by(|a, b| a.seconds.total_cmp(&b.seconds));
    eprintln!("{} tests, {:.0} s", tests.len(), tests.iter().map(|test| test.seconds).sum::<f64>());
    save(&place.join("tests.json"), &tests);
    // With other tests only the killed stay answered.
    let kept: String = std::fs::read_to_string(place.join("results.tsv"))
        .unwrap_or_default()
        .lines()
        .filter(|line| line.contains("\tkilled\t") || line.contains("\ttimeout\t"))
        .map(|line| format!("{line}\n"))
        .collect();
    std::fs::write(place.join("results.tsv"), kept).expect("the target folder can be written");
}

/// What was found of each mutant so far, and the seconds that were given to it.
pub fn results(place: &Path) -> HashMap<String, (String, f64)> {
    let text = std::fs::read_to_string(place.join("results.tsv")).unwrap_or_default();
    let lines = text.lines().filter_map(|line| {
        let mut cells = line.split('\t');
        let name = format!("{}\t{}", cells.next()?, cells.next()?);
        Some((name, (cells.next()?.to_owned(), cells.next()?.parse().ok()?)))
    });
    lines.collect()
}

/// Runs every mutant of these modules that is not answered yet, each against at most so many seconds of tests.
pub fn run(place: &Path, seconds: f64, only: &[&str]) {
    let mutants: Vec<Mutant> = load(&place.join("mutants.json"));
    let tests: Vec<Test> = load(&place.join("tests.json"));
    let known = results(place);
    let answered = |mutant: &Mutant| {
        let found = known.get(&format!("{}\t{}", mutant.file, mutant.key));
        found.is_some_and(|(state, given)| state != "unfinished" || *given >= seconds)
    };
    let todo: Vec<Mutant> = mutants
        .into_iter()
        .filter(|mutant| {
            only.is_empty() || only.iter().any(|word| mutant.module() == *word || mutant.file.contains(word))
        })
        .filter(|mutant| mutant.site.is_some() && !answered(mutant))
        .collect();
    eprintln!("{} mutants", todo.len());
    let log = Mutex::new(
        std::fs::OpenOptions::new()
            .append(true)
            .create(true)
            .open(place.join("results.tsv"))
            .expect("results can be kept"),
    );
    // Tests that noticed a mutant of the same file are asked first.
    let noticed: Mutex<HashMap<String, Vec<usize>>> = Mutex::default();
    // Then those that noticed most.
    let often: Mutex<HashMap<usize, usize>> = Mutex::default();
    shared(todo, |mutant| {
        let site = mutant.site.expect("those built");
        let first = noticed.lock().expect("no panic").get(&mutant.file).cloned().unwrap_or_default();
        let reaching = |index: &usize| tests[*index].sites.contains(&site);
        let of_all = often.lock().expect("no panic").clone();
        let mut by_count: Vec<usize> = of_all.keys().copied().filter(reaching).collect();
        by_count.sort_by_key(|index| std::cmp::Reverse(of_all[index]));
        let here: Vec<usize> = first.iter().rev().copied().filter(reaching).collect();
        let mut quick: Vec<usize> = Vec::new();
        for index in here.into_iter().take(8).chain(by_count.into_iter().take(16)) {
            if tests[index].seconds < 1.5 && !quick.contains(&index) {
                quick.push(index);
            }
        }
        let order = quick.iter().copied().chain((0..tests.len()).filter(|index| !quick.contains(index)));
        let mut spent = 0.0;
        let mut found = ("unreached", String::new());
        for index in order.filter(reaching) {
            if spent > seconds {
                found.0 = "unfinished";
                break;
            }
            found.0 = "survived";
            let test = &tests[index];
            let limit = Duration::from_secs_f64((10.0 * test.seconds).max(5.0));
            let start = Instant::now();
            let passed = passes(test, place, ("MUTANT", &mutant.id.to_string()), limit);
            spent += start.elapsed().as_secs_f64();
            if passed != Some(true) {
                found = (if passed.is_none() { "timeout" } else { "killed" }, test.name.clone());
                let mut noticed = noticed.lock().expect("no panic");
                let list = noticed.entry(mutant.file.clone()).or_default();
                list.retain(|one| *one != index);
                list.push(index);
                *often.lock().expect("no panic").entry(index).or_default() += 1;
                break;
            }
        }
        if !["killed", "timeout"].contains(&found.0) {
            println!("{} ({spent:.1} s): {}", found.0, line(&mutant));
        }
        let row = format!("{}\t{}\t{}\t{seconds}\t{}\n", mutant.file, mutant.key, found.0, found.1);
        log.lock().expect("no panic").write_all(row.as_bytes()).expect("results can be kept");
    });
}
