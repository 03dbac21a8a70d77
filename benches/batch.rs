//! Many specs in one process, as ratios in one run: `cargo bench --bench batch [SPECS]`, 10 000 unless told.
//!
//! Against a process each (300 of them, scaled); against the TOML parsing alone of the same text; two threads
//! against one; peak memory against that of a tenth of the specs. Rejection is the only limit, and every value is
//! decided; beside it stands what a spec takes whose values are chosen.
#![allow(clippy::expect_used, clippy::print_stdout, reason = "a measurement that cannot go on has failed")]
use std::fs;
use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const PROGRAM: &str = env!("CARGO_BIN_EXE_evenkeel");
/// Processes that stand for all.
const SAMPLE: usize = 300;
/// Of so many runs the least time counts.
const RUNS: usize = 5;

fn main() {
    let asked = std::env::args().skip(1).find_map(|arg| arg.parse().ok());
    let count: usize = asked.unwrap_or(10_000);
    let home = tempfile::tempdir().expect("a folder");
    let all = written(&home.path().join("all"), count, DECIDED);
    let tenth = written(&home.path().join("tenth"), count / 10, DECIDED);
    let open = written(&home.path().join("open"), count / 10, OPEN);

    let (one, two) = (batch(&all, 1), batch(&all, 2));
    let parsing = best(|| {
        for path in specs(&all) {
            let text = fs::read_to_string(path).expect("a spec");
            black_box(toml::from_str::<toml::Table>(&text).expect("TOML"));
        }
    });
    let sample = specs(&all);
    let sample = &sample[..SAMPLE.min(count)];
    let began = Instant::now();
    for path in sample {
        let told =
            Command::new(PROGRAM).arg("batch").arg(path).args(["--format", "csv"]).stdout(Stdio::null()).status();
        assert!(told.expect("it runs").success());
    }
    let processes = began.elapsed().mul_f64(count as f64 / sample.len() as f64);

    let each = |time: Duration| 1e6 * time.as_secs_f64() / count as f64;
    println!(
        "{count} specs, µs each: one thread {:.1}, two {:.1}, TOML alone {:.1}, a process {:.1}",
        each(one),
        each(two),
        each(parsing),
        each(processes)
    );
    println!("values chosen, one thread: {:.0} µs a spec", 1e7 * batch(&open, 1).as_secs_f64() / count as f64);
    let ratio = |a: Duration, b: Duration| a.as_secs_f64() / b.as_secs_f64();
    println!("{count} processes / one process of two threads   {:.1}   (at least 20)", ratio(processes, two));
    println!("one process of one thread / TOML parsing alone   {:.2}   (at most 4)", ratio(one, parsing));
    println!("one thread / two threads                         {:.2}   (at least 1.8)", ratio(one, two));
    let (of_all, of_tenth) = (peak(&all), peak(&tenth));
    println!(
        "peak memory, {count} / {} specs              {:.2}   ({of_all} and {of_tenth} KiB)",
        count / 10,
        of_all as f64 / of_tenth as f64
    );
}

/// All values, RG apart.
const DECIDED: &str = ", RF = \"24.9k\", R1 = \"10k\", R2 = \"10k\", R3 = \"10k\", R4 = \"10k\"";
const OPEN: &str = "";

/// Rejection-only specs that differ in gain; those whose other values are decided in RG, too.
fn written(folder: &Path, count: usize, others: &str) -> PathBuf {
    fs::create_dir_all(folder).expect("made");
    for n in 0..count {
        let fixed = match others {
            OPEN => String::new(),
            _ => format!("fixed = {{ RG = \"{}\"{others} }}\n", 240 + n % 2000),
        };
        let text = format!(
            "title = \"Channel {n}\"\n\n[target]\ngain = {}\n\n[circuit]\ntopology = \"three-op-amp\"\nstage_two_gain = 1\n\n[resistors]\n\
             tolerance = \"0.1 %\"\ntempco = \"25 ppm/K\"\n{fixed}\n[opamp.all]\nopen_loop_gain = \"120 dB\"\nrejection = \"100 dB\"\n\n\
             [limits]\nrejection = \"60 dB\"\n",
            20 + n % 180,
        );
        fs::write(folder.join(format!("{n:05}.toml")), text).expect("written");
    }
    folder.to_owned()
}

fn specs(folder: &Path) -> Vec<PathBuf> {
    let mut all: Vec<PathBuf> =
        fs::read_dir(folder).expect("listed").filter_map(|one| Some(one.ok()?.path())).collect();
    all.sort();
    all
}

fn best(mut work: impl FnMut()) -> Duration {
    let timed = |_| {
        let began = Instant::now();
        work();
        began.elapsed()
    };
    (0..RUNS).map(timed).min().unwrap_or_default()
}

/// The whole command as a process.
fn batch(folder: &Path, threads: usize) -> Duration {
    best(|| {
        let told = command(folder, threads).status().expect("it runs");
        assert!(told.success());
    })
}

fn command(folder: &Path, threads: usize) -> Command {
    let mut command = Command::new(PROGRAM);
    command.arg("batch").arg(folder).args(["--format", "csv", "--threads", &threads.to_string()]).stdout(Stdio::null());
    command
}

/// Peak resident memory in KiB, as the system last told of the running process.
fn peak(folder: &Path) -> u64 {
    let mut child = command(folder, 2).spawn().expect("it runs");
    let status = format!("/proc/{}/status", child.id());
    let mut most = 0;
    while child.try_wait().expect("it can be asked").is_none() {
        let text = fs::read_to_string(&status).unwrap_or_default();
        let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        most = line.and_then(|words| words.split_whitespace().next()?.parse().ok()).unwrap_or(0).max(most);
        std::thread::sleep(Duration::from_micros(500));
    }
    most
}
