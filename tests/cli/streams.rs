use evenkeel::cli::{Streams, run};
use std::io::{self, ErrorKind, Write};
use std::process::{Command, Stdio};

/// A stream that takes nothing.
struct Broken(ErrorKind);

impl Write for Broken {
    fn write(&mut self, _: &[u8]) -> io::Result<usize> {
        Err(self.0.into())
    }
    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

fn told(line: &str, stdout: impl Write) -> (u8, String) {
    let mut stderr = Vec::new();
    let mut streams = Streams::new(io::empty(), stdout, &mut stderr);
    let status = run(format!("evenkeel {line}").split(' ').map(Into::into), &mut streams);
    drop(streams);
    (status, String::from_utf8(stderr).expect("UTF-8"))
}

#[test]
fn a_closed_pipe_is_quiet_and_keeps_the_status() {
    assert_eq!(told("series", Broken(ErrorKind::BrokenPipe)), (0, String::new()));
    assert_eq!(told("--help", Broken(ErrorKind::BrokenPipe)), (0, String::new()));
    assert_eq!(told("size 0.5", Broken(ErrorKind::BrokenPipe)), (1, String::new()));
}

#[test]
fn a_full_disk_is_told() {
    let (status, stderr) = told("series", Broken(ErrorKind::StorageFull));
    assert_eq!(status, 2);
    assert!(stderr.contains("could not be written"), "{stderr}");
}

#[test]
fn a_closed_standard_error_changes_no_status() {
    let mut stdout = Vec::new();
    let mut streams = Streams::new(io::empty(), &mut stdout, Broken(ErrorKind::BrokenPipe));
    assert_eq!(run(["evenkeel", "sizes"].map(Into::into), &mut streams), 2);
}

#[test]
fn the_binary_keeps_the_contract() {
    let ask = |args: &[&str]| {
        std::process::Command::new(env!("CARGO_BIN_EXE_evenkeel")).args(args).output().expect("the binary runs")
    };
    let told = ask(&["series", "E96", "--near", "4k8"]);
    assert_eq!((told.status.code(), told.stderr.len()), (Some(0), 0));
    assert!(!told.stdout.contains(&0x1b), "no colour into a pipe");
    let told = ask(&["size", "0"]);
    assert_eq!((told.status.code(), told.stdout.len()), (Some(2), 0));
}

fn binary() -> Command {
    Command::new(env!("CARGO_BIN_EXE_evenkeel"))
}

/// The reader of the pipe is gone before the first word: as `evenkeel series | head -n 0`.
#[test]
fn a_pipe_that_nobody_reads_ends_quietly() {
    for args in [&["series"][..], &["new"], &["batch", "examples", "--format", "json"], &["schema"]] {
        let mut child = binary().args(args).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("it runs");
        drop(child.stdout.take());
        let told = child.wait_with_output().expect("it ends");
        assert_eq!(String::from_utf8_lossy(&told.stderr), "", "{args:?}");
        assert!(matches!(told.status.code(), Some(0 | 1)), "{args:?}: {}", told.status);
    }
}

/// A device that has no room left stands for the full disk.
#[cfg(target_os = "linux")]
#[test]
fn a_full_device_is_told_whoever_writes() {
    let full = || std::fs::File::create("/dev/full").expect("a device");
    for args in [&["series"][..], &["design", "examples/hook-load.toml"], &["batch", "examples", "--format", "csv"]] {
        let told = binary().args(args).stdout(full()).output().expect("it runs");
        assert_eq!(told.status.code(), Some(2), "{args:?}");
        assert!(String::from_utf8_lossy(&told.stderr).contains("could not be written"), "{args:?}");
    }
    let told = binary().args(["series", "--format", "json", "--out", "/dev/full"]).output().expect("it runs");
    assert_eq!((told.status.code(), told.stdout.len()), (Some(2), 0));
    let errors: serde_json::Value = serde_json::from_slice(&told.stderr).expect("told as JSON");
    assert_eq!(errors["errors"][0]["code"], "write-failed");
}

#[test]
fn standard_input_has_its_end_too() {
    let large = " ".repeat((4 << 20) + 1);
    assert!(crate::asked::ask("design -").stdin(&large).refuses().contains("4 MiB"));
}
